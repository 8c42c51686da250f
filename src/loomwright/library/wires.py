"""Wire families, their sizes, and cables that are bought ready made."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from loomwright.errors import Unreadable
from loomwright.library.tables import Row, by_name, packaged, packaged_rows, pick, rows
from loomwright.model.words import CableKind
from loomwright.sources import Mark, Source

SYSTEMS: Final = ("AWG", "mm2")
COPPER_G_PER_CM3: Final = 8.89  # IEC 60028, annealed copper at 20 C; from memory
STRAND_FILL: Final = 0.77  # copper in the circle round 7 strands 7/9, round 19 strands 19/25; plane geometry
MASS_SOURCE: Final = Source(Mark.OURS, "copper and insulation by volume, nominal diameter, no lay")


@dataclass(frozen=True, slots=True)
class WireSize:
    """One size of one family of wire.

    Attributes:
        family: name of the family
        label: size as printed on the reel, "22" or "0.5"
        system: "AWG" or "mm2", what the label counts in
        awg_by_area: gauge of a solid wire of the same copper; not the label (a "16" reel may be 17.2)
        area_mm2: true copper
        ohm_per_m_20c_max: highest resistance of a new wire at 20 C
        od_nom_mm: outside diameter, nominal: for bundles
        od_max_mm: outside diameter, largest: for seals and sleeves
        mass_g_per_m: mass
        strands: number of strands
        class_c: highest continuous temperature of the insulation
        source: where strands and diameters come from
        ohm_source: where the resistance comes from
        mass_source: where the mass comes from
    """

    family: str
    label: str
    system: str
    awg_by_area: float
    area_mm2: float
    ohm_per_m_20c_max: float
    od_nom_mm: float
    od_max_mm: float
    mass_g_per_m: float
    strands: int
    class_c: float
    source: Source
    ohm_source: Source
    mass_source: Source

    @property
    def words(self) -> str:
        """The size in both systems, the printed one first: "22 AWG (0.38 mm2)"."""
        if self.system == "AWG":
            return f"{self.label} AWG ({self.area_mm2:.2f} mm2)"
        return f"{self.label} mm2 ({self.awg_by_area:.1f} AWG by area)"


@dataclass(frozen=True, slots=True)
class WireFamily:
    """A family of wire: one build of insulation in its sizes.

    Attributes:
        name: short name, as the job file gives it
        words: what it is
        system: "AWG" or "mm2"
        class_c: highest continuous temperature
        engine_bay: whether the trade puts it under the bonnet
        sizes: by true area, smallest first
        source: where the class comes from
    """

    name: str
    words: str
    system: str
    class_c: float
    engine_bay: bool
    sizes: tuple[WireSize, ...]
    source: Source

    def size(self, label: str) -> WireSize:
        """Return the size with that printed label ("22" or "22 AWG", "0.5", "0.50 mm2").

        Raises:
            OutOfRange: the family has no such size; the message names those it has.
        """
        return pick(f"size of {self.name}", _plain(label), by_name(self.sizes, lambda one: one.label))


@dataclass(frozen=True, slots=True)
class CableStock:
    """A cable bought ready made: twisted, jacketed or screened.

    Attributes:
        name: short name, as the job file gives it
        kind: pair, trio or screened cable
        cores: number of cores
        label: size label of a core
        core_family: wire family of the cores
        core_area_mm2: true copper of one core
        od_max_mm: largest outside diameter of the whole
        mass_g_per_m: mass of the whole
        class_c: highest continuous temperature of cores and jacket
        screened: whether it has a screen
        jacketed: whether it has a jacket
        source: where the figures come from
    """

    name: str
    kind: CableKind
    cores: int
    label: str
    core_family: str
    core_area_mm2: float
    od_max_mm: float
    mass_g_per_m: float
    class_c: float
    screened: bool
    jacketed: bool
    source: Source


def awg_by_area(area_mm2: float) -> float:
    """Return the gauge of a solid wire of that copper; between whole gauges as a fraction.

    Args:
        area_mm2: copper, above 0 [mm2]
    Source: definition of the American wire gauge (ASTM B258): d = 0.127 mm * 92^((36 - n)/39); exact.
    """
    diameter_mm = 2 * math.sqrt(area_mm2 / math.pi)
    return 36 - 39 * math.log(diameter_mm / 0.127, 92)


def read_families(
    sizes_text: str, families_text: str, file: str = "wires.csv", families_file: str = "wire_families.csv"
) -> tuple[WireFamily, ...]:
    """Return wire families read from two tables in the library's own form (see docs/library.md).

    Args:
        sizes_text: table of sizes, columns as in `wires.csv`
        families_text: table of families, columns as in `wire_families.csv`
        file: name of the first, for messages
        families_file: name of the second
    Raises:
        Unreadable: a row can't be read; says the line.
    """
    return _families(rows(families_text, families_file), rows(sizes_text, file))


@cache
def families() -> Mapping[str, WireFamily]:
    """Return the library's wire families by name."""
    read = read_families(packaged("wires.csv"), packaged("wire_families.csv"))
    return by_name(read, lambda one: one.name)


def family(name: str) -> WireFamily:
    """Return a wire family.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("wire family", name, families())


@cache
def cables() -> Mapping[str, CableStock]:
    """Return the library's ready-made cables by name."""
    return by_name(map(_cable, packaged_rows("cables.csv")), lambda one: one.name)


def cable(name: str) -> CableStock:
    """Return a ready-made cable.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("cable", name, cables())


def _families(family_rows: tuple[Row, ...], size_rows: tuple[Row, ...]) -> tuple[WireFamily, ...]:
    named = {row.name("name"): row for row in family_rows}
    for row in size_rows:
        if row.name("family") not in named:
            what = f"Wire family {row.text('family')!r} isn't described;"
            should, remedy = "each family needs a row of its own.", "Add it to the table of families."
            raise Unreadable(row.file, row.line, what, should, remedy)
    own = {name: [one for one in size_rows if one.text("family") == name] for name in named}
    return tuple(_family(row, own[name]) for name, row in named.items())


def _family(row: Row, size_rows: list[Row]) -> WireFamily:
    system = row.name("system")
    if system not in SYSTEMS:
        what, should = f"The system is {system!r};", "it must be AWG or mm2."
        raise Unreadable(row.file, row.line, what, should, "Correct it.")
    sizes = sorted((_size(one, row) for one in size_rows), key=lambda one: one.area_mm2)
    class_c, bay = row.number("class_c"), row.yes("bay")
    return WireFamily(row.name("name"), row.text("words"), system, class_c, bay, tuple(sizes), row.source())


def _size(row: Row, family_row: Row) -> WireSize:
    area, largest = row.number("area_mm2"), row.number("od_max_mm")
    strands = row.whole("strands")
    nominal = row.number_or_none("od_nom_mm")
    if nominal is None:
        nominal = min(largest, _strand_circle_mm(area) + 2 * row.number("wall_mm"))
    mass, mass_source = row.number_or_none("mass_g_per_m"), MASS_SOURCE
    if mass is None:
        mass = _mass_g_per_m(area, nominal, family_row.number("g_per_cm3"))
    else:
        mass_source = row.source("mass_source")
    return WireSize(
        family=row.name("family"),
        label=row.name("label"),
        system=family_row.name("system"),
        awg_by_area=awg_by_area(area),
        area_mm2=area,
        ohm_per_m_20c_max=row.number("mohm_per_m_max") / 1000,
        od_nom_mm=nominal,
        od_max_mm=largest,
        mass_g_per_m=mass,
        strands=strands,
        class_c=family_row.number("class_c"),
        source=row.source("od_source"),
        ohm_source=row.source("ohm_source"),
        mass_source=mass_source,
    )


def _strand_circle_mm(area_mm2: float) -> float:
    return math.sqrt(area_mm2 / STRAND_FILL * 4 / math.pi)


def _mass_g_per_m(area_mm2: float, od_mm: float, insulation_g_per_cm3: float) -> float:
    insulation_mm2 = math.pi / 4 * od_mm**2 - area_mm2 / STRAND_FILL
    return area_mm2 * COPPER_G_PER_CM3 + insulation_mm2 * insulation_g_per_cm3


def _cable(row: Row) -> CableStock:
    core = family(row.name("core_family")).size(row.name("label"))
    return CableStock(
        name=row.name("name"),
        kind=row.choice("kind", CableKind),
        cores=row.whole("cores"),
        label=core.label,
        core_family=core.family,
        core_area_mm2=core.area_mm2,
        od_max_mm=row.number("od_max_mm"),
        mass_g_per_m=row.number("mass_g_per_m"),
        class_c=row.number("class_c"),
        screened=row.yes("screened"),
        jacketed=row.yes("jacketed"),
        source=row.source(),
    )


def _plain(label: str) -> str:
    text = label.strip().removesuffix("AWG").removesuffix("mm2").removesuffix("mm²").strip()
    try:
        return f"{float(text):g}"
    except ValueError:
        return text
