"""What a builder gets to read of a careless file: file, line, what is, what should be, what to do."""

import json
import re
from pathlib import Path

import pytest

from loomwright.cli import main
from loomwright.demos import demo_folder
from whole.careless import careless_bytes

JOBS = Path(__file__).parents[1] / "jobs" / "careless"
HEAD = re.compile(r"(FAULT|CAUTION|NOTE) +[A-Z]+-\d+  \S")
OURS = re.compile(r"Traceback|\bNone\b(?! is known)|<class|<function|Form\.|PosixPath|Notes|Entry")
BATCH = 20


@pytest.fixture
def checked(tmp_path, capsys):
    """A function that checks a job file of these bytes: the exit code and what was printed."""

    def check(raw, *words):
        (tmp_path / "job.toml").write_bytes(raw)
        code = main(["check", str(tmp_path), *words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return check


def readable(code, out, err):
    """What was printed can be acted on: every head has what is and should be below it, and a remedy."""
    assert code in (0, 1), err
    assert not OURS.search(out), OURS.search(out)
    blocks = [one.splitlines() for one in out.strip().split("\n\n")][:-1]
    for head, told, remedy, *_ in blocks:
        assert HEAD.match(head), head
        if " FILE-" in head:
            assert re.search(r"job\.toml(:| line )\d+", head), head
        assert told.strip()[-1] == ".", told
        assert len(re.findall(r"[.?](?= |$)", told)) >= 2, told
        assert remedy.strip()[-1] in ".?", remedy
        assert "  " not in remedy.strip(), remedy


@pytest.mark.parametrize("batch", range(4))
def test_slips_in_the_smallest_demo(checked, batch):
    text = (demo_folder("six") / "job.toml").read_text("utf-8")
    for seed in range(batch * BATCH, (batch + 1) * BATCH):
        try:
            readable(*checked(careless_bytes(text, seed)))
        except Exception as fault:
            pytest.fail(f"seed {seed}: {type(fault).__name__}: {fault}")


@pytest.mark.parametrize("name", ["v8", "hillclimb"])
def test_slips_in_the_large_demos(checked, name):
    text = (demo_folder(name) / "job.toml").read_text("utf-8")
    readable(*checked(careless_bytes(text, 1)))


@pytest.mark.parametrize("name", ["everything-wrong", "printed-quotes"])
def test_files_written_by_hand(checked, name):
    raw = (JOBS / f"{name}.toml").read_bytes()
    code, out, err = checked(raw)
    assert code == 1
    readable(code, out, err)
    rows = json.loads(checked(raw, "--json")[1])["findings"]
    assert all(one["what_is"] and one["should"] and one["remedy"] for one in rows)


@pytest.mark.parametrize(
    ("raw", "told"),
    [
        (
            '[job]\ntitle = "Käfer"\n'.encode("latin-1"),
            'job.toml:2  "title = "Käfer"" holds a sign in an older',
        ),
        ('[job]\ntitle = "x"\n'.encode("utf-16"), "The file is saved as UTF-16."),
        (b"\xff\xfe\x00", "The file is saved as UTF-16."),
    ],
)
def test_another_encoding_is_told_with_line_and_remedy(checked, raw, told):
    code, out, err = checked(raw)
    assert (code, out) == (2, "")
    assert told in err
    assert 'choose "save as" and the encoding UTF-8.' in err


def test_an_empty_file_asks_for_its_title(checked):
    _, out, _ = checked(b"")
    assert "There is no table [job]." in out
    assert "A job without title: 0 devices, 0 wires" in out
