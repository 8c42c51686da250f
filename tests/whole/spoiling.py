"""Ways to spoil a job file: bytes, words, values, lines and whole tables, by a seed."""

import itertools
import random
import re
from collections.abc import Callable, Sequence

WORD = re.compile(r'"(?:[^"\\\n]|\\.)*"|[A-Za-z0-9_.+-]+|[\[\]{}=,#]')
NUMBER = re.compile(r"(?<![\w.\"-])-?\d+(?:\.\d+)?(?![\w.\"])")
QUOTED = re.compile(r'"(?:[^"\\\n]|\\.)*"')
HEAD = re.compile(r"^\[", re.MULTILINE)

NUMBERS = (
    *("0", "-1", "-640", "1e308", "-1e308", "1e-308", "5e-324", "1e400", "nan", "-nan", "inf", "-inf", "0.0"),
    *("-0.0", "999999999999999999999", "9223372036854775807", "0x7fffffffffffffff", "1e6", "1e9", "1e15"),
    *(
        "0.001",
        "1e-12",
        "true",
        '"640"',
        '"640 mm"',
        "[640]",
        "{}",
        "640 mm",
        "1,5",
        "",
        "1979-05-27",
        "07:32:00",
    ),
)
TEXTS = (
    *('""', '" "', '"-"', '"a-b-c"', '"/"', '"engine/B1-B2"', '"."', '"ECU.A.B"', '":"', '"|"', '"\\u0000"'),
    *(
        '"\\n"',
        '"größe"',
        '"日本語"',
        '"\U0001f600"',
        '"\u202e"',
        '"\ufeff"',
        "'\"'",
        '"it\'s"',
        '"{}"',
        '"%s"',
    ),
    *(
        '"../../etc/passwd"',
        '"#"',
        '"=SUM(A1)"',
        '"<b>"',
        '"&amp;"',
        '"\\\\"',
        "5",
        "true",
        "[]",
        "{}",
        "nan",
    ),
    *('"mm"', '"AWG 20"', '"1/0"', '"nan"', '"inf"', '"-1"', '"1e400"', '"' + "n" * 4000 + '"'),
)
SIGNS = "\"'[]{}=,.#\\\n\r\t \x00\x07\x7féß日\U0001f600\ufeff0-_+TZe:a"


def spoiled_text(text: str, seed: int) -> str:
    """Return the text with one to four faults of one to four sorts."""
    pick = random.Random(seed)
    for _ in range(pick.choice((1, 1, 2, 3, 4))):
        text = pick.choice(WAYS)(text, pick)
    return text


def spoiled_bytes(raw: bytes, seed: int) -> bytes:
    """Return the bytes with some of them changed, lost, doubled, or in another encoding."""
    pick = random.Random(seed)
    if pick.random() < 0.15:
        coding = pick.choice(("utf-16", "utf-32", "utf-8-sig", "latin-1"))
        return raw.decode().encode(coding, "replace")
    changed = bytearray(raw)
    for _ in range(pick.choice((1, 1, 2, 5, 20))):
        at = pick.randrange(len(changed) + 1)
        match pick.randrange(4):
            case 0:
                changed[at : at + 1] = bytes((pick.randrange(256),))
            case 1:
                changed[at:at] = pick.randbytes(pick.choice((1, 2, 8)))
            case 2:
                del changed[at : at + pick.choice((1, 3, 40, 400))]
            case _:
                changed[at:at] = changed[at : at + pick.choice((2, 30, 300))]
    return bytes(changed)


def _other_number(text: str, pick: random.Random) -> str:
    return _one_changed(text, NUMBER, lambda _: pick.choice(NUMBERS), pick)


def _other_text(text: str, pick: random.Random) -> str:
    return _one_changed(text, QUOTED, lambda _: pick.choice(TEXTS), pick)


def _swapped_text(text: str, pick: random.Random) -> str:
    """A name where another name belongs: the sort of fault a tired hand makes."""
    names = QUOTED.findall(text) or ['""']
    return _one_changed(text, QUOTED, lambda _: pick.choice(names), pick)


def _swapped_word(text: str, pick: random.Random) -> str:
    words = WORD.findall(text) or ["x"]
    return _one_changed(text, WORD, lambda _: pick.choice(words), pick)


def _everywhere(text: str, pick: random.Random) -> str:
    """One word replaced by another throughout: devices that fall together, sections in a ring."""
    words = WORD.findall(text)
    if not words:
        return text
    one, other = pick.choice(words), pick.choice(words)
    return text.replace(one, other) if len(one) > 1 else text


def _one_changed(
    text: str, form: re.Pattern[str], other: Callable[[re.Match[str]], str], pick: random.Random
) -> str:
    found = list(form.finditer(text))
    if not found:
        return text
    one = pick.choice(found)
    return text[: one.start()] + other(one) + text[one.end() :]


def _cut_word(text: str, pick: random.Random) -> str:
    return _one_changed(text, WORD, lambda one: one[0][: pick.randrange(len(one[0]))], pick)


def _sign(text: str, pick: random.Random) -> str:
    at = pick.randint(0, len(text))
    return text[:at] + pick.choice(SIGNS) + text[at + pick.choice((0, 1)) :]


def _lines(text: str, pick: random.Random) -> str:
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at, other = pick.randrange(len(lines)), pick.randrange(len(lines))
    match pick.randrange(5):
        case 0:
            del lines[at]
        case 1:
            lines.insert(other, lines[at])
        case 2:
            lines[at], lines[other] = lines[other], lines[at]
        case 3:
            del lines[at : at + pick.choice((2, 5, 20, 100))]
        case _:
            lines = lines[: at + 1]
    return "".join(lines)


def _tables(text: str, pick: random.Random) -> str:
    """Whole tables lost, doubled, moved, put under another's name, or made a list."""
    starts = [0, *(one.start() for one in HEAD.finditer(text)), len(text)]
    parts = [text[a:b] for a, b in itertools.pairwise(starts)]
    heads = [part.split("\n", 1)[0] for part in parts]
    at, other = pick.randrange(len(parts)), pick.randrange(len(parts))
    match pick.randrange(5):
        case 0:
            del parts[at]
        case 1:
            parts.insert(other, parts[at])
        case 2:
            parts[at], parts[other] = parts[other], parts[at]
        case 3:
            parts[at] = parts[at].replace(heads[at], heads[other], 1) if heads[at] else parts[at]
        case _:
            parts[at] = parts[at].replace(heads[at], f"[{heads[at]}]", 1) if heads[at] else parts[at]
    return "".join(parts)


def _key_of_another(text: str, pick: random.Random) -> str:
    """A line's key with another line's value."""
    pairs = [line for line in text.splitlines() if " = " in line]
    if len(pairs) < 2:
        return text
    one, other = pick.choice(pairs), pick.choice(pairs)
    return text.replace(one, f"{one.split(' = ', 1)[0]} = {other.split(' = ', 1)[1]}", 1)


def _line_ends(text: str, pick: random.Random) -> str:
    return text.replace("\n", pick.choice(("\r\n", "\r", "\n\n", "\u2028", "")), pick.choice((1, 5, -1)))


WAYS: Sequence[Callable[[str, random.Random], str]] = (
    *(_other_number, _other_number, _other_text, _other_text, _swapped_text, _swapped_text, _swapped_word),
    *(_everywhere, _cut_word, _sign, _lines, _lines, _tables, _tables, _key_of_another, _line_ends),
)
