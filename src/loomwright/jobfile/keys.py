"""Every key of the job file, in one table: it drives decoding, unknown-key findings and the manual's test."""

from dataclasses import fields
from types import MappingProxyType
from typing import Final

from loomwright.jobfile.key_forms import BOUNDS, FORMAT, LEAST_MM, MOST, MOST_MM, Form, Key
from loomwright.jobfile.key_forms import flags as _flags
from loomwright.jobfile.key_forms import mm as _mm
from loomwright.jobfile.key_forms import number as _number
from loomwright.jobfile.key_forms import text as _text
from loomwright.jobfile.key_forms import texts as _texts
from loomwright.model.shop import Shop
from loomwright.model.words import (
    CableKind,
    CircuitKind,
    DeviceState,
    HazardKind,
    Join,
    Level,
    Side,
    Supplied,
)
from loomwright.sources import OURS, Figure

_KINDS: Final = tuple(CircuitKind)
_SIDES: Final = tuple(Side)
_COVERINGS: Final = ("sleeve", "braid", "convoluted tube", "tape", "none")
_LAYS: Final = ("straight", "concentric")
_DUTY: Final = Key("duty", Form.NUMBER, "", 0.0, 1.0)

CAVITY: Final = (
    _text("circuit", needed=True),
    _number("amps", "A"),
    _number("peak_amps", "A"),
    _DUTY,
    _text("kind", *_KINDS),
    _text("side", *_SIDES),
    *_texts("words", "pair", "group", "contact", "size", "source"),
    *_flags("critical", "screened"),
)

CONNECTOR: Final = (
    *_texts("face", "contact", "part", "mates", "boot"),
    *_flags("face_checked", "fixed", "empty_plugged"),
    _text("supplied", *Supplied),
    *_mm("lead_mm", "allowance_mm", "depth_mm", "width_mm", "height_mm"),
    Key("lead_colours", Form.TEXT_BY_NAME),
    _text("through_bulkhead", "before", "after", ""),
    Key("cavity", Form.PIN_BY_NAME, keys=CAVITY),
)

DEVICE: Final = (
    *_texts("is", "words", "area", "note", "driver", "family"),
    _text("state", *DeviceState),
    *_flags("settled"),
    *CONNECTOR,
    Key("connector", Form.NAMED, keys=CONNECTOR),
)

CIRCUIT: Final = (
    _text("kind", *_KINDS),
    _text("join", *Join),
    *_texts("join_at", "size", "family", "colour", "reason"),
    _number("amps", "A"),
    _DUTY,
    Key("splice_at", Form.TABLE, keys=(_text("section", needed=True), *_mm("mm", needed=True))),
    Key("order", Form.TEXTS),
    *_flags("intermittent", "critical"),
)

PROTECTION_KINDS: Final = ("mini fuse", "blade fuse", "maxi fuse", "link", "breaker", "trip")
FUSE: Final = (
    _text("kind", *PROTECTION_KINDS),
    _number("amps", "A", above=True, needed=True),
    _text("line", needed=True),
    _text("load", needed=True),
    _text("device"),
    *_mm("from_source_mm"),
)

CABLE: Final = (
    _text("kind", *CableKind, needed=True),
    Key("circuits", Form.TEXTS, needed=True),
    *_texts("stock", "screen"),
    _number("pitch_mm", "mm", LEAST_MM),
)

TAP: Final = (
    _text("circuit", needed=True),
    _text("kind", *_KINDS),
    _text("side", *_SIDES),
    _number("amps", "A"),
    *_texts("colour", "size", "plug", "cavity", "place", "system", "area"),
    _number("key_off_v", "V"),
    _number("key_on_v", "V"),
    _number("cranking_v", "V"),
)

MEASURED_TO: Final = ("centre", "wire exit", "mating face", "device")
METHODS: Final = ("hand", "tape", "photo", "form", "drawing")
ROPE: Final = (
    *_texts("loom", "file"),
    _text("from", needed=True),
    Key("reads", Form.ROWS),
    Key("parts", Form.ROWS),
    *_mm("give_mm", "common_mm"),
    _text("method", *METHODS),
)

SECTION: Final = (
    _text("loom"),
    _number("mm", "mm", LEAST_MM, needed=True),
    *_mm("give_mm"),
    _text("measured_to", *MEASURED_TO),
    _text("method", *METHODS),
)

BUILD: Final = (
    _text("loom"),
    _number("mm", "mm", LEAST_MM, needed=True),
    *_mm("give_mm"),
    _text("reason"),
    Key("beside", Form.ROWS),
)

BOARD: Final = (
    _text("loom"),
    _number("angle_deg", "degrees", -360.0, high=360.0, needed=True),
    _text("reason"),
)

NEAR: Final = (
    _text("what", *HazardKind, needed=True),
    *_mm("mm", needed=True),
    *_mm("at_mm", "over_mm"),
    *_texts("shielded_by", "words"),
    *_flags("crosses", "above"),
    _number("temperature_c", "degrees C"),
)

PASSES: Final = (
    *_texts("area", "via", "sleeve", "photo"),
    _number("air_c", "degrees C"),
    Key("near", Form.LIST, keys=NEAR),
    Key(
        "bends",
        Form.LIST,
        keys=(
            *_mm("at_mm", needed=True),
            _number("radius_mm", "mm", LEAST_MM, needed=True),
            _number("angle_deg", "degrees", high=180.0, needed=True),
            *_mm("support_mm"),
        ),
    ),
    Key("ties", Form.LIST, keys=(*_mm("at_mm", needed=True), *_texts("to", "what"))),
    _text("covering", *_COVERINGS),
    _text("lay", *_LAYS),
    _number("measured_od_mm", "mm", LEAST_MM),
    *_mm("loop_mm"),
    _number("twist_deg", "degrees", -720.0, high=720.0),
)

MAP_EXITS: Final = Figure(8.0, OURS)
"""Sections at one branch point, where a map says nothing."""
MAP_BRANCH_MM: Final = Figure(60.0, OURS)
"""Least length between two branch points, for their covers [mm]."""
MAP_END_MM: Final = Figure(50.0, OURS)
"""Least length from a branch point to an end [mm]."""
MAP: Final = (
    _text("loom"),
    Key("exits", Form.WHOLE, low=3, high=50),
    *_mm("branch_mm", "end_mm"),
    Key("apart", Form.ROWS),
    Key(
        "point",
        Form.NAMED,
        keys=(Key("at", Form.ROWS), Key("tape", Form.ROWS), _number("hole_mm", "mm", LEAST_MM)),
    ),
    Key(
        "link",
        Form.NAMED,
        keys=(
            _number("mm", "mm", LEAST_MM),
            _number("bore_mm", "mm", LEAST_MM),
            _number("air_c", "degrees C"),
            _number("hazard", ""),
            *_flags("factory", "guess"),
            _text("needs"),
        ),
    ),
    Key("part", Form.NAMED, keys=(_number("price", "", needed=True), _text("words"))),
)

PHOTO: Final = (
    _text("file", needed=True),
    _text("words"),
    Key("points", Form.ROWS_BY_NAME),
    Key("lines", Form.ROWS_BY_NAME),
)

INSTRUMENTS: Final = ("beeper", "hand meter", "4-wire")
_SHOP_CHOICES: Final = ("lay", "covering", "instrument")
_SHOP_WORDS: Final = tuple(f.name for f in fields(Shop) if f.type is str and f.name not in _SHOP_CHOICES)
SHOP_NUMBERS: Final = tuple(
    f.name for f in fields(Shop) if f.name not in (*_SHOP_WORDS, *_SHOP_CHOICES, "colours")
)
_SHOP_BOUNDS: Final = MappingProxyType(
    {
        "take_up_straight": (0.0, 0.2),
        "take_up_concentric": (0.0, 0.2),
        "cut_step_mm": (LEAST_MM, 1000.0),
        "stretch_per_m_mm": (0.0, 100.0),
        "bundle_factor": (1.1, 1.45),
        "film_tape_mm": (0.0, 2.0),
        "bend_bundle_x": (0.0, 100.0),
        "bend_member_x": (0.0, 100.0),
        "splice_max_wires": (3.0, 20.0),
        "sleeve_extra": (0.0, 0.15),
        "contact_spare": (0.0, 10.0),
        "wire_spare": (0.0, 10.0),
        "min_mm2": (0.0, 120.0),
        "drop_limit_v": (0.0, 60.0),
        "pair_pitch_mm": (LEAST_MM, 1000.0),
        "contact_ohm": (0.0, 10.0),
        "signal_amps": (0.0, 10.0),
    }
)
"""What the sums hold for; where they hold for more, what no shop goes beyond (ours)."""


def _shop_number(name: str) -> Key:
    unit = "mm" if name.endswith("_mm") else ""
    low, high = _SHOP_BOUNDS.get(name, BOUNDS.get(unit, (0.0, MOST)))
    return _number(name, unit, low, high=high)


SHOP: Final = (
    *_texts(*_SHOP_WORDS),
    _text("lay", *_LAYS),
    _text("covering", *_COVERINGS),
    _text("instrument", *INSTRUMENTS),
    Key("colours", Form.TEXTS),
    *(_shop_number(name) for name in SHOP_NUMBERS),
)

ROOT: Final = Key(
    "",
    Form.TABLE,
    keys=(
        Key("format", Form.WHOLE, low=1),
        Key(
            "job",
            Form.TABLE,
            keys=(
                *_texts("title", "customer", "car", "revision"),
                *_flags("demo"),
                _number("volts", "V", 0.0, above=True),
                _text("level", *Level),
                _text("paper", "A4", "Letter"),
            ),
        ),
        Key("supply", Form.TABLE, keys=(_number("ohm", "ohm"),)),
        Key("shop", Form.TABLE, keys=SHOP),
        Key(
            "throttle",
            Form.TABLE,
            keys=(_text("linkage", "cable", "rod", "electronic", "none"), *_mm("clear_mm")),
        ),
        Key(
            "area",
            Form.NAMED,
            keys=(
                _number("air_c", "degrees C", needed=True),
                *_mm("moves_mm"),
                _text("side", "bay", "cabin"),
                *_flags("splash"),
            ),
        ),
        Key(
            "loom",
            Form.NAMED,
            keys=(
                _text("datum", needed=True),
                _number("hole_mm", "mm", LEAST_MM),
                *_texts("area", "words"),
                Key("terminators", Form.WHOLE, low=0),
            ),
        ),
        Key("device", Form.NAMED, keys=DEVICE),
        Key("circuit", Form.NAMED, keys=CIRCUIT),
        Key("fuse", Form.NAMED, keys=FUSE),
        Key("cable", Form.NAMED, keys=CABLE),
        Key("spare", Form.NAMED, keys=(_text("a", needed=True), _text("b", needed=True), _text("size"))),
        Key("tap", Form.NAMED, keys=TAP),
        Key("rope", Form.NAMED, keys=ROPE),
        Key("section", Form.NAMED, keys=SECTION),
        Key("build", Form.NAMED, keys=BUILD),
        Key("passes", Form.NAMED, keys=PASSES),
        Key("photo", Form.NAMED, keys=PHOTO),
        Key("map", Form.NAMED, keys=MAP),
        Key("exit", Form.TEXTS_BY_NAME),
        Key("board", Form.NAMED, keys=BOARD),
        Key("plan", Form.TABLE, keys=(*_texts("chosen", "reason"), Key("priced", Form.ROWS))),
        Key("face", Form.NAMED, keys=(_text("text", needed=True),)),
        Key(
            "accept",
            Form.LIST,
            keys=(_text("finding", needed=True), _text("reason", needed=True), _text("by", needed=True)),
        ),
    ),
)

OWN_MINUTES: Final = (
    "per_device",
    "per_controller_pin",
    "per_branch",
    "per_wire",
    "per_pair",
    "per_screen_end",
    "per_splice",
    "per_section",
    "per_branch_point",
    "per_label",
    "per_wire_end",
    "per_wire_test",
    "per_device_test",
)
"""The builder's own minutes, in stock.toml and scope.toml."""
RATES: Final = ("hour", "branch_point", "breakout")
"""What an hour costs, and what a branch point and a breakout cost beyond their goods and minutes."""
STOCK_KINDS: Final = ("wire", "cable", "sleeve", "cover", "splice", "contact", "fuse", "part")
STOCK: Final = Key(
    "",
    Form.TABLE,
    keys=(
        Key("format", Form.WHOLE, low=1),
        Key(
            "item",
            Form.LIST,
            keys=(
                _text("kind", *STOCK_KINDS, needed=True),
                _text("name", needed=True),
                *_texts("size", "colour", "note"),
                _number("have", ""),
                _number("price", ""),
            ),
        ),
        Key("minutes", Form.TABLE, keys=tuple(_number(name, "minutes", high=1000.0) for name in OWN_MINUTES)),
        Key("rates", Form.TABLE, keys=tuple(_number(name, "", high=1e6) for name in RATES)),
    ),
)

KEPT: Final = ("wire_numbers", "splice_names", "splice_places", "colours", "sizes", "board_angles")

__all__ = [
    "BOUNDS",
    "FORMAT",
    "KEPT",
    "LEAST_MM",
    "MAP_BRANCH_MM",
    "MAP_END_MM",
    "MAP_EXITS",
    "MEASURED_TO",
    "METHODS",
    "MOST",
    "MOST_MM",
    "ROOT",
    "SHOP_NUMBERS",
    "STOCK",
    "Form",
    "Key",
]
