"""Everything to have on the bench before the first cut: what the parts list prints and the price counts."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.building.halves import PINS, contact_halves
from loomwright.building.slide_on import CLEAR_COVER, CLEAR_TYPE
from loomwright.building.steps_bench import TAPE_EVERY_MM
from loomwright.checks.worked import Worked
from loomwright.library.contacts import ContactClass
from loomwright.library.coverings import printed_size
from loomwright.model.device import Connector
from loomwright.model.tree import Tree
from loomwright.model.words import DeviceState, Supplied
from loomwright.planning.price_reels import reels
from loomwright.planning.price_words import ON_STUD, many, plugged_cavity
from loomwright.routing.routed import EndKind, section_key
from loomwright.sizing.crimping import SAMPLES, samples_of, set_ups
from loomwright.sizing.fits import contact_at
from loomwright.sizing.plugs import face_of
from loomwright.sizing.sized import Bundle
from loomwright.sources import MEMORY, Figure

HALF_M: Final = 0.5  # lengths are bought in steps of half a metre; ours
CO_RUN_TIE_MM: Final = Figure(100.0, MEMORY)
"""Sections that run side by side are tied together this often [mm]."""
BARREL_MM: Final = 25  # sleeve over a ring's barrel; ours
FILM_TAPE: Final = "film tape"
TAPE_TURNS: Final = 3  # turns of a binding; ours
WIRES: Final = "Wire and cable"
CONTACTS: Final = "Contacts, seals, rings"
PLUGS: Final = "Plugs, sockets, boots"
SHEATHS: Final = "Sleeves and covers"
SPLICES: Final = "Splices and joints"
OTHERS: Final = "Fuses, ties, labels"
ROPES: Final = "Rope for the mock-up"


@dataclass(frozen=True, slots=True)
class Need:
    """One line of what is needed.

    Attributes:
        group: heading it stands under on the parts list
        kind: kind of stock it is, as stock.toml calls it; there are also seal, stopper, joint, tie, label,
            rope, plug, boot and grommet, which the shelf calls part
        name, size, colour: what the shelf calls it
        words: what the parts list calls it
        pieces: number of pieces
        mm: their length together [mm]; None = counted by the piece
        spare: share ordered beyond the need
        samples: pieces that go into crimp samples, beyond need and spare
        measure: what its price goes by: copper [mm2], inside diameter [mm]; 0 = nothing
        why: what it is for
    """

    group: str
    kind: str
    name: str
    words: str
    pieces: int
    mm: float | None = None
    size: str = ""
    colour: str = ""
    spare: float = 0.0
    samples: int = 0
    measure: float = 0.0
    why: str = ""

    @property
    def need(self) -> float:
        """Need in metres or pieces."""
        return self.pieces if self.mm is None else self.mm / 1000

    @property
    def take(self) -> float:
        """What to buy: need with spares, lengths in steps of half a metre [m or pieces]."""
        if self.mm is None:
            return math.ceil(self.pieces * (1 + self.spare) - 1e-9) + self.samples
        return math.ceil(self.need * (1 + self.spare) / HALF_M - 1e-9) * HALF_M


def goods(worked: Worked) -> tuple[Need, ...]:
    """Return everything a job needs, in the order of the parts list.

    Args:
        worked: the job worked out
    """
    return (
        *_wire(worked),
        *_contacts(worked),
        *_plugs(worked),
        *_coverings(worked),
        *_splices(worked),
        *_others(worked),
        *_ropes(worked),
    )


def _wire(worked: Worked) -> Iterator[Need]:
    spare = worked.job.shop.wire_spare.value
    for reel in reels(worked, sorted(worked.routed.wires, key=lambda w: w.number)):
        yield Need(
            WIRES,
            "cable" if reel.is_cable else "wire",
            reel.cable or reel.size.family,
            reel.words,
            reel.pieces,
            reel.length_mm,
            size=reel.size.label,
            colour=reel.colour,
            spare=spare,
            measure=reel.size.area_mm2 * (len(reel.wires) / reel.pieces if reel.is_cable else 1),
            why=many(reel.pieces, "piece of cable", "pieces of cable")
            if reel.is_cable
            else many(reel.pieces, "wire"),
        )


def _contacts(worked: Worked) -> Iterator[Need]:
    spare = worked.job.shop.contact_spare.value
    classes: dict[str, ContactClass] = {}
    count: Counter[str] = Counter()
    unknown: Counter[str] = Counter()
    pins: Counter[str] = Counter()
    halves = contact_halves(worked.job, worked.routed.trees)
    for wire in worked.routed.wires:
        for end in (wire.a, wire.b):
            if end.kind not in (EndKind.PIN, EndKind.STUD):
                continue
            kind = contact_at(worked.job, end.name, worked.sized.conductor[wire.identity].size)
            if kind is None:
                unknown["ring" if end.kind is EndKind.STUD else "contact"] += 1
            else:
                classes[kind.name] = kind
                count[kind.name] += 1
                pins[kind.name] += halves.get(end.name.rpartition(":")[0]) == PINS
    sizes = {row.wire: row.size for row in worked.sized.conductors}
    sampled = samples_of(set_ups(worked.job, worked.routed.wires, sizes))
    for name in sorted(count):
        kind, more = classes[name], sampled[name]
        why = f"{kind.mm2_min:g} to {kind.mm2_max:g} mm²" + (f"; {more} more for samples" if more else "")
        why += f"; {pins[name]} of the {count[name]} as pins, the others as sockets" if pins[name] else ""
        words = f"{name}: {kind.words}"
        yield Need(CONTACTS, "contact", name, words, count[name], spare=spare, samples=more, why=why)
        if kind.stud_mm is not None:
            words = f"barrel sleeve for {name}"
            why = f"glue-lined, {BARREL_MM} mm, over barrel and insulation; bore by the ring in hand"
            yield Need(CONTACTS, "splice cover", words, words, count[name], spare=spare, why=why)
        if kind.sealed:
            why = f"{kind.seal_od_min_mm:g} to {kind.seal_od_max_mm:g} mm outside"
            words = f"wire seal for {name}"
            yield Need(CONTACTS, "seal", words, words, count[name], spare=spare, why=why)
    for what in sorted(unknown):
        words = f"{what}, class not given"
        yield Need(CONTACTS, "contact", what, words, unknown[what], spare=spare, why="name it in the job")


def _connectors(worked: Worked) -> Iterator[Connector]:
    stay = (d for d in worked.job.devices if d.state is not DeviceState.REMOVED)
    return (c for d in stay for c in d.connectors)


def _plugs(worked: Worked) -> Iterator[Need]:
    plugs: dict[str, list[str]] = {}
    stoppers: Counter[str] = Counter()
    boots: dict[str, list[str]] = {}
    halves = contact_halves(worked.job, worked.routed.trees)
    for plug in _connectors(worked):
        if plug.boot:
            boots.setdefault(plug.boot, []).append(plug.end)
        if not plug.pins or plug.supplied is not Supplied.PLUG:
            continue
        name = plug.part or (f"face {plug.face}, no part named" if plug.face else "")
        if name and worked.job.device[plug.device].family not in ON_STUD:
            half = halves.get(plug.end)
            plugs.setdefault(name, []).append(f"{plug.end} ({half})" if half else plug.end)
        stoppers.update(_empty(worked, plug))
    for name in sorted(plugs):
        yield Need(PLUGS, "plug", name, name, len(plugs[name]), why=", ".join(plugs[name]))
    spare = worked.job.shop.contact_spare.value
    for size in sorted(stoppers):
        words = f"sealing plug, cavity {size}"
        yield Need(PLUGS, "stopper", words, words, stoppers[size], spare=spare, why="empty cavities")
    for boot in sorted(boots):
        yield Need(PLUGS, "boot", boot, f"boot {boot}", len(boots[boot]), why=", ".join(boots[boot]))


def _empty(worked: Worked, plug: Connector) -> Iterator[str]:
    face = face_of(worked.job, plug)
    if face is not None and plug.empty_plugged:
        used = {p.cavity for p in plug.pins}
        free = (one.size_class for one in face.cavities if one.id not in used)
        yield from (size for size in free if plugged_cavity(plug, size))


def _coverings(worked: Worked) -> Iterator[Need]:
    sized = worked.sized
    sleeves = (
        (p.type or p.what, p.size, p.cut_mm, p.must_pass_mm) for p in sized.sleeves if p.what != "none"
    )
    yield from _summed(sleeves, "sleeve", "sections")
    covers = ((c.type, c.size, c.cut_mm, c.over_mm) for c in sized.branch_covers)
    yield from _summed(covers, "cover", "branch points")
    for one in sized.grommets:
        why = f"loom {one.loom}, hole {one.hole_mm:.0f} mm"
        yield Need(SHEATHS, "grommet", one.words, one.words, 1, measure=one.hole_mm, why=why)


def _summed(
    pieces: Iterable[tuple[str, str, float, float]], kind: str, why: str, group: str = SHEATHS
) -> Iterator[Need]:
    found: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for name, size, mm, over_mm in pieces:
        found.setdefault((name, size), []).append((mm, over_mm))
    for name, size in sorted(found, key=lambda one: f"{one[0]} {one[1] or '(no size fits)'}"):
        some = found[name, size]
        yield Need(
            group,
            kind,
            name,
            f"{name} {printed_size(name, size) or '(size by the bundle)'}",
            len(some),
            math.fsum(mm for mm, _ in some),
            size=size,
            measure=max(over for _, over in some),
            why=f"{many(len(some), 'piece')}, {why}",
        )


def _splices(worked: Worked) -> Iterator[Need]:
    spare = worked.job.shop.contact_spare.value
    bodies = Counter((s.kind, s.size) for s in worked.sized.splices)
    covers = Counter(
        f"splice cover, {s.cover.type} {s.cover.printed or '(no size fits)'} x {s.cover_mm:.0f} mm"
        for s in worked.sized.splices
    )
    joints = sum(end.kind is EndKind.JOINT for w in worked.routed.wires for end in (w.a, w.b))
    for kind, size in sorted(bodies):
        words, count = f"splice, {kind} {size}", bodies[kind, size]
        why = f"{SAMPLES} more for samples"
        yield Need(SPLICES, "splice", kind, words, count, size=size, spare=spare, samples=SAMPLES, why=why)
    for words in sorted(covers):
        yield Need(SPLICES, "splice cover", words, words, covers[words], spare=spare)
    if joints:
        words = "sealed in-line joint"
        yield Need(SPLICES, "joint", words, words, joints, spare=spare, why="pigtails and moulded leads")


def _others(worked: Worked) -> Iterator[Need]:
    job = worked.job
    spare = job.shop.contact_spare.value
    fuses: dict[tuple[str, float], list[str]] = {}
    for one in job.protections:
        if one.kind != "trip":
            fuses.setdefault((one.kind, one.amps), []).append(one.name)
    for kind, amps in sorted(fuses):
        names = fuses[kind, amps]
        words, size = f"{kind} {amps:g} A", f"{amps:g}"
        yield Need(OTHERS, "fuse", kind, words, len(names), size=size, spare=1.0, why=", ".join(names))
    ties = Counter(t.what for p in job.passes for t in p.ties)
    for what in sorted(ties):
        yield Need(OTHERS, "tie", what, what, ties[what], spare=spare, why="as noted on the route")
    beside = sum(map(co_run_ties, worked.routed.trees))
    if beside:
        words = "tie, sections side by side"
        why = f"every {CO_RUN_TIE_MM.value:.0f} mm, and where one parts"
        yield Need(OTHERS, "tie", "tie", words, beside, spare=spare, why=why)
    taped = math.fsum(
        film_tape_mm(worked.sized.bundle[key], s.length_mm)
        for tree in worked.routed.trees
        for s in tree.sections
        if (key := section_key(tree.loom, s.name)) in worked.sized.bundle
    )
    if taped:
        why = f"{TAPE_TURNS} turns each {TAPE_EVERY_MM} mm and at both ends of a section"
        yield Need(OTHERS, "tape", FILM_TAPE, FILM_TAPE, 1, taped, spare=spare, why=why)
    clear = (
        (CLEAR_TYPE, one.size.removesuffix(" in"), one.cut_mm, 0.0)
        for one in worked.built.slide_on
        if one.what == CLEAR_COVER
    )
    yield from _summed(clear, "sleeve", "plug labels", OTHERS)
    labels = Counter(label.kind for label in worked.built.labels)
    for kind in sorted(labels):
        yield Need(OTHERS, "label", f"label, {kind}", f"label, {kind}", labels[kind], spare=spare)


def film_tape_mm(bundle: Bundle, length_mm: float) -> float:
    """Return the film tape that binds a section's wires before the sheath goes on [mm]; turns are ours."""
    bindings = math.floor(length_mm / TAPE_EVERY_MM) + 2
    return bindings * TAPE_TURNS * math.pi * bundle.as_laid_mm


def co_run_ties(tree: Tree) -> int:
    """Return how many ties hold a loom's co-runs: one every `CO_RUN_TIE_MM`, and one where each parts.

    Sections of one point that run side by side, two by two or all together, share their ties. Ours.
    """
    found = 0
    for point in sorted(tree.out_of):
        partings: dict[str, set[float]] = {}
        group: dict[str, str] = {}
        for one in tree.out_of[point]:
            group.setdefault(one.name, one.name)
            for run in one.co_runs:
                group.setdefault(run.section, run.section)
                _join(group, one.name, run.section)
        for one in tree.out_of[point]:
            if one.co_runs:
                root = _root(group, one.name)
                partings.setdefault(root, set()).update(run.until_mm for run in one.co_runs)
        found += sum(_ties(places) for places in partings.values())
    return found


def _root(group: dict[str, str], name: str) -> str:
    while group[name] != name:
        name = group[name]
    return name


def _join(group: dict[str, str], a: str, b: str) -> None:
    group[_root(group, b)] = _root(group, a)


def _ties(partings: set[float]) -> int:
    """Ties of one group: at every parting, and between two of them so that none is farther than the pitch."""
    found, last = 0, 0.0
    for place in sorted(partings):
        if place > last:
            found += math.ceil((place - last) / CO_RUN_TIE_MM.value - 1e-9)
            last = place
    return found


def _ropes(worked: Worked) -> Iterator[Need]:
    found: dict[float, list[float]] = {}
    for rope in worked.sized.ropes:
        found.setdefault(rope.diameter_mm, []).append(rope.length_mm)
    for dia in sorted(found):
        words = f"rope {dia:g} mm"
        yield Need(
            ROPES,
            "rope",
            words,
            words,
            len(found[dia]),
            math.fsum(found[dia]),
            why="100 mm over for each section in it",
        )
