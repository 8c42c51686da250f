"""Steps up to the bare fit: samples, cutting, pairs, splices, lay-up."""

from dataclasses import dataclass
from typing import Final

from loomwright.building.built import ExitGroup
from loomwright.building.ends import RING, End
from loomwright.building.graph import Draft, Plan
from loomwright.building.grouping import STRAIGHT_ON
from loomwright.building.lay_order import furthest_first
from loomwright.building.twists import is_twisted, twists
from loomwright.model.circuit import Cable
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.routing.routed import Routed, Splice, Wire
from loomwright.sizing.crimping import SAMPLES, SPLICE, set_ups, wires_sampled
from loomwright.sizing.sized import Sized

TAPE_EVERY_MM: Final = 250  # film tape or lacing each 200 to 300 mm, common practice


@dataclass(frozen=True)
class Work:
    """One loom with all that its steps are told from."""

    job: Job
    tree: Tree
    routed: Routed
    sized: Sized
    ends: tuple[End, ...]
    groups: tuple[ExitGroup, ...]

    @property
    def loom(self) -> str:
        """Name of the loom."""
        return self.tree.loom

    @property
    def wires(self) -> tuple[Wire, ...]:
        """Wires of the loom."""
        return tuple(w for w in self.routed.wires if w.loom == self.tree.loom)

    def key(self, words: str) -> str:
        """A step's key."""
        return f"{self.loom}/{words}"


def samples(work: Work, plan: Plan) -> list[str]:
    """Crimp samples, one step a contact class with the wires crimped into it; returns their keys."""
    size = {row.wire: row.size for row in work.sized.conductors}
    sets: dict[str, list[str]] = {}
    for contact, wires in wires_sampled(set_ups(work.job, work.wires, size)).items():
        if contact.startswith(RING):
            named = contact if len(contact) > len(RING) else f"{RING}, class not given"
            sets.setdefault(RING, []).append(f"{named}: {', '.join(wires)}")
        elif contact != SPLICE:
            sets.setdefault(contact, []).extend(wires)
    found = []
    for kind, items in sorted(sets.items()):
        name = "ring terminals" if kind == RING else f"contact {kind}" if kind else "contact, class not given"
        words = (
            f"Set the tool for {name}: crimp {SAMPLES} samples a wire size, pull them, write down the lowest."
        )
        draft = Draft(work.key(f"sample {kind}"), work.loom, "cut", words, tuple(items))
        found.append(plan.step(draft))
    return found


def cut(work: Work, plan: Plan) -> list[str]:
    """Cutting, one step a reel; returns the keys."""
    reels: dict[tuple[str, str, str], list[Wire]] = {}
    for wire in work.wires:
        conductor = work.sized.conductor.get(wire.identity)
        if not wire.cable:
            size = (conductor.size.family, conductor.size.label) if conductor else ("size not known", "")
            reels.setdefault((*size, wire.colour), []).append(wire)
    found = []
    for (family, label, colour), wires in sorted(reels.items()):
        count = f"the {len(wires)} wires" if len(wires) > 1 else "the wire"
        words = f"Cut and mark {count} of reel {family} {label} {colour}".rstrip() + "."
        key = work.key(f"cut {family} {label} {colour}")
        found.append(plan.step(Draft(key, work.loom, "cut", words, _lengths(work, wires))))
    cables = {c.name: c for c in work.job.cables}
    for name in sorted({w.cable for w in work.wires if w.cable}):
        wires = [w for w in work.wires if w.cable == name]
        stock = cables[name].stock if name in cables else ""
        words = f"Cut cable {name}" + (f" from {stock}" if stock else "") + ", mark its cores at both ends."
        items = _lengths(work, wires)
        found.append(plan.step(Draft(work.key(f"cut cable {name}"), work.loom, "cut", words, items)))
    if found:
        words = f"Count the wires: {len(work.wires)} cut and marked at both ends."
        found.append(plan.step(Draft(work.key("count"), work.loom, "cut", words)))
        plan.before(found[:-1], found[-1:], "R1")
    return found


def _lengths(work: Work, wires: list[Wire]) -> tuple[str, ...]:
    found = []
    for w in wires:
        length = work.sized.length.get(w.identity)
        found.append(f"{w.label} {length.cut_mm:.0f} mm" if length else w.label)
    return tuple(found)


def prepare(work: Work, plan: Plan) -> tuple[list[str], list[str]]:
    """Pairs and screens, and splices; returns the keys of both."""
    found: list[str] = []
    used = {w.cable for w in work.wires}
    for cable in work.job.cables:
        if cable.name in used:
            found.append(plan.step(_cable(work, cable)))
    splices = [s for s in work.routed.splices if s.loom == work.loom]
    made = [plan.step(_splice(work, s)) for s in splices]
    covers = [plan.step(_cover(work, s)) for s in splices]
    for cover, splice in zip(covers, made, strict=True):
        plan.before([cover], [splice], "R2")
    return found, [*covers, *made]


def _cable(work: Work, cable: Cable) -> Draft:
    wires = tuple(w.label for w in work.wires if w.cable == cable.name)
    if not is_twisted(cable):
        words = f"Strip cable {cable.name}"
        if cable.screen:
            words += f", bring its screen out for {cable.screen} at the drained end, cut it back at the other"
        words += "."
    else:
        pitch = cable.pitch_mm or work.job.shop.pair_pitch_mm.value
        words = (
            f"Twist {cable.name}, the wires of a line together, one turn each {pitch:.0f} mm, under tension; "
            "let it spring back, even the ends."
        )
        wires = tuple(t.words for t in twists(work.job, work.routed, work.sized, cable, work.loom))
    return Draft(work.key(f"cable {cable.name}"), work.loom, "prepare", words, wires)


def _cover(work: Work, splice: Splice) -> Draft:
    body = work.sized.splice[splice.name]
    on = body.cover.waits_on
    size = " ".join(x for x in (body.cover.type, body.cover.printed, f"of {body.cover_mm:.0f} mm") if x)
    words = f"Slide the cover, {size}, for splice {splice.name} on {' and '.join(on)}"
    words += ", all that come from one side." if len(on) > 1 else "."
    return Draft(work.key(f"cover {splice.name}"), work.loom, "prepare", words, on)


def _splice(work: Work, splice: Splice) -> Draft:
    body = work.sized.splice[splice.name]
    kind = f" with {body.kind} {body.size}".rstrip()
    last = "shrink the cover, pinch its free end shut" if body.cover.cap else "shrink the cover"
    place = f"{splice.place.section}, {splice.place.mm:.0f} mm from its inner end"
    words = f"Crimp splice {splice.name}{kind}: {len(splice.wires)} wires, {place}. Tug each, {last}."
    return Draft(
        work.key(f"splice {splice.name}"),
        work.loom,
        "prepare",
        words,
        _labels(work, splice.wires),
        irreversible=True,
    )


def _labels(work: Work, identities: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(work.routed.wire[i].label for i in identities if i in work.routed.wire)


def lay_up(work: Work, plan: Plan) -> list[str]:
    """Laying on the board, one step for the trunk and one a branch point; returns the keys."""
    if not work.wires:
        return []
    furthest = furthest_first(work.wires)
    words = (
        f"Lay the {len(work.wires)} wires on the board, those that run furthest first; comb them "
        "straight and bind "
        f"with film tape each {TAPE_EVERY_MM} mm."
    )
    items = tuple(w.label for w in furthest)
    found = [plan.step(Draft(work.key("lay"), work.loom, "lay up", words, items))]
    for point in work.tree.branch_points:
        some = [g for g in work.groups if g.point == point and g.wires]
        if some:
            words = f"At {point}: gather each exit's wires, bind both sides of the point, set it to its side."
            items = tuple(_exit_words(g) for g in some)
            found.append(plan.step(Draft(work.key(f"gather {point}"), work.loom, "lay up", words, items)))
    words = "Compare the loom with the board: every length, every exit on its side, every wire in its exit."
    found.append(plan.step(Draft(work.key("compare"), work.loom, "lay up", words)))
    plan.before(found[:1], found[1:], "R5")
    plan.before(found[1:-1], found[-1:], "R5")
    return found


def _exit_words(group: ExitGroup) -> str:
    section = group.section.split("/", 1)[1]
    side = f", {group.words}" if group.words else ""
    inside = ", goes on as the core" if group.layer == STRAIGHT_ON else ""
    return f"{section}{side}{inside}: {' '.join(group.wires)}"


def bare_fit(work: Work, plan: Plan) -> list[str]:
    """The bare loom on the car; returns the key."""
    words = (
        "Take the bare, taped loom to the car and hold it in place: every branch point where it "
        "belongs, every end "
        "reaches with its trim. Write corrections on the board now; it is the last cheap moment."
    )
    items = tuple(work.tree.branch_points)
    return [plan.step(Draft(work.key("bare fit"), work.loom, "bare fit", words, items))]
