"""Which half of a mating pair has the pins and which the sockets, and how its face looks from behind."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from loomwright.library.face import Face, mating_side
from loomwright.model.device import Connector
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.model.words import CircuitKind, Side
from loomwright.sizing.plugs import face_of

PINS: Final = "pins"
SOCKETS: Final = "sockets"
BATTERY: Final = "battery"  # the kind of a battery's posts

_Pair = tuple[str, str]


def contact_halves(job: Job, trees: Iterable[Tree]) -> Mapping[str, str]:
    """Return `PINS` or `SOCKETS` for both ends of every mating pair.

    The half from which its feeds come has the sockets: it stays live when the pair is parted, and nothing
    live can be touched there. Of a pair no feed crosses it is the half on the battery's side. Where that is
    neither, or both, or no rope leads there yet, both get "": the builder chooses.

    Args:
        trees: trees of the looms, to tell which loom an end hangs on
    Source: sockets on the side that stays live, common practice.
    """
    loom_of = {end: tree.loom for tree in trees for end in tree.ends}
    pairs = sorted(
        {
            (min(c.end, c.mates), max(c.end, c.mates))
            for c in job.connector.values()
            if c.mates in job.connector and c.mates != c.end
        }
    )
    found: dict[str, str] = {}
    for pair in pairs:
        one, other = (_looms_behind(end, pair, pairs, loom_of) for end in pair)
        sources = [loom_of.get(end, "") for end in _givers(job, pair[0])]
        live = [any(loom in side for loom in sources) for side in (one - other, other - one)]
        if not any(live):
            posts = [loom_of.get(c.end, "") for d in job.devices if d.kind == BATTERY for c in d.connectors]
            live = [any(loom in side for loom in posts) for side in (one - other, other - one)]
        kinds = ("", "") if live[0] == live[1] else (SOCKETS, PINS) if live[0] else (PINS, SOCKETS)
        found.update(zip(pair, kinds, strict=True))
    return found


def face_of_half(job: Job, halves: Mapping[str, str], plug: Connector) -> Face | None:
    """Return a plug's face as seen from its own wire side; None where there is none or it can't be read.

    Two halves that meet lie mirrored: seen from behind, cavity 1 of one is on the other side in the other.
    Where both halves of a pair name one face, it is that of the half with sockets, and the half with pins
    gets its mirror image. Where the builder chooses, the half that comes first by name is drawn as described.

    Args:
        halves: pins or sockets by end, as `contact_halves` tells
    """
    face, other = face_of(job, plug), job.connector.get(plug.mates)
    if face is None or other is None or other.face != plug.face:
        return face
    kind = halves.get(plug.end, "")
    mirrored = kind == PINS if kind else plug.end > other.end
    return replace(mating_side(face), view=face.view) if mirrored else face


def _givers(job: Job, end: str) -> list[str]:
    """Ends of the pins that give the feeds which cross a pair."""
    feeds = {p.circuit for p in job.connector[end].pins if p.kind is CircuitKind.FEED}
    return [p.end for p in job.pins if p.circuit in feeds and p.side is Side.GIVES]


def _looms_behind(end: str, parted: _Pair, pairs: Sequence[_Pair], loom_of: Mapping[str, str]) -> set[str]:
    """The looms that still hang together with an end when its own pair is parted."""
    if end not in loom_of:
        return set()
    found, waiting = {loom_of[end]}, [loom_of[end]]
    for loom in waiting:
        for a, b in pairs:
            for here, there in ((a, b), (b, a)):
                far = loom_of.get(there, "")
                apart = {loom_of.get(x, "") for x in parted} == {loom, far}
                if loom_of.get(here) == loom and far and far not in found and not apart:
                    found.add(far)
                    waiting.append(far)
    return found
