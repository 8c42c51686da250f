"""Random TOML for the tests: a table of values, and a text for it in a random spelling, with comments."""

import random

from hypothesis import strategies as st

NAMES = ("a", "b2", "inj 1", "B1-B2", "cavity", "naïve", "", 'q"uote', "dot.ted", "reads", "x", "y", "日本")
SCALARS = st.one_of(
    st.integers(-(2**63), 2**63 - 1),
    st.booleans(),
    st.floats(allow_nan=False),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=12),
    st.sampled_from(
        ["", "plain", 'he said "no"', "back\\slash", "two\nlines", "tab\t", "'''", '"""', "# no comment"]
    ),
)
KEYS = st.one_of(st.sampled_from(NAMES), st.text("abc1-_ é\"'.", max_size=4))
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(KEYS, inner, max_size=4)),
    max_leaves=12,
)
TABLES = st.dictionaries(KEYS, VALUES, max_size=6)


class Speller:
    """Spells a table of values as TOML, in ways chosen by a seed."""

    def __init__(self, seed: int, newline: str = "\n") -> None:
        self.pick = random.Random(seed)
        self.comments = 0
        self.newline = newline

    def text(self, table: dict) -> str:
        lines = self.comment_lines()
        self.table(lines, (), table)
        text = self.newline.join(lines)
        return text + self.pick.choice(["", self.newline, self.newline * 2])

    def comment(self) -> str:
        self.comments += 1
        return f"# remark {self.comments} [no] = 'head' \""

    def comment_lines(self) -> list[str]:
        return [self.pick.choice(["", "  ", self.comment()]) for _ in range(self.pick.choice([0, 0, 1, 2]))]

    def trailing(self) -> str:
        return self.pick.choice(["", "", " ", "  " + self.comment()])

    def table(self, lines: list[str], path: tuple, table: dict) -> None:
        later = []
        for key, value in table.items():
            elements = isinstance(value, list) and value and all(isinstance(one, dict) for one in value)
            if elements or (isinstance(value, dict) and self.pick.random() < 0.6):
                later.append((key, value))
            elif isinstance(value, dict) and value and self.pick.random() < 0.5:
                self.dotted(lines, (key,), value)
            else:
                self.pair(lines, (key,), value)
        for key, value in later:
            for one in value if isinstance(value, list) else [value]:
                opening, closing = ("[[", "]]") if isinstance(value, list) else ("[", "]")
                lines += self.comment_lines()
                head = f"{opening}{self.space()}{self.keys((*path, key))}{closing}"
                lines.append(self.indent() + head + self.trailing())
                self.table(lines, (*path, key), one)

    def dotted(self, lines: list[str], keys: tuple, table: dict) -> None:
        for key, value in table.items():
            if isinstance(value, dict) and value and self.pick.random() < 0.5:
                self.dotted(lines, (*keys, key), value)
            else:
                self.pair(lines, (*keys, key), value)

    def pair(self, lines: list[str], keys: tuple, value: object) -> None:
        lines += self.comment_lines()
        lines.append(
            f"{self.indent()}{self.keys(keys)}{self.space()}={self.space()}{self.value(value)}{self.trailing()}"
        )

    def indent(self) -> str:
        return self.pick.choice(["", "", "  ", "\t"])

    def space(self) -> str:
        return self.pick.choice(["", " ", " ", "  "])

    def keys(self, keys: tuple) -> str:
        return self.pick.choice([".", ".", " . "]).join(self.key(one) for one in keys)

    def key(self, key: str) -> str:
        spellings = [self.basic(key)]
        if key and all(one.isascii() and (one.isalnum() or one in "-_") for one in key):
            spellings += [key, key]
        if "'" not in key and key.isprintable():
            spellings.append(f"'{key}'")
        return self.pick.choice(spellings)

    def value(self, value: object, braces: bool = False) -> str:
        if isinstance(value, bool):
            return "true" if value else "false"
        if isinstance(value, int):
            return self.whole(value)
        if isinstance(value, float):
            return repr(value)
        if isinstance(value, str):
            return self.string(value)
        if isinstance(value, list):
            return self.array(value)
        inside = f"{self.space()},{self.space()}".join(
            f"{self.key(key)}{self.space()}={self.space()}{self.value(one, True)}"
            for key, one in value.items()
        )
        return f"{{{self.space()}{inside}{self.space()}}}"

    def whole(self, value: int) -> str:
        spellings = [str(value), f"{value:_}"]
        if value >= 0:
            spellings += [f"+{value}", f"0x{value:x}", f"0o{value:o}", f"0b{value:b}"]
        return self.pick.choice(spellings)

    def array(self, value: list) -> str:
        if not value or self.pick.random() < 0.6:
            comma = self.pick.choice(["", ",", " , "]) if value else ""
            return f"[{self.space()}{', '.join(self.value(one) for one in value)}{comma}{self.space()}]"
        lines = ["[" + self.trailing()]
        for at, one in enumerate(value):
            lines += self.comment_lines()
            comma = self.pick.choice([",", " ,"]) if at < len(value) - 1 else self.pick.choice(["", ","])
            lines.append(f"    {self.value(one)}{comma}{self.trailing()}")
        return self.newline.join([*lines, *self.comment_lines(), self.indent() + "]"])

    def string(self, value: str) -> str:
        spellings = [self.basic(value), '"""' + self.newline + self.basic(value)[1:-1] + '"""']
        if value.isprintable() and "'" not in value:
            spellings += [f"'{value}'", f"'''{value}'''"]
        return self.pick.choice(spellings)

    def basic(self, value: str) -> str:
        named = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}
        return '"' + "".join(self.sign(one, named) for one in value) + '"'

    def sign(self, one: str, named: dict) -> str:
        if one in named:
            return named[one]
        if one.isprintable() and self.pick.random() < 0.9:
            return one
        return f"\\u{ord(one):04x}" if ord(one) < 0x10000 else f"\\U{ord(one):08X}"
