"""Continuity and loaded tests as the instrument at hand can see them: beeper, hand meter, 4-wire meter."""

from types import MappingProxyType
from typing import Final

from loomwright.calc.expected import lamp_amps, millivolts
from loomwright.pack.nets_by_wire import Reading
from loomwright.pack.pages import Column, Row
from loomwright.pack.view import View

BELOW: Final = "below 1"  # ohm, through a screen of which no resistance is known; ours
BEEPER: Final = "beeper"
FOUR_WIRE: Final = "4-wire"
JOINT_LOW_OHM: Final = 0.010  # a joint seen by a 4-wire meter, common practice
JOINT_HIGH_OHM: Final = 0.020
LOAD_A: Final = 5.0  # common practice
LAMP_W: Final = 21.0  # the lamp of a flashing or brake light
LAMP_V: Final = 12.0  # what it is rated at
VALUE: Final = Column("measured", kind="blank", width_mm=20.0)
WHO: Final = Column("initials", kind="blank", width_mm=15.0)
BEEPS: Final = Column("beeps", kind="tick")
WHERE: Final = (Column("from", bold=True), Column("to", bold=True), Column("circuit"), Column("wires"))
COLUMNS: Final = MappingProxyType(
    {
        BEEPER: (*WHERE, BEEPS, WHO),
        "hand meter": (*WHERE, BEEPS, Column("expected", "ohm", "number", decimals=1), VALUE, WHO),
        FOUR_WIRE: (
            *WHERE,
            Column("expected", "mOhm", "number", decimals=0),
            Column("at most", "mOhm", "number", decimals=0),
            VALUE,
            WHO,
        ),
    }
)
LOADED: Final = (
    Column("from", bold=True),
    Column("to", bold=True),
    Column("circuit"),
    Column("wires alone, 5 A", "mV", "number", decimals=0),
    Column("with joints, 5 A", "mV", "number", decimals=0),
    Column("with joints, lamp", "mV", "number", decimals=0),
    VALUE,
    WHO,
)
COUNTED: Final = (
    "Ohms are those of the wires at 20 °C, at most, and {joint} for every contact and splice, {source}. "
)
HOW: Final = MappingProxyType(
    {
        BEEPER: (
            "A beeper tells the right pin, an open wire and a short, and nothing else: a crimp on its last "
            "strand beeps like a sound one. So every feed and ground also takes the test under load, "
            "and every crimp the pull sample and the tug."
        ),
        "hand meter": (
            COUNTED + "A hand meter reads to 0.1 ohm: hold the leads together first and take that off. It "
            "finds wrong pins, open wires and very bad joints; a weak crimp shows only under load. Tick "
            "what a beeper tells, where that is all there is. Below 1 [ours]: a screen "
            "is on the way, of which no resistance is known."
        ),
        FOUR_WIRE: (
            "Milliohms of the wires at 20 °C, at most, and 10 mOhm for every contact and splice, 20 mOhm "
            "for the most it may show [common practice]. Current leads outside, sense leads inside, on the "
            "contact itself. Above the most: look for the weak crimp. A screen is closed, below 1 ohm [ours]."
        ),
    }
)


def instrument_of(view: View) -> str:
    """Return the instrument the job names; the hand meter where it names none we know."""
    named = view.job.shop.instrument
    return named if named in COLUMNS else "hand meter"


def continuity_columns(view: View) -> tuple[Column, ...]:
    """Return the columns of the continuity test."""
    return COLUMNS[instrument_of(view)]


def continuity_words(view: View) -> str:
    """Return how to read its figures, and what the instrument can't see."""
    joint = view.job.shop.contact_ohm
    return HOW[instrument_of(view)].format(joint=f"{1000 * joint.value:.0f} mOhm", source=joint.source)


def continuity_row(view: View, reading: Reading) -> Row:
    """Return one line of the continuity test."""
    where = (reading.start, reading.end, reading.circuit, ", ".join(w.label for w in reading.wires))
    match instrument_of(view):
        case "beeper":
            return (*where, None, "")
        case "4-wire":
            low, high = four_wire_mohm(reading)
            return (*where, low, high, "", "")
        case _:
            return (*where, None, BELOW if reading.ohm is None else reading.ohm, "", "")


def joints(reading: Reading) -> int:
    """Return how many contacts and splices lie on the way: one more than wires."""
    return len(reading.wires) + 1


def four_wire_mohm(reading: Reading) -> tuple[float | str, float | str]:
    """Return what a 4-wire meter should show, and at most [mOhm]; words where a screen is on the way."""
    if reading.ohm is None:
        return "closed", f"{BELOW} ohm"
    count = joints(reading)
    return 1000 * (reading.wire_ohm + count * JOINT_LOW_OHM), 1000 * (
        reading.wire_ohm + count * JOINT_HIGH_OHM
    )


def loaded_row(reading: Reading) -> Row:
    """Return one line of the test under load."""
    ohm = reading.ohm or 0.0
    lamp = millivolts(ohm, lamp_amps(LAMP_W, LAMP_V))
    alone, whole = millivolts(reading.wire_ohm, LOAD_A), millivolts(ohm, LOAD_A)
    return (reading.start, reading.end, reading.circuit, alone, whole, lamp, "", "")
