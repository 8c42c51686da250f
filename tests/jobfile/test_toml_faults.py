import pytest

from loomwright.jobfile.toml_text import read_text

from .sample_text import SAMPLE
from .test_toml_text import typed


def tables(values):
    """The tables one and two levels down, by path."""
    found = {}
    for kind, held in values.items():
        for name, one in held.items() if isinstance(held, dict) else [("", held)]:
            found[kind, name] = typed(one)
    return found


def damaged_texts():
    """The sample with one sign of one line missing, doubled or changed; with the line's number."""
    lines = SAMPLE.splitlines(keepends=True)
    for number, line in enumerate(lines):
        code = line.split("  #")[0].rstrip()
        for at, sign in enumerate(code):
            if sign in "[]{}\"=,.'":
                for new in ("", sign * 2, "%"):
                    yield (
                        "".join([*lines[:number], line[:at] + new + line[at + 1 :], *lines[number + 1 :]]),
                        number + 1,
                    )


def table_of(line):
    """The table a line of the sample belongs to, by its head."""
    head = next(one for one in reversed(SAMPLE.splitlines()[:line]) if one.startswith("[") or "format" in one)
    return head.strip("[]# ").split("#")[0].strip("[] ")


def test_one_damaged_line_leaves_all_other_tables_as_they_are():
    whole = tables(read_text(SAMPLE).values)
    seen = 0
    for text, line in damaged_texts():
        document = read_text(text)
        if not document.problems:
            continue  # the damage made another sound text
        seen += 1
        lost = [path for path, one in whole.items() if tables(document.values).get(path) != one]
        own = table_of(line)
        kind = own.split(".")[0].split()[0]
        assert len(lost) <= 1 or kind in ("job", "accept"), (line, text.splitlines()[line - 1], lost)
        assert all(path[0] == kind for path in lost), (line, text.splitlines()[line - 1], lost)
        near = 6 if kind in ("circuit", "rope") else 1  # a text or list of several lines is told at its start
        assert abs(document.problems[0].line - line) <= near, (
            line,
            text.splitlines()[line - 1],
            document.problems,
        )
    assert seen > 200


@pytest.mark.parametrize(
    ("text", "line", "column", "words", "remedy"),
    [
        ('a = 1\nb = "x\nc = 2\n', 2, 5, 'A text opened with " is not closed', 'Close it with "'),
        ("a = 1\nb = 'x\nc = 2\n", 2, 5, "A text opened with ' is not closed", "Close it with '"),
        ('a = 1\nb = """x\nc = 2\n', 2, 5, 'A text opened with """ is not closed', 'Close it with """'),
        ("volts = 13,8\n", 1, 9, "13,8 has a comma in it", "13.8"),
        ("area = block\n", 1, 8, "The value block is no number and stands without quotes", '"block"'),
        ("air_c = 110 C  # hot\n", 1, 9, "The value 110 C is no number", '"110 C"'),
        ("area = # which\n", 1, 8, "The key area has no value", "Write one after the ="),
        ("settled true\n", 1, 1, "settled true is neither a table head nor a key", "Write key = value"),
        ("[device.INJ 1]\n", 1, 1, "holds a name with a space or sign in it", '" "'),
        ("[device.INJ1\nis = 1\n", 1, 1, "The table head [device.INJ1 can't be read", "[kind.name]"),
        ("maß = 1\n", 1, 1, "The key maß holds a space or a sign that needs quotes", '" "'),
        (
            'reads = [["B1", 640], ["B2", 1020]\nparts = 1\n',
            1,
            9,
            "A [ is opened here and not closed",
            "Close it with ]",
        ),
        ("at = [1, 2]]\n", 1, 12, "A ] stands here with nothing open for it", "Delete it"),
        ('a = ["x" "y"]\n', 1, 5, "The part in brackets of a can't be read", "comma"),
        ("a = { b = 1, }\n", 1, 5, "The part in braces of a can't be read", "braces stay on one line"),
        ('a = "C:\\dir"\n', 1, 5, "sequence that does not exist", "\\\\"),
        ("a = 2024-02-30\n", 1, 5, "2024-02-30 is not a date", "Correct it"),
        ("a = 1 b = 2\n", 1, 1, "", ""),
        ("a = 1\nb = 2 c = 3\n", 2, 1, "", ""),
        ('a = "\x07"\n', 1, 6, "An unprintable character (code 7)", "Delete it"),
        ("a = 1\n\ufeffb = 2\n", 2, 1, "byte order mark", "Delete it"),
        ("a = 1\nb = '\ud800'\n", 2, 6, "Half a character", "Delete it"),
    ],
)
def test_a_fault_is_told_with_its_place_what_is_and_what_to_do(text, line, column, words, remedy):
    problem = read_text(text).problems[0]
    assert (problem.line, problem.column) == (line, column) or not words
    assert problem.line == line
    assert words in problem.words
    assert remedy in problem.remedy
    assert len(read_text(text).problems) == 1


@pytest.mark.parametrize(
    ("text", "line", "words", "kept"),
    [
        (
            "a = 1\nb = 2\na = 3\n",
            3,
            "The key a stands twice: in line 1 and in line 3; line 1 is kept",
            {"a": 1, "b": 2},
        ),
        (
            "[t]\na = 1\n[u]\n[t]\na = 2\nb = 3\n",
            4,
            "The table t stands twice: in line 1 and in line 4",
            {"t": {"a": 1}, "u": {}},
        ),
        ("t.a = 1\n[t]\nb = 3\n", 2, "The table t stands twice", {"t": {"a": 1}}),
        ("[t.u]\n[t]\nu.b = 3\n", 3, "The table t.u has a head of its own", {"t": {"u": {}}}),
        ("t = 1\n[t]\n", 2, "t is a table here and has a value already", {"t": 1}),
        ("t = 1\n[t.u]\n", 2, "t has a value already and can't be a table", {"t": 1}),
        ("t = {}\n[t.u]\n", 2, "t is closed already", {"t": {}}),
        ("t = {}\nt.u = 1\n", 2, "t is closed already", {"t": {}}),
        ("t = []\n[[t]]\n", 2, "t is a list of tables here and something else already", {"t": []}),
        ("[[t]]\n[t]\n", 2, "The table t stands twice", {"t": [{}]}),
        (
            "[[t]]\na = 1\n[[t]]\na = 2\na = 3\n",
            5,
            "The key t (no. 2).a stands twice",
            {"t": [{"a": 1}, {"a": 2}]},
        ),
        ("a = { b = 1, b = 2 }\nc = 1\n", 1, "Inside the braces the key b stands twice", {"c": 1}),
    ],
)
def test_what_stands_twice_is_told_with_both_lines_and_the_first_is_kept(text, line, words, kept):
    document = read_text(text)
    (problem,) = document.problems
    assert problem.line == line
    assert words in problem.words
    assert document.values == kept


def test_lines_below_a_head_that_cannot_be_read_belong_to_no_other_table():
    document = read_text("[a]\nx = 1\n[b c]\ny = 2\n[d]\nz = 3\n")
    assert document.values == {"a": {"x": 1}, "d": {"z": 3}}


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n",
        "\ufeff",
        "\x00",
        "[",
        "]",
        "=",
        '"""',
        "'",
        "[[",
        "{",
        "a={",
        "\\",
        "\r",
        "[" * 5000,
        "a=" + "[" * 5000,
        "a=" + "[" * 5000 + "]" * 5000,
        "a." * 3000 + "a=1",
    ],
)
def test_odd_texts_never_raise(text):
    document = read_text(text)
    assert document.line_of(("a", 0, "b")) >= 1
    assert document.span_of(("a", 0, "b")) is None or document.span_of(("a", 0, "b"))
