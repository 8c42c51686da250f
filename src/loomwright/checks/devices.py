"""Devices: settled, removed, provided for, described."""

import re
from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, NOTE, Entry
from loomwright.checks.looking import live, named
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Path, Verb
from loomwright.findings import Finding
from loomwright.jobfile.toml_write import path_words
from loomwright.model.words import DeviceState
from loomwright.sources import OURS, PRACTICE

DEVICE_01: Final = Entry(
    "DEVICE-01",
    "Place not settled",
    NOTE,
    "A rope measured to a place that moves later is measured for nothing.",
    PRACTICE,
    ("register", "map"),
)
DEVICE_02: Final = Entry(
    "DEVICE-02",
    "Removed device that still has circuits",
    CAUTION,
    "Its circuits are left out; what else is on them may lose its other end.",
    PRACTICE,
    ("register", "circuits"),
)
DEVICE_03: Final = Entry(
    "DEVICE-03",
    "Provision only",
    NOTE,
    "Its wires are laid and end sealed; somebody has to find them again.",
    PRACTICE,
    ("register", "labels"),
)
DEVICE_04: Final = Entry(
    "DEVICE-04",
    "Device without a wire",
    NOTE,
    "It stands on the register and nothing leads to it.",
    PRACTICE,
    ("register",),
)
DEVICE_05: Final = Entry(
    "DEVICE-05",
    "Device of no known kind",
    NOTE,
    "Currents, pairs and returns of a known kind are checked; of this one only what its cavities say.",
    PRACTICE,
    ("register",),
)
DEVICE_06: Final = Entry(
    "DEVICE-06",
    "Name that reads like something else",
    NOTE,
    "On sheets and labels W12 is a wire and SP3 a splice; what else is called so gets mixed up with them.",
    OURS,
    ("labels", "register"),
)
ENTRIES: Final = (DEVICE_01, DEVICE_02, DEVICE_03, DEVICE_04, DEVICE_05, DEVICE_06)
READS_LIKE: Final = (
    (re.compile(r"W\d+"), "a wire's number"),
    (re.compile(r"SP\d+"), "a splice's name"),
)


def not_settled(worked: Worked) -> Iterator[Finding]:
    """DEVICE-01: the place may still change; one group."""
    for device in live(worked.job):
        if not device.settled and device.tap is None and any(device.pins):
            yield DEVICE_01.at(
                device.name,
                device.path,
                f"The place of {device.name} may still change.",
                "Devices are fixed before the rope is measured [common practice].",
                "Fit it for good, then write settled = true.",
                subject=device.name,
                mends=(Edit(Verb.SET, (*device.path, "settled"), True, "fitted for good"),),
            )


def removed_with_circuits(worked: Worked) -> Iterator[Finding]:
    """DEVICE-02: a removed device whose cavities still name circuits."""
    for device in worked.job.devices:
        circuits = list(dict.fromkeys(p.circuit for p in device.pins))
        if device.state is DeviceState.REMOVED and circuits:
            yield DEVICE_02.at(
                device.name,
                device.path,
                f"{device.name} is removed and still has circuits: {named(circuits)}.",
                "A removed device has no circuits.",
                "Take its cavities out, or keep the device.",
                subject=device.name,
            )


def provision_only(worked: Worked) -> Iterator[Finding]:
    """DEVICE-03: wires that end sealed for a device to come; one group."""
    for device in worked.job.devices:
        if device.state is DeviceState.PROVISION and any(device.pins):
            yield DEVICE_03.at(
                device.name,
                device.path,
                f"{device.name} is provided for and not fitted.",
                "Its wires end sealed and labelled.",
                "Seal and label them, and tie them back where they can be found.",
                subject=device.name,
            )


def without_wire(worked: Worked) -> Iterator[Finding]:
    """DEVICE-04: a new device without any circuit; one group."""
    for device in worked.job.devices:
        if device.state is DeviceState.NEW and not any(device.pins) and device.tap is None:
            yield DEVICE_04.at(
                device.name,
                device.path,
                f"{device.name} has no circuit in any cavity.",
                "A new device is wired.",
                'Enter its cavities; if it stays unwired, write state = "kept", or take it out.',
                subject=device.name,
                misses=(path_words(device.path),),
            )


def of_no_kind(worked: Worked) -> Iterator[Finding]:
    """DEVICE-05: neither kind nor family; one group."""
    for device in live(worked.job):
        if not device.kind and not device.family and device.tap is None:
            yield DEVICE_05.at(
                device.name,
                device.path,
                f"Nothing says what {device.name} is.",
                "A device is of a kind from the list, or of a family.",
                'Write is = ... with a kind that loomwright stock kinds lists, or family = "sensor".',
                subject=device.name,
                misses=(path_words(device.path),),
            )


def misleading_name(worked: Worked) -> Iterator[Finding]:
    """DEVICE-06: devices and spares named like a wire, a splice or a branch point."""
    named_so: list[tuple[str, str, Path]] = [(f"spare {x.name}", x.name, x.path) for x in worked.job.spares]
    named_so += [(x.name, x.name, x.path) for x in worked.job.wired]
    trees = worked.routed.trees
    points = {p for tree in trees for p in tree.branch_points if p != tree.datum}
    for place, name, path in named_so:
        like = next((words for form, words in READS_LIKE if form.fullmatch(name)), "")
        if not like and name in points:
            like = "a branch point's name, and there is one called so"
        if like:
            yield DEVICE_06.at(
                place,
                path,
                f"{name} reads like {like}.",
                "Wires are W and a number, splices SP and a number; other things have names of their own.",
                f"Call it otherwise, SPARE{re.sub('[^0-9]', '', name)} for instance."
                if place.startswith("spare ")
                else "Give it a name that says what it is.",
                subject=place,
            )
