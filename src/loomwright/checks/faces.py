"""Faces and mating pairs: held against the plug in hand, halves that fit each other."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, Entry
from loomwright.checks.looking import live, named, verb
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.findings import Finding
from loomwright.library.faces import Face
from loomwright.model.device import Connector
from loomwright.sizing.plugs import face_of
from loomwright.sources import PRACTICE

FACE_01: Final = Entry(
    "FACE-01",
    "Face not held against the plug",
    CAUTION,
    "A mirrored face is the classic total loss; only the numbers moulded in the plug are sure.",
    PRACTICE,
    ("pinouts",),
)
MATE_01: Final = Entry(
    "MATE-01",
    "Mating pair told on one side only",
    CAUTION,
    "Circuits cross a pair only where both halves name each other.",
    PRACTICE,
    ("circuits", "pinouts"),
)
MATE_02: Final = Entry(
    "MATE-02",
    "Both halves of a pair in one loom",
    CAUTION,
    "Looms meet at a mating pair; inside one loom it only adds contacts that can fail.",
    PRACTICE,
    ("circuits", "route"),
)
MATE_03: Final = Entry(
    "MATE-03",
    "Halves with different faces",
    CAUTION,
    "Halves of a pair have the same cavities, or they don't plug together.",
    PRACTICE,
    ("pinouts", "parts"),
)
ENTRIES: Final = (FACE_01, MATE_01, MATE_02, MATE_03)


def face_unchecked(worked: Worked) -> Iterator[Finding]:
    """FACE-01: plugs with a face nobody compared with the plug in hand; one group."""
    for device in live(worked.job):
        for connector in device.connectors:
            face = face_of(worked.job, connector)
            if face is None or connector.face_checked or len(connector.pins) < 2 or _studs(face):
                continue
            yield FACE_01.at(
                connector.end,
                connector.path,
                f"The face {connector.face} of {connector.end} hasn't been held against the plug.",
                "Before anything is pinned, the numbers moulded in the plug are compared with the drawing.",
                "Compare them, wire side to wire side, then tick face_checked.",
                subject=connector.end,
                mends=(Edit(Verb.SET, (*connector.path, "face_checked"), True, "compared with the plug"),),
            )


def _studs(face: Face) -> bool:
    return all(one.size_class.startswith("ring") for one in face.cavities)


def _mated(worked: Worked) -> Iterator[tuple[Connector, Connector | None]]:
    for device in live(worked.job):
        for connector in device.connectors:
            if connector.mates:
                yield connector, worked.job.connector.get(connector.mates)


def mates_disagree(worked: Worked) -> Iterator[Finding]:
    """MATE-01: the other half names none or another; one that is not in the job is told while reading."""
    for one, other in _mated(worked):
        if other is not None and other.mates != one.end:
            more = f" mates {other.mates}" if other.mates else " names no other half"
            mends = () if other.mates else (Edit(Verb.SET, (*other.path, "mates"), one.end, "other half"),)
            yield MATE_01.at(
                one.end,
                one.path,
                f"{one.end} mates {other.end}, and {other.end}{more}.",
                "Both halves name each other.",
                f'Write mates = "{one.end}" at {other.end}.',
                subject=one.end,
                mends=mends,
            )


def pair_in_one_loom(worked: Worked) -> Iterator[Finding]:
    """MATE-02: both halves are ends of one tree."""
    for one, other in _mated(worked):
        if other is None or one.end > other.end:
            continue
        for tree in worked.routed.trees:
            if one.end in tree.ends and other.end in tree.ends:
                yield MATE_02.at(
                    f"{one.end} and {other.end}",
                    one.path,
                    f"{one.end} and {other.end} are both ends of loom {tree.loom}.",
                    "The halves of a pair belong to two looms.",
                    "Make two looms of it, or take the pair out.",
                    subject=one.end,
                )


def halves_differ(worked: Worked) -> Iterator[Finding]:
    """MATE-03: faces of two halves without the same cavities."""
    for one, other in _mated(worked):
        if other is None or one.end > other.end:
            continue
        a, b = face_of(worked.job, one), face_of(worked.job, other)
        if a is not None and b is not None and set(a.ids) != set(b.ids):
            odd = sorted(set(a.ids) ^ set(b.ids))
            yield MATE_03.at(
                f"{one.end} and {other.end}",
                one.path,
                f"{one.end} ({one.face}) and {other.end} ({other.face}) differ in "
                f"{verb(len(odd), 'cavity', 'cavities')} {named(odd)}.",
                "Both halves have the same cavities.",
                "Give both the same face.",
                subject=one.end,
            )
