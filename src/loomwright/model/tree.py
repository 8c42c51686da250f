"""The loom as a tree of sections: what will be built."""

from dataclasses import dataclass
from functools import cached_property

from loomwright.edits import Path
from loomwright.model.rope import Exit, Passes


@dataclass(frozen=True, slots=True)
class CoRun:
    """Another section that runs beside this one from the same branch point, for `until_mm`."""

    section: str
    until_mm: float


@dataclass(frozen=True, slots=True)
class Section:
    """A named length of loom between two points, in its own sheath.

    Attributes:
        name: "B1-B2": inner (nearer the datum) and outer point
        length_mm: centre line, to the wire exit at an end [mm]
        own_mm: give or take of this section alone [mm]
        common_mm: doubt it shares with the other sections of its tape [mm]
        origin: where the length comes from, "rope trunk: 1020 - 640"
        co_runs: sections that run beside it
        area: area it lies in, "" = none
        air_c: air temperature it lies in [degrees C]
        readings: (name, sign, give or take in mm) of every reading its length is the signed sum of, so that
            a reading two neighbours share cancels on a way over both; () = `own_mm` stands for itself
    """

    name: str
    loom: str
    inner: str
    outer: str
    length_mm: float
    own_mm: float
    common_mm: float
    origin: str
    tape: str
    path: Path
    co_runs: tuple[CoRun, ...] = ()
    area: str = ""
    air_c: float = 20.0
    readings: tuple[tuple[str, float, float], ...] = ()
    passes: Passes | None = None


@dataclass(frozen=True)
class Tree:
    """One loom's tree.

    Attributes:
        datum: the point all lengths start from
        sections: sorted so that a section comes after the one that leads to it
        ends: rope ends (connector end names), sorted
        exits: how sections leave points
    """

    loom: str
    datum: str
    sections: tuple[Section, ...]
    ends: tuple[str, ...]
    exits: tuple[Exit, ...] = ()

    @cached_property
    def by_name(self) -> dict[str, Section]:
        """Sections by name."""
        return {s.name: s for s in self.sections}

    @cached_property
    def into(self) -> dict[str, Section]:
        """The section that leads to a point from the datum's side; the datum has none."""
        return {s.outer: s for s in self.sections}

    @cached_property
    def out_of(self) -> dict[str, tuple[Section, ...]]:
        """Sections that leave a point away from the datum."""
        found: dict[str, list[Section]] = {}
        for s in self.sections:
            found.setdefault(s.inner, []).append(s)
        return {point: tuple(items) for point, items in found.items()}

    @cached_property
    def from_datum_mm(self) -> dict[str, float]:
        """Running distance of every point from the datum [mm]."""
        found = {self.datum: 0.0}
        for s in self.sections:
            found[s.outer] = found[s.inner] + s.length_mm
        return found

    @cached_property
    def branch_points(self) -> tuple[str, ...]:
        """Points where wires part: two or more sections go on, or one and an end; in tree order."""
        points = [self.datum, *(s.outer for s in self.sections)]
        return tuple(p for p in points if len(self.out_of.get(p, ())) + (p in self.into) >= 3)

    def to_datum(self, point: str) -> tuple[Section, ...]:
        """Return the sections from a point back to the datum, nearest first."""
        way = []
        while (section := self.into.get(point)) is not None:
            way.append(section)
            point = section.inner
        return tuple(way)

    def way(self, a: str, b: str) -> tuple[Section, ...]:
        """Return the sections on the way from point `a` to point `b`, in that order.

        Raises:
            KeyError: a point isn't in the tree.
        """
        up, down = list(self.to_datum(a)), list(self.to_datum(b))
        if (not up and a != self.datum) or (not down and b != self.datum):
            raise KeyError(a if not up and a != self.datum else b)
        while up and down and up[-1] is down[-1]:
            up.pop()
            down.pop()
        return (*up, *reversed(down))
