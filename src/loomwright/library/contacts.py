"""Contact classes with their three windows: conductor, insulation grip, seal. Ring terminals too."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from loomwright.library.tables import Row, by_name, packaged_rows, pick
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class ContactClass:
    """A generic class of contact; the maker's figures for the part in hand replace it.

    Attributes:
        name: short name, as the job file gives it
        words: what it is
        family: "machined", "stamped", "machined or stamped" or "ring"
        size: cavity size on a face that takes it ("16", "0.64", "ring M8")
        mm2_min: least true copper
        mm2_max: most true copper
        amps: current of the contact
        insulation_od_min_mm: thinnest insulation the wings grip, None where nothing grips
        insulation_od_max_mm: thickest insulation the wings grip
        seal_od_min_mm: thinnest insulation the seal takes, None for a contact without seal
        seal_od_max_mm: thickest insulation the seal takes
        strip_mm: length to strip
        stud_mm: thread of the stud, None if it is no ring terminal
        source: where the figures come from
    """

    name: str
    words: str
    family: str
    size: str
    mm2_min: float
    mm2_max: float
    amps: float
    insulation_od_min_mm: float | None
    insulation_od_max_mm: float | None
    seal_od_min_mm: float | None
    seal_od_max_mm: float | None
    strip_mm: float
    stud_mm: float | None
    source: Source

    @property
    def sealed(self) -> bool:
        """Whether insulation has to fit a seal."""
        return self.seal_od_min_mm is not None


@cache
def contacts() -> Mapping[str, ContactClass]:
    """Return the contact classes by name."""
    return by_name(map(_contact, packaged_rows("contacts.csv")), lambda one: one.name)


def contact(name: str) -> ContactClass:
    """Return a contact class.

    Raises:
        OutOfRange: there is none of that name; the message gives the nearest names.
    """
    return pick("contact", name, contacts())


def contacts_of_size(size: str) -> tuple[ContactClass, ...]:
    """Return the classes that go into a cavity of that size, in the order of the table."""
    return tuple(one for one in contacts().values() if one.size == size)


def _contact(row: Row) -> ContactClass:
    return ContactClass(
        name=row.name("name"),
        words=row.name("words"),
        family=row.name("family"),
        size=row.name("size"),
        mm2_min=row.number("mm2_min"),
        mm2_max=row.number("mm2_max"),
        amps=row.number("amps"),
        insulation_od_min_mm=row.number_or_none("grip_min_mm"),
        insulation_od_max_mm=row.number_or_none("grip_max_mm"),
        seal_od_min_mm=row.number_or_none("seal_min_mm"),
        seal_od_max_mm=row.number_or_none("seal_max_mm"),
        strip_mm=row.number("strip_mm"),
        stud_mm=row.number_or_none("stud_mm"),
        source=row.source(),
    )
