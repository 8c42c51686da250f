"""Jobs worked out as far as drawings need, and what drawings are looked at with."""

from dataclasses import fields
from functools import cache
from pathlib import Path

import loomwright
from loomwright.building.board import board
from loomwright.building.built import Built
from loomwright.building.exit_paths import loom_exits
from loomwright.checks.worked import Worked
from loomwright.jobfile.read import read_job
from loomwright.mockup.trees import trees
from loomwright.pack.draw_place import overlap
from loomwright.pack.marks import Text, flat
from loomwright.routing.route import route
from loomwright.sizing.size import size_up

HERE = Path(__file__).parent
DEMOS = Path(loomwright.__file__).parent / "demos"
JOBS = ("small", "six", "hillclimb", "v8")


@cache
def worked(name):
    """A job with its exits and boards; the rest of the building is left out, no drawing asks for it."""
    job = read_job(HERE.parent / "jobs" / name if name == "small" else DEMOS / name).job
    looms, _ = trees(job)
    routed = route(job, looms)
    sized = size_up(job, routed)
    rest = {field.name: () for field in fields(Built)}
    exits = tuple(loom_exits(job, tree) for tree in looms)
    boards = tuple(
        board(job, tree, routed, sized, one.leaving) for tree, one in zip(looms, exits, strict=True)
    )
    return Worked(job, routed, sized, Built(**{**rest, "boards": boards, "exits": exits}))


def texts(drawing):
    return [mark for mark in flat(drawing.marks) if isinstance(mark, Text)]


def words(drawing):
    return " | ".join(text.text for text in texts(drawing))


def overlapping(drawing):
    """Pairs of texts that lie over each other; pale stamps lie behind and don't count."""
    some = [text for text in texts(drawing) if text.layer != "stamp"]
    some.sort(key=lambda text: min(x for x, _ in text.corners))
    found = []
    for n, one in enumerate(some):
        right = max(x for x, _ in one.corners)
        for other in some[n + 1 :]:
            if min(x for x, _ in other.corners) > right:
                break
            if overlap(_core(one), _core(other)):
                found.append((one.text, other.text))
    return found


def _core(text):
    """A text's corners without the room for descenders and accents."""
    a, b, c, d = text.corners
    share_low, share_high = 0.3 / 1.4, 0.1 / 1.4
    mix = lambda p, q, t: (p[0] + (q[0] - p[0]) * t, p[1] + (q[1] - p[1]) * t)  # noqa: E731
    return mix(a, d, share_low), mix(b, c, share_low), mix(c, b, share_high), mix(d, a, share_high)


def outside(drawing):
    """Texts that run out of their drawing."""
    box = drawing.box.grown(0.01)
    return [text.text for text in texts(drawing) if not all(map(box.holds, text.corners))]
