"""Like steps of the build order told together: one line for all of them, then a list to tick."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from loomwright.building.built import BuildStep
from loomwright.building.steps_ends import TUG_N
from loomwright.building.steps_sheath import UNSHRUNK_MM
from loomwright.building.twists import BEFORE_CONTACT_MM
from loomwright.pack.pages import Beside, Block, Column, Flow, Row, RowGroup, Table
from loomwright.pack.twist_table import twist_table
from loomwright.pack.view import View
from loomwright.routing.routed import section_key
from loomwright.sizing.crimping import SAMPLES
from loomwright.sizing.sized import BranchCover


@dataclass(frozen=True, slots=True)
class Kind:
    """How steps of one kind are told together.

    Attributes:
        words: what to do with each; "" tells them one by one
        across: lists side by side; 0 = another paper has the list
    """

    words: str
    across: int = 0


KINDS: Final = {
    "sample": Kind(
        f"Set the tool for each contact by the sheet of crimp samples: crimp {SAMPLES} samples a wire size, "
        "pull them, write down the lowest there."
    ),
    "cut": Kind("Cut and mark by the cut list, reel by reel, then the cables. Tick each wire there."),
    "Twist": Kind(
        "Twist the wires of each line together, under tension, with the pitch named; let it spring back, "
        f"even the ends. At a plug stop {BEFORE_CONTACT_MM} mm before the contacts, at a splice where the "
        "line says: from there each wire runs single.",
        1,
    ),
    "Strip": Kind(
        "Strip each cable; bring its screen out at the end it is drained, cut it back elsewhere.", 2
    ),
    "splice": Kind(
        "Make each splice by the splice list, one after the other: cover on the wires named here, all that "
        "come from one side; crimp, tug every wire, shrink the cover over the middle.",
        3,
    ),
    "gather": Kind(
        "At each branch point, by its card: gather each exit's wires, bind both sides of the point, set it "
        "to its side.",
        6,
    ),
    "slide": Kind(
        "Coverings in this order, by the sleeves' sheet, each before the points at its ends are closed. "
        "Measure the bundle before you cut. Shrink: from the datum outward; at an end that is trimmed leave "
        f"the last {UNSHRUNK_MM} mm. Park: slide the piece over that branch point on it.",
        2,
    ),
    "park": Kind("Slide the piece over each point on a leg and park it there.", 2),
    "shrink": Kind("Shrink the sleeve on each towards the finished plug.", 4),
    "close": Kind("Close each branch point: its piece over the point, overlaps in mm as named, shrink.", 2),
    "on": Kind(
        "At each end, by the slide-on order, from the loom outward, before anything is crimped: boot, label, "
        "clear cover, joint covers, wire seals.",
        4,
    ),
    "both": Kind(
        "Finish the ends in this order. Slide on, from the loom outward, by the slide-on order: boot, label, "
        "clear cover, joint covers, wire seals. Then by the pinout: strip, crimp, look with a glass; insert "
        f"by the wire-side view, tug each with {TUG_N}, close the lock, plug the empty cavities. Rings: "
        "sleeve each barrel. Joints: core by core, shrink the covers.",
        2,
    ),
    "crimp": Kind(
        "Finish the ends in this order, each by its pinout: strip, crimp, look with a glass; insert by the "
        f"wire-side view, tug each with {TUG_N}, close the lock, plug the empty cavities. Rings: sleeve each "
        "barrel. Joints: core by core, shrink the covers.",
        3,
    ),
}
LONG_LIST: Final = 45  # rows that may run over a page and then go column by column on each; ours
TWIST: Final = "Twist"
MADE_WITH: Final = {"cover": "splice", "on": "end", "crimp": "end"}  # told in one list with


@dataclass(frozen=True, slots=True)
class Batch:
    """Steps one after the other that are told together.

    Attributes:
        kind: None for a step told by itself
    """

    kind: Kind | None
    steps: tuple[BuildStep, ...]

    @property
    def numbers(self) -> str:
        """Their numbers, "8" or "8 to 38"."""
        first, last = self.steps[0].number, self.steps[-1].number
        return f"{first}" if first == last else f"{first} to {last}"


def batches(steps: Iterable[BuildStep]) -> Iterator[Batch]:
    """Yield steps in their order, like ones together."""
    for (_, _, name), run in groupby(steps, key=lambda s: (s.loom, s.phase, _kind_of(s))):
        several = tuple(run)
        done = {step.name.split(" ")[0] for step in several}
        told = ("both" if len(done) > 1 else next(iter(done))) if name == "end" else name
        kind = KINDS.get(told)
        if kind is None or (len(several) < 2 and told != TWIST):
            yield from (Batch(None, (step,)) for step in several)
        else:
            yield Batch(kind, several)


def _kind_of(step: BuildStep) -> str:
    first = step.name.split(" ")[0]
    if first == "cable":
        return step.words.split(" ")[0]
    return MADE_WITH.get(first, first)


def batch_list(view: View, batch: Batch) -> tuple[Block, ...]:
    """Return the list of a batch to tick, in columns; none where another paper has it."""
    kind = batch.kind
    if kind is None or not kind.across:
        return ()
    if batch.steps[0].words.startswith(TWIST):
        return (twist_table(view, batch.steps, f"steps {batch.numbers}"),)
    columns = (Column("what"), Column("done", kind="tick"))
    rows: list[Row] = [(words, None) for words in _items(view, batch.steps)]
    name = f"steps {batch.numbers}"
    if len(rows) > LONG_LIST:
        return (Flow((Table(columns, (RowGroup(tuple(rows)),), close=True, name=name),), kind.across),)
    deep = -(-len(rows) // kind.across)
    parts = [rows[n : n + deep] for n in range(0, len(rows), deep)]
    tables = tuple((Table(columns, (RowGroup(tuple(part)),), close=True, name=name),) for part in parts)
    blank_ends = ((),) * (kind.across - len(tables))
    return (Beside((*tables, *blank_ends), (0.0,) * kind.across),)


def _items(view: View, steps: tuple[BuildStep, ...]) -> list[str]:
    """The items of a batch; what is slid on at an end and what is crimped there next stand in one."""
    found: list[str] = []
    before = ""
    for step in steps:
        first, _, of = step.name.partition(" ")
        words = _item(view, step)
        if first == "crimp" and before == f"on {of}":
            found[-1] = f"{found[-1]}; {words.partition(': ')[2]}"
        elif words:
            found.append(words)
        before = step.name
    return found


def _item(view: View, step: BuildStep) -> str:
    """Return one step of a batch in a few words; "" where the one before says it too."""
    first, _, of = step.name.partition(" ")
    match first:
        case "cable":
            return _cable(view, of, step)
        case "cover":
            return f"{of}: cover on {', '.join(step.items)}"
        case "splice":
            return ""
        case "slide":
            return _slide(view, step, of)
        case "park":
            return f"{of}: {_piece(view, step.loom, of)}"
        case "close":
            return _close(view, step, of)
        case "on":
            more = [item for item in step.items if item not in ("label", "clear cover")]
            return ", ".join((of, *more))
        case "crimp":
            return _crimp(step, of)
    return of


def _cable(view: View, name: str, step: BuildStep) -> str:
    cable = view.cables.get(name)
    wires = ", ".join(step.items)
    if cable is None:
        return f"{name}: {wires}"
    return f"{name}: {wires}" + (f"; {cable.screen}" if cable.screen else "")


def _slide(view: View, step: BuildStep, section: str) -> str:
    piece = view.sized.sleeve[section_key(step.loom, section)]
    said = [
        " ".join(x for x in (piece.what, piece.printed) if x)
        + (f" x {piece.cut_mm:.0f} mm" if piece.cut_mm else "")
    ]
    said += [f"passes {piece.passes_over}"] if piece.passes_over.startswith("splice") else []
    said += ["shrink"] if step.irreversible else []
    into = view.routed.tree[step.loom].by_name[section].outer
    cover = _cover(view, step.loom, into)
    said += [f"park {into}"] if cover is not None and not cover.taped else []
    return f"{section}: {', '.join(said)}"


def _cover(view: View, loom: str, point: str) -> BranchCover | None:
    return next((c for c in view.sized.branch_covers if (c.loom, c.point) == (loom, point)), None)


def _piece(view: View, loom: str, point: str) -> str:
    cover = _cover(view, loom, point)
    return " ".join(x for x in (cover.type, cover.printed, f"x {cover.cut_mm:.0f} mm") if x) if cover else ""


def _close(view: View, step: BuildStep, point: str) -> str:
    cover = _cover(view, step.loom, point)
    if cover is None:
        return point
    if cover.taped:
        return f"{point}: bind half lapped with {_piece(view, step.loom, point)}"
    if not cover.fits:
        return f"{point}: {cover.words}"
    legs = ", ".join(f"{key.split('/', 1)[1]} {mm:.0f}" for key, mm in cover.legs)
    return f"{point}: {_piece(view, step.loom, point)}; {legs}"


def _crimp(step: BuildStep, end: str) -> str:
    wires = ", ".join(step.items) if len(step.items) <= 4 else f"{len(step.items)} wires"
    kind = step.words.split(" ")[0]
    told = {"Join": f"joint, {wires}", "Seal": f"seal spare {wires}", "Crimp": f"ring, {wires}"}
    late = kind == "Strip" and "Insert" not in step.words
    return f"{end}: {told.get(kind, wires)}" + (", housing later" if late else "")
