"""The forming board of one loom: its tree laid flat at true lengths, seen from above.

Seen from above, what lies at 9 o'clock looking outward from the datum is drawn on the left of the direction
of travel. What lies in the cabin, seen from a datum with two sides, is drawn to the left of it, the bay to
the right: so front is right and the car's left is up all over the board. Exits noted as up are drawn left
where there is room, down right, front and back where there is room; angles on the board are convenience and
not the car's.
"""

from collections.abc import Mapping
from typing import Final

from loomwright.building.board_fixed import against_hand, fixed_angles, with_fixed
from loomwright.building.board_layout import lay_flat
from loomwright.building.board_lie import BORDER_MM
from loomwright.building.board_lines import Line, Point, Traced, along, count_crossings, length_mm
from loomwright.building.board_marks import marks
from loomwright.building.board_task import Beyond, Task, Turn
from loomwright.building.built import Board, BoardPoint, BoardSection, MarkingOutRow
from loomwright.building.exits import Leaving, cabin_half
from loomwright.model.job import Job
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import EndKind, Routed, section_key
from loomwright.sizing.plugs import face_of
from loomwright.sizing.sized import Sized

BARE_MM: Final = 6.0  # drawn where nothing is known of a section's thickness; ours
HOUSING_MM: Final = 30.0  # kept free for a housing beyond an end; ours
HOUSING_HALF_MM: Final = (14.0, 43.0)  # half width kept free: where none is given, and at most; ours
LATCH_MM: Final = 4.0  # ... for a latch on the side of a housing; ours
TRIM_HALF_MM: Final = 3.5  # half width of a trim zone at least; ours


def board(
    job: Job, tree: Tree, routed: Routed, sized: Sized, leaving: Mapping[str, Leaving]
) -> Board:
    """Return the forming board of one loom.

    Args:
        job: for exits, areas, connectors and the angles kept from before
        tree: what to lay flat
        routed, sized: for wires, splices, sleeves and trim
        leaving: how its sections leave their inner points, by section
    """
    trim = trims(tree, routed, sized)
    task = make_task(job, tree, sized, trim, leaving)
    laid, fixed = lay_flat(task), fixed_angles(job, tree)
    turns, traced = shown = with_fixed(task, laid, fixed)
    corner, width, height = _corner(task, traced)
    lines = {
        name: tuple((x - corner[0], y - corner[1]) for x, y in line) for name, line in traced.line.items()
    }
    point = {name: (x - corner[0], y - corner[1]) for name, (x, y) in traced.point.items()}
    return Board(
        loom=tree.loom,
        width_mm=width,
        height_mm=height,
        points=tuple(BoardPoint(name, x, y, _kind(tree, name)) for name, (x, y) in point.items()),
        sections=tuple(_section(s, lines[s.name], task, routed, trim) for s in tree.sections),
        marks=marks(task, turns, lines, routed, sized),
        marking_out=_marking_out(task, turns, lines, point),
        angles=tuple((section_key(s.loom, s.name), laid[1].angle[s.name]) for s in tree.sections),
        crossings=count_crossings(list(lines.values())),
        against_hand=against_hand(task, shown, fixed),
    )


def make_task(
    job: Job, tree: Tree, sized: Sized, trim: Mapping[str, float], leaving: Mapping[str, Leaving]
) -> Task:
    """Return what has to be laid flat: the tree with thicknesses, ends, hands and kept angles."""
    kept = dict(job.kept.board_angles)
    thick: dict[str, float] = {}
    for s in tree.sections:
        key = section_key(s.loom, s.name)
        piece, bundle = sized.sleeve.get(key), sized.bundle.get(key)
        thick[s.name] = (piece.finished_mm if piece else bundle.as_laid_mm if bundle else 0.0) or BARE_MM
    angles = {s.name: kept.get(section_key(s.loom, s.name), kept.get(s.name)) for s in tree.sections}
    return Task(
        tree=tree,
        leaving=leaving,
        half_mm={name: mm / 2 for name, mm in thick.items()},
        beyond={
            end: _beyond(job, end, trim.get(end, 0.0), thick[tree.into[end].name] / 2)
            for end in tree.ends
            if end in tree.into
        },
        kept={name: angle for name, angle in angles.items() if angle is not None},
        to_left=cabin_half(job, tree),
    )


def trims(tree: Tree, routed: Routed, sized: Sized) -> dict[str, float]:
    """Return the longest trim left at every end [mm]: that of its wires or of its sleeve."""
    found = dict.fromkeys(tree.ends, 0.0)
    for wire in routed.wires:
        length = sized.length.get(wire.identity)
        if length and wire.loom == tree.loom:
            for end, mm in ((wire.a, length.trim_a_mm), (wire.b, length.trim_b_mm)):
                if end.kind is not EndKind.SPLICE and end.point in found:
                    found[end.point] = max(found[end.point], mm)
    for name in found:
        s = tree.into.get(name)
        piece = sized.sleeve.get(section_key(tree.loom, s.name)) if s else None
        if piece:
            found[name] = max(found[name], piece.trim_mm)
    return found


def _beyond(job: Job, end: str, trim_mm: float, section_half_mm: float) -> Beyond:
    connector = job.connector.get(end)
    face = face_of(job, connector) if connector else None
    width = connector.width_mm if connector and connector.width_mm else face.outline.width_mm if face else 0.0
    usual, most = HOUSING_HALF_MM
    half = min(most, width / 2 + LATCH_MM) if width else usual
    trim_half = max(section_half_mm, TRIM_HALF_MM)
    return Beyond(trim_mm + HOUSING_MM, max(half, section_half_mm), trim_mm, trim_half)


def _corner(task: Task, traced: Traced) -> tuple[Point, float, float]:
    """The lower left corner with its border, and the board's width and height [mm]."""
    xs, ys = [0.0], [0.0]
    for s in task.tree.sections:
        line, thick = traced.line[s.name], task.half_mm[s.name]
        reach = task.beyond.get(s.outer) if s.outer not in task.tree.out_of else None
        tip = along(line, length_mm(line) + (reach.mm if reach else 0.0))
        for x, y in (*line, tip):
            xs += [x - thick, x + thick]
            ys += [y - thick, y + thick]
    left, low = min(xs) - BORDER_MM, min(ys) - BORDER_MM
    return (left, low), max(xs) + BORDER_MM - left, max(ys) + BORDER_MM - low


def _kind(tree: Tree, point: str) -> str:
    if point == tree.datum:
        return "datum"
    return "branch point" if point in tree.out_of else "end"


def _section(s: Section, line: Line, task: Task, routed: Routed, trim: Mapping[str, float]) -> BoardSection:
    key = section_key(s.loom, s.name)
    wires = len(routed.in_section.get(key, ()))
    return BoardSection(key, line, length_mm(line), 2 * task.half_mm[s.name], wires, trim.get(s.outer, 0.0))


def _marking_out(
    task: Task, turns: Mapping[str, Turn], lines: Mapping[str, Line], point: Mapping[str, Point]
) -> tuple[MarkingOutRow, ...]:
    """Pegs in tree order; partings stand after the point they are measured from."""
    tree = task.tree
    rows = [MarkingOutRow(tree.datum, "", 0.0, 0.0, *point[tree.datum], "datum")]
    for s in tree.sections:
        start, corridor = tree.from_datum_mm[s.inner], turns[s.name].corridor
        if corridor:
            x, y = along(lines[s.name], min(corridor.run_mm, s.length_mm))
            words = f"beside {corridor.beside}, parts here"
            name = f"{s.outer} parts"
            rows.append(
                MarkingOutRow(name, s.inner, start + corridor.until_mm, corridor.until_mm, x, y, words)
            )
        x, y = point[s.outer]
        words = task.leaving[s.name].words
        rows.append(MarkingOutRow(s.outer, s.inner, start + s.length_mm, s.length_mm, x, y, words))
    return tuple(rows)
