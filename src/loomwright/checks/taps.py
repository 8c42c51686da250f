"""Joints into the car's own wires: which are refused, which need care, what the meter said."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import live, named
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.model.device import Device, Tap
from loomwright.model.words import CircuitKind
from loomwright.sources import PRACTICE, Mark, Source

TAP_01: Final = Entry(
    "TAP-01",
    "Tap into airbag or seat-belt wiring",
    FAULT,
    "A meter, a joint or a wrong current there can fire it in somebody's face, or keep it from firing.",
    Source(Mark.PRACTICE, "service texts of many makers: do not cut, splice, probe or re-route"),
    ("register", "circuits", "build order"),
    accept=False,
)
TAP_02: Final = Entry(
    "TAP-02",
    "Tap into brake or steering wiring",
    CAUTION,
    "A bad joint there takes brakes, stability control or steering help away without a warning.",
    Source(Mark.PRACTICE, "only with the car maker's diagram"),
    ("register", "circuits"),
)
TAP_03: Final = Entry(
    "TAP-03",
    "Tap not measured",
    CAUTION,
    "Colours of car wiring repeat; only the meter tells whether it is the wire that is meant.",
    PRACTICE,
    ("test",),
)
TAP_04: Final = Entry(
    "TAP-04",
    "Meter says something else than the tap",
    CAUTION,
    "What was measured doesn't fit what the wire is taken for.",
    PRACTICE,
    ("circuits",),
)
TAP_05: Final = Entry(
    "TAP-05",
    "Tap not described",
    NOTE,
    "Colour, size and place are needed to find the wire again.",
    PRACTICE,
    ("register",),
)
ENTRIES: Final = (TAP_01, TAP_02, TAP_03, TAP_04, TAP_05)
NEVER_TOUCHED: Final = (
    "airbag",
    "air bag",
    "srs",
    "pretensioner",
    "seat belt",
    "seatbelt",
    "squib",
    "restraint",
)
WITH_CARE: Final = ("brake", "abs", "esp", "stability", "steering", "eps")
LIVE_V: Final = 1.0  # ours: above it a wire counts as live with the key off
ENOUGH_V: Final = 7.0  # ours: below it most controllers reset


def _taps(worked: Worked) -> Iterator[tuple[Device, Tap]]:
    for device in live(worked.job):
        if device.tap is not None:
            yield device, device.tap


def _told(device: Device, tap: Tap) -> str:
    """What a tap's wire belongs to: its system; where none is told, what its circuits are called.

    Where the joint lies says nothing of the wire: many an ignition wire passes behind an airbag.
    """
    return (tap.system or " ".join(p.circuit for p in device.pins)).lower()


def airbag_tap(worked: Worked) -> Iterator[Finding]:
    """TAP-01: anything that looks like airbag or seat-belt wiring."""
    for device, tap in _taps(worked):
        word = next((w for w in NEVER_TOUCHED if _has(_told(device, tap), w)), "")
        if word:
            yield TAP_01.at(
                device.name,
                device.path,
                f'{device.name} taps a wire entered as "{tap.system or word}" ({tap.colour or "no colour"}, '
                f"{tap.place or tap.plug or 'no place'}).",
                "Airbag and seat-belt wiring is not cut, spliced, probed or moved.",
                "Take the feed or signal from another system, and leave this one to a qualified person.",
                subject=device.name,
            )


def _has(text: str, word: str) -> bool:
    return word in text if len(word) > 4 else word in text.replace("/", " ").replace(",", " ").split()


def brake_tap(worked: Worked) -> Iterator[Finding]:
    """TAP-02: brake, stability or steering wiring."""
    for device, tap in _taps(worked):
        word = next((w for w in WITH_CARE if _has(_told(device, tap), w)), "")
        if word:
            yield TAP_02.at(
                device.name,
                device.path,
                f"{device.name} taps a wire of the {tap.system or word} system "
                f"({tap.colour or 'no colour'}).",
                "Leave these systems alone, or work from the car maker's diagram.",
                "Find another wire with the same signal; else check every function of that system "
                "afterwards.",
                subject=device.name,
            )


def tap_not_measured(worked: Worked) -> Iterator[Finding]:
    """TAP-03: meter readings missing."""
    for device, tap in _taps(worked):
        readings = (("key off", tap.key_off_v), ("key on", tap.key_on_v), ("cranking", tap.cranking_v))
        missing = [name for name, volts in readings if volts is None]
        if missing:
            yield TAP_03.at(
                device.name,
                device.path,
                f"{device.name} wasn't read with {named(missing)}.",
                "A wire that is tapped was read with key off, key on and cranking [common practice].",
                "Read it with the meter at the place of the joint, and enter the volts.",
                subject=device.name,
            )


def meter_disagrees(worked: Worked) -> Iterator[Finding]:
    """TAP-04: a switched feed that is live with the key off, dead with it on, or lost while cranking."""
    for device, tap in _taps(worked):
        feeds = [p for p in device.pins if p.kind is CircuitKind.FEED]
        if not feeds:
            continue
        what = ""
        if tap.key_on_v is not None and tap.key_on_v < ENOUGH_V:
            what = f"reads {tap.key_on_v:g} V with the key on, so it feeds nothing"
        elif tap.cranking_v is not None and tap.cranking_v < ENOUGH_V and (tap.key_on_v or 0) >= ENOUGH_V:
            what = f"falls to {tap.cranking_v:g} V while cranking, so the engine won't start on it"
        elif "ignition" in tap.system.lower() and (tap.key_off_v or 0) > LIVE_V:
            what = f"reads {tap.key_off_v:g} V with the key off, so the ignition doesn't switch it"
        if what:
            yield TAP_04.at(
                device.name,
                device.path,
                f"{device.name}, a feed for {feeds[0].circuit}, {what}.",
                "An ignition feed is dead with the key off and live with it on and while cranking.",
                "Take another wire, or correct the readings.",
                subject=device.name,
            )


def tap_not_described(worked: Worked) -> Iterator[Finding]:
    """TAP-05: colour, size or place missing."""
    for device, tap in _taps(worked):
        readings = (("colour", tap.colour), ("size", tap.size), ("place", tap.place or tap.plug))
        missing = [name for name, text in readings if not text]
        if missing:
            yield TAP_05.at(
                device.name,
                device.path,
                f"{device.name} comes without its {named(missing)}.",
                "A tap tells colour, size and place of the car's own wire.",
                "Look again and enter them.",
                subject=device.name,
            )
