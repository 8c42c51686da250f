"""The text of every label: wire ends, splices, branch points, plugs and the loom's plate."""

from collections.abc import Iterator, Mapping
from typing import Final

from loomwright.building.built import Label
from loomwright.building.ends import End, function_of
from loomwright.library.kinds import kinds
from loomwright.model.device import Connector
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.routing.routed import EndKind, Routed, Wire, WireEnd
from loomwright.sizing.lengths import beyond_mm
from loomwright.sizing.plugs import face_of

CHARACTER_MM: Final = 1.8  # advance of a character 2.5 mm high, the least that can be read; ours
EDGE_MM: Final = 6.0  # ours
LEAST_MM: Final = 25.0  # label 25 to 40 mm wide, common practice
MOST_MM: Final = 40.0
FROM_BOOT_MM: Final = 40  # 30 to 50 mm behind the boot, common practice
PLATE_MM: Final = 60.0  # ours


def labels(job: Job, routed: Routed, ends: Mapping[str, tuple[End, ...]]) -> tuple[Label, ...]:
    """Return the labels of all looms: wires by number, then splices, branch points, plugs, plate.

    Text longer than a label of 40 mm holds is broken into lines by whoever prints it; the width stays.

    Args:
        ends: the ends of every loom
    """
    found: list[Label] = []
    for tree in routed.trees:
        found += (x for w in routed.wires if w.loom == tree.loom for x in _wire(job, w))
        found += (
            _label("splice", s.name, f"{s.place.section}, {s.place.mm:.0f} mm from its inner end", s.name)
            for s in routed.splices
            if s.loom == tree.loom
        )
        found += (_label("branch point", p, f"beside the piece over {p}", p) for p in tree.branch_points)
        found += (_plug(job, e) for e in ends[tree.loom] if e.connector)
        found.append(_plate(job, tree))
    return tuple(found)


def _wire(job: Job, wire: Wire) -> Iterator[Label]:
    """Both ends of a wire carry the same text, so that either end tells where the other is.

    It goes on at the cut already, before the trim is known, and so beyond all that may be cut off.
    """
    text = wire.label if not wire.spare else f"{wire.label} spare"
    inside = max(0.0, min(FROM_BOOT_MM, (wire.path_mm - LEAST_MM) / 2))  # both have room on a short wire
    for end in (wire.a, wire.b):
        yield _label("wire", text, _place(end), wire.identity, beyond_mm(job, end) + inside)


def _place(end: WireEnd) -> str:
    if end.kind is EndKind.SPLICE:
        return f"at splice {end.name}"
    if end.kind is EndKind.SEALED:
        return f"sealed end at {end.point}"
    return f"at {end.name}, {FROM_BOOT_MM} mm from the boot or housing"


def _plug(job: Job, end: End) -> Label:
    """Name, function, how many ways; the same text on both halves of a mating pair.

    The ways are the cavities of its face, used or not, else those of the device's kind: a device added late
    changes no label. Of a stud, and where neither is known, none are told.
    """
    connector = end.connector
    assert connector is not None
    mate = job.connector.get(connector.mates)
    halves = sorted((c for c in (connector, mate) if c), key=lambda c: c.end)
    name = " / ".join(c.end for c in halves)
    words = "" if mate else function_of(end.device) if end.device else ""
    ways = 0 if end.stud else max(_ways(job, c) for c in halves)
    text = ", ".join(x for x in (name, words, f"{ways} way" if ways else "") if x)
    return _label("plug", text, f"{FROM_BOOT_MM} mm behind the boot, read from the plug outward", end.name)


def _ways(job: Job, connector: Connector) -> int:
    face = face_of(job, connector)
    if face is not None:
        return len(face.cavities)
    kind = kinds().get(job.device[connector.device].kind)
    return len(kind.cavities) if kind is not None and not connector.name else 0


def _plate(job: Job, tree: Tree) -> Label:
    text = f"{job.title}: {tree.loom} loom, revision {job.revision}" + (
        " (invented data)" if job.demo else ""
    )
    return Label("loom", text, f"near the controller, or beside {tree.datum}", PLATE_MM, tree.loom)


def _label(kind: str, text: str, place: str, of: str, from_end_mm: float = 0.0) -> Label:
    width = min(MOST_MM, max(LEAST_MM, len(text) * CHARACTER_MM + EDGE_MM))
    return Label(kind, text, place, width, of, from_end_mm)
