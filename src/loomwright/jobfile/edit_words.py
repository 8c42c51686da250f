"""What carrying out edits hands around: splices, edits with their spelling, the result."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from loomwright.edits import Edit
from loomwright.jobfile.toml_text import TomlDocument


class Splice(NamedTuple):
    """A stretch of bytes of a text and what stands there instead."""

    start: int
    end: int
    new: bytes


@dataclass(frozen=True, slots=True)
class WrittenEdit(Edit):
    """A SET that also knows how its value was spelt; the spelling is used while it means the value."""

    written: str = ""


@dataclass(frozen=True, slots=True)
class Applied:
    """Edits carried out.

    Attributes:
        document: the changed text, read again
        inverse: edits that bring the former values back, in the order to carry them out
        back: splices, for the changed text, that bring the former text back byte for byte
    """

    document: TomlDocument
    inverse: tuple[Edit, ...]
    back: tuple[tuple[Splice, ...], ...]

    @property
    def text(self) -> str:
        """The changed text."""
        return self.document.text


def spliced(raw: bytes, splices: Sequence[Splice]) -> tuple[bytes, tuple[Splice, ...]]:
    """Return a text with splices carried out, and the splices that bring it back.

    Args:
        raw: the text
        splices: stretches in order that do not overlap
    """
    parts: list[bytes] = []
    back: list[Splice] = []
    done = written = 0
    for one in splices:
        if not done <= one.start <= one.end <= len(raw):
            raise ValueError("splices overlap or reach past the text")
        parts += (raw[done : one.start], one.new)
        written += one.start - done
        back.append(Splice(written, written + len(one.new), raw[one.start : one.end]))
        written += len(one.new)
        done = one.end
    return b"".join([*parts, raw[done:]]), tuple(back)
