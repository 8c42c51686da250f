"""What is kept from one working-out to the next."""

from loomwright.model.job import Kept
from loomwright.routing.findings import NO_ROOM
from loomwright.routing.routed import Routed


def kept_from(routed: Routed, before: Kept) -> Kept:
    """Return what was kept before together with everything routing chose now.

    What belongs to wires and splices that are gone stays, so that no number or name is given twice.
    The place of a splice that found no room is not kept.

    Args:
        routed: the routing whose choices are to be kept
        before: what was kept before it
    """
    numbers = dict(before.wire_numbers) | {w.identity: w.number for w in routed.wires}
    colours = dict(before.colours) | {w.identity: w.colour for w in routed.wires if w.colour}
    names = dict(before.splice_names) | {s.identity: s.name for s in routed.splices}
    squeezed = {f.subject for f in routed.findings if f.code == NO_ROOM}
    places = dict(before.splice_places) | {
        s.identity: s.place for s in routed.splices if s.name not in squeezed
    }
    return Kept(
        tuple(sorted(numbers.items(), key=lambda row: (row[1], row[0]))),
        tuple(sorted(names.items())),
        tuple(sorted(places.items(), key=lambda row: row[0])),
        tuple(sorted(colours.items())),
        before.sizes,
        before.board_angles,
    )
