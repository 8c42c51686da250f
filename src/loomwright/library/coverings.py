"""What goes over the wires: shrink sleeves, braid, tube, tape, heat sleeve, boots and grommets."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Final

from loomwright.library.tables import Row, by_name, packaged_rows, pick
from loomwright.sources import Source

NUMBER: Final = re.compile(r"\d+(\.\d+)?(-\d+/\d+|/\d+)?")
NEAR: Final = 0.15  # how near a size's number comes to its bore; ours


@dataclass(frozen=True, slots=True)
class SleeveSize:
    """One size of a heat-shrink sleeve.

    Attributes:
        type: name of the sleeve type
        label: size as printed, "3/8"
        expanded_id_mm: bore as bought, at least
        recovered_id_mm: bore after full free recovery, at most
        wall_mm: wall after full recovery, nominal, liner included
        class_c: highest continuous temperature
        recover_c: temperature the sleeve itself must reach to recover
        glue: whether it has a melting liner
        shortens_pct: loss of length on recovery, to cut long by
        source: where bore and wall come from
    """

    type: str
    label: str
    expanded_id_mm: float
    recovered_id_mm: float
    wall_mm: float
    class_c: float
    recover_c: float
    glue: bool
    shortens_pct: float
    source: Source


@dataclass(frozen=True, slots=True)
class SleeveType:
    """A kind of heat-shrink sleeve in its sizes, smallest first.

    Attributes:
        name: short name
        words: what it is
        use: "section", "branch" or "label"
        glue: whether it has a melting liner
        class_c: highest continuous temperature
        recover_c: temperature the sleeve itself must reach to recover
        shortens_pct: loss of length on recovery
        sizes: by bore as bought
        source: where class and recovery come from
    """

    name: str
    words: str
    use: str
    glue: bool
    class_c: float
    recover_c: float
    shortens_pct: float
    sizes: tuple[SleeveSize, ...]
    source: Source

    def size(self, label: str) -> SleeveSize:
        """Return the size with that printed label.

        Raises:
            OutOfRange: there is none; the message names the nearest.
        """
        return pick(f"size of {self.name}", label, by_name(self.sizes, lambda one: one.label))


@dataclass(frozen=True, slots=True)
class CoverSize:
    """One size of a covering that doesn't shrink.

    Attributes:
        type: name of the covering
        label: size as printed
        how: "slide on", "split" or "wrap"; only "slide on" has to go on before an end is finished
        min_bundle_mm: smallest bundle it suits
        max_bundle_mm: largest bundle it suits
        id_mm: bore, None for a tape
        wall_mm: thickness it adds on each side, a half-lapped tape counted as two layers
        class_c: highest continuous temperature
        source: where the figures come from
    """

    type: str
    label: str
    how: str
    min_bundle_mm: float
    max_bundle_mm: float
    id_mm: float | None
    wall_mm: float
    class_c: float
    source: Source

    def outside_mm(self, bundle_mm: float) -> float:
        """Return the outside diameter on that bundle: a tube keeps its own, the others follow the bundle."""
        inner = bundle_mm
        if self.id_mm is not None and (self.how == "split" or "conduit" in self.type):
            inner = max(bundle_mm, self.id_mm)
        return inner + 2 * self.wall_mm


@dataclass(frozen=True, slots=True)
class CoverType:
    """A covering that doesn't shrink, in its sizes; `use` is "section", "branch" or "heat"."""

    name: str
    words: str
    use: str
    sizes: tuple[CoverSize, ...]
    source: Source


@dataclass(frozen=True, slots=True)
class Boot:
    """A moulded shrink boot or branch piece: its large and its small lip, expanded and recovered."""

    shape: str
    label: str
    large_expanded_mm: float
    large_recovered_mm: float
    small_expanded_mm: float
    small_recovered_mm: float
    length_mm: float
    class_c: float
    source: Source


@dataclass(frozen=True, slots=True)
class Grommet:
    """A bulkhead grommet: its hole and the sheathed bundles it seals; bore None if cut to the bundle."""

    label: str
    panel_hole_mm: float
    bore_mm: float | None
    min_bundle_mm: float
    max_bundle_mm: float
    split: bool
    source: Source


@cache
def sleeves() -> Mapping[str, SleeveType]:
    """Return the heat-shrink sleeves by name, each with its sizes."""
    size_rows = packaged_rows("sleeves.csv")
    types = (_sleeve_type(row, size_rows) for row in packaged_rows("sleeve_types.csv"))
    return by_name(types, lambda one: one.name)


def sleeve(name: str) -> SleeveType:
    """Return a sleeve type.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("sleeve", name, sleeves())


@cache
def covers() -> Mapping[str, CoverType]:
    """Return the coverings that don't shrink by name, each with its sizes."""
    sizes = tuple(map(_cover_size, packaged_rows("coverings.csv")))
    types = (_cover_type(row, sizes) for row in packaged_rows("covering_types.csv"))
    return by_name(types, lambda one: one.name)


def cover(name: str) -> CoverType:
    """Return a covering that doesn't shrink.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("covering", name, covers())


@cache
def printed_size(name: str, label: str) -> str:
    """Return a size with its unit where its label is a bare number: "1/2 in", "12 mm", "NW 10".

    Args:
        name: sleeve or covering; one the library doesn't know keeps its label as it is
        label: size as the library has it, "" = none
    Source: the unit is the one in which the number comes within 15 % of the bore.
    """
    if not NUMBER.fullmatch(label):
        return label
    bores: dict[str, float | None] = {}
    if name in sleeves():
        bores = {one.label: one.expanded_id_mm for one in sleeves()[name].sizes}
    elif name in covers():
        bores = {one.label: one.id_mm for one in covers()[name].sizes}
    bore = bores.get(label)
    if bore is None:
        return label
    number = float(sum(Fraction(part) for part in label.split("-")))
    near = (unit for unit, mm in (("in", 25.4), ("mm", 1.0)) if abs(number * mm - bore) < NEAR * bore)
    return " ".join((label, *near))


@cache
def boots() -> tuple[Boot, ...]:
    """Return the moulded boots and branch pieces, by shape and size."""
    return tuple(
        Boot(
            shape=row.name("shape"),
            label=row.name("label"),
            large_expanded_mm=row.number("large_expanded_mm"),
            large_recovered_mm=row.number("large_recovered_mm"),
            small_expanded_mm=row.number("small_expanded_mm"),
            small_recovered_mm=row.number("small_recovered_mm"),
            length_mm=row.number("length_mm"),
            class_c=row.number("class_c"),
            source=row.source(),
        )
        for row in packaged_rows("boots.csv")
    )


@cache
def grommets() -> tuple[Grommet, ...]:
    """Return the bulkhead grommets, in the order of the table."""
    return tuple(
        Grommet(
            label=row.name("label"),
            panel_hole_mm=row.number("panel_hole_mm"),
            bore_mm=row.number_or_none("bore_mm"),
            min_bundle_mm=row.number("min_bundle_mm"),
            max_bundle_mm=row.number("max_bundle_mm"),
            split=row.yes("split"),
            source=row.source(),
        )
        for row in packaged_rows("grommets.csv")
    )


def _sleeve_type(row: Row, size_rows: tuple[Row, ...]) -> SleeveType:
    name, glue = row.name("name"), row.yes("glue")
    class_c, recover_c, shortens = row.number("class_c"), row.number("recover_c"), row.number("shortens_pct")
    sizes = [
        SleeveSize(
            type=name,
            label=one.name("label"),
            expanded_id_mm=one.number("expanded_id_mm"),
            recovered_id_mm=one.number("recovered_id_mm"),
            wall_mm=one.number("wall_mm"),
            class_c=class_c,
            recover_c=recover_c,
            glue=glue,
            shortens_pct=shortens,
            source=one.source(),
        )
        for one in size_rows
        if one.text("type") == name
    ]
    ordered = tuple(sorted(sizes, key=lambda one: one.expanded_id_mm))
    use = row.name("use")
    return SleeveType(name, row.text("words"), use, glue, class_c, recover_c, shortens, ordered, row.source())


def _cover_size(row: Row) -> CoverSize:
    return CoverSize(
        type=row.name("type"),
        label=row.name("label"),
        how=row.name("how"),
        min_bundle_mm=row.number("min_bundle_mm"),
        max_bundle_mm=row.number("max_bundle_mm"),
        id_mm=row.number_or_none("id_mm"),
        wall_mm=row.number("wall_mm"),
        class_c=row.number("class_c"),
        source=row.source(),
    )


def _cover_type(row: Row, sizes: tuple[CoverSize, ...]) -> CoverType:
    name = row.name("name")
    own = sorted((one for one in sizes if one.type == name), key=lambda one: one.max_bundle_mm)
    return CoverType(name, row.text("words"), row.name("use"), tuple(own), row.source())
