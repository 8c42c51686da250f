"""The live plan as data: points and sections of every loom as on its board, and what a dial shows."""

from loomwright.building.built import Board
from loomwright.building.compass import AXES, Vector, direction, sight
from loomwright.building.exits import CABIN, Leaving, cabin_half, half
from loomwright.job import WorkedJob
from loomwright.jobfile.exit_words import AXES as AXIS_WORDS
from loomwright.mockup.graph import best_of_pairs
from loomwright.mockup.tape import taped
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import section_key
from loomwright.web.views.drawn import Plain, rounded

QUARTERS = (12, 3, 6, 9)


def plan_view(done: WorkedJob) -> list[Plain]:
    """Return every loom as a plan: to scale, y downward, in mm; lines as on the forming board."""
    built = done.worked.built.board
    trees = done.worked.routed.trees
    return [_loom(done, tree, built[tree.loom]) for tree in trees if tree.loom in built and tree.sections]


def _loom(done: WorkedJob, tree: Tree, board: Board) -> Plain:
    job, high = done.worked.job, board.height_mm
    leaving, looks = done.worked.built.leaving[tree.loom], ways_outward(job, tree)
    rope = _rope(job, tree.loom)
    lines = {one.section: one for one in board.sections}
    sections: list[Plain] = []
    for one in tree.sections:
        key = section_key(one.loom, one.name)
        drawn = lines[key]
        sections.append(
            {
                **_lengths(one, rope),
                **_exit(tree, one, leaving[one.name]),
                **_sight(looks[one.name]),
                "line": [[rounded(x), rounded(high - y)] for x, y in drawn.line],
                "od_mm": rounded(drawn.finished_mm),
                "wires": drawn.wires,
            }
        )
    return {
        "loom": tree.loom,
        "datum": tree.datum,
        "wide_mm": rounded(board.width_mm),
        "high_mm": rounded(high),
        "points": [_point(done, tree, board, name) for name in board.point],
        "sections": sections,
        "axes": list(AXIS_WORDS),
    }


def _point(done: WorkedJob, tree: Tree, board: Board, name: str) -> Plain:
    at = board.point[name]
    connector = done.worked.job.connector.get(name)
    device = done.worked.job.device.get(connector.device) if connector else None
    return {
        "name": name,
        "kind": "end" if connector else at.kind,
        "x": rounded(at.x_mm),
        "y": rounded(board.height_mm - at.y_mm),
        "from_datum_mm": rounded(tree.from_datum_mm[name]),
        "words": device.words if device else "",
        "branch": name in tree.branch_points,
    }


def _sight(look: Vector) -> Plain:
    """Which way one looks where a section leaves, and what lies at the quarters of the dial then."""
    seen = sight(look)
    six, nine = ((-x, -y, -z) for x, y, z in (seen.twelve, seen.three))
    names = map(axis_words, (seen.twelve, seen.three, six, nine))
    return {"look": axis_words(look), "quarters": dict(zip(map(str, QUARTERS), names, strict=True))}


def _lengths(one: Section, rope: dict[tuple[str, str], float]) -> Plain:
    pair = (one.inner, one.outer) if one.inner < one.outer else (one.outer, one.inner)
    return {
        "key": section_key(one.loom, one.name),
        "name": one.name,
        "inner": one.inner,
        "outer": one.outer,
        "mm": rounded(one.length_mm),
        "give_mm": rounded(one.own_mm + one.common_mm),
        "origin": one.origin,
        "built": bool(one.path) and one.path[0] == "build",
        "rope_mm": rounded(rope[pair]) if pair in rope else None,
        "beside": [{"section": x.section, "until_mm": rounded(x.until_mm)} for x in one.co_runs],
    }


def _exit(tree: Tree, one: Section, leaving: Leaving) -> Plain:
    noted = next((x for x in tree.exits if (x.point, x.to) == (one.inner, one.outer)), None)
    return {
        "exit": " ".join(noted.axes) if noted else "",
        "lean": noted.lean if noted else "",
        "clock": leaving.clock,
        "exit_words": leaving.words,
    }


def _rope(job: Job, loom: str) -> dict[tuple[str, str], float]:
    """What the rope says of every pair of points of a loom [mm]."""
    lengths = (one for run in job.runs if run.loom == loom for one in taped(run, job).lengths)
    return {one.pair: one.mm for one in best_of_pairs(lengths)[0]}


def ways_outward(job: Job, tree: Tree) -> dict[str, Vector]:
    """Return which way one looks where a section leaves its point, outward from the datum, by section name.

    It is the way the section into the point was noted to leave; where that was not noted, the way before it;
    at the datum front, and back for what goes to the cabin.
    Source: common practice, as for the clock of exits.
    """
    noted = {(e.point, e.to): e for e in tree.exits}
    back = cabin_half(job, tree)
    ahead: dict[str, Vector] = {}
    found: dict[str, Vector] = {}
    for s in tree.sections:
        cabin = s.name in back or half(job, s) == CABIN
        look = AXES["back" if cabin else "front"] if s.inner == tree.datum else ahead[s.inner]
        one = noted.get((s.inner, s.outer))
        found[s.name] = look
        ahead[s.outer] = (direction(one.axes) if one else None) or look
    return found


def axis_words(way: Vector) -> str:
    """Return the one or two car axes nearest to a direction, "front up"."""
    rated = sorted(AXIS_WORDS, key=lambda name: -sum(a * b for a, b in zip(AXES[name], way, strict=True)))
    first, second = (sum(a * b for a, b in zip(AXES[name], way, strict=True)) for name in rated[:2])
    return f"{rated[0]} {rated[1]}" if second > 0.5 * first and second > 0.3 else rated[0]
