"""Slips of a builder's hand in a sound job file, by a seed: lines lost, values of another sort, encodings."""

import random
import re

NUMBER = re.compile(r'(?<![\w"])-?\d+(?:\.\d+)?(?![\w"])')
QUOTED = re.compile(r'"[^"\n]*"')
OTHER_SORTS = ("[]", "{}", "true", "1", '""', "[[1]]", "{ a = 1 }", "1979-05-27", "nan", "inf")
ABSURD = ("-1", "1e30", "999999999", "0", "1e-30", "-0.0", "9" * 30)
UNITS = (" cm", " in", "mm", " AWG", " A", "")
SAVED = ("plain", "plain", "plain", "mark", "returns", "tabs", "cut off", "nothing between")


def _number(line, put):
    found = NUMBER.search(line.split("#")[0])
    return line[: found.start()] + put(found.group()) + line[found.end() :] if found else line


def _letter_lost(line, by):
    at = by.randrange(max(1, len(line.split("=")[0])))
    return line[:at] + line[at + 1 :]


SLIPS = (
    lambda line, by: "",
    lambda line, by: line + line,
    lambda line, by: line[: len(line) // 2] + "\n",
    lambda line, by: line.replace('"', "", 2),
    lambda line, by: line.split("=")[0] + f"= {by.choice(OTHER_SORTS)}\n" if "=" in line else line,
    lambda line, by: _number(line, lambda _: by.choice(ABSURD)),
    lambda line, by: _number(line, lambda one: f'"{one}{by.choice(UNITS)}"'),
    lambda line, by: _number(line, lambda one: one.replace(".", ",")),
    lambda line, by: line.replace("true", "yes").replace("false", "No"),
    lambda line, by: QUOTED.sub(lambda one: f"“{one.group()[1:-1]}”", line),
    _letter_lost,
)


def careless_bytes(text, seed):
    """A sound text with one to three slips, as an editor might save it."""
    by = random.Random(seed)
    lines = text.splitlines(keepends=True)
    spots = [at for at, line in enumerate(lines) if line.strip() and not line.lstrip().startswith("#")]
    for at in by.sample(spots, by.choice((1, 1, 2, 3))):
        lines[at] = by.choice(SLIPS)(lines[at], by)
    text, saved = "".join(lines), by.choice(SAVED)
    if saved == "mark":
        return b"\xef\xbb\xbf" + text.encode()
    if saved == "cut off":
        return text[: by.randrange(len(text))].encode()
    change = {"returns": ("\n", "\r\n"), "tabs": (" = ", "\t=\t"), "nothing between": (" = ", "=")}
    return text.replace(*change.get(saved, ("", ""))).encode() if saved in change else text.encode()
