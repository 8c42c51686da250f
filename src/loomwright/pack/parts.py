"""The parts list: everything to have on the bench before the first cut, with spares."""

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from loomwright.library.contacts import ContactClass
from loomwright.model.device import Connector
from loomwright.model.words import Supplied
from loomwright.pack.pages import Column, Row, RowGroup, Sheet, Table
from loomwright.pack.reels import reels
from loomwright.pack.view import ON_STUD, View, many, plugged_cavity, share_words
from loomwright.routing.routed import EndKind
from loomwright.sizing.fits import contact_at
from loomwright.sizing.plugs import face_of

COLUMNS: Final = (
    Column("part", bold=True),
    Column("need", kind="number"),
    Column("take", kind="number", bold=True),
    Column("unit"),
    Column("for"),
    Column("there", kind="tick"),
    Column("order number", kind="blank", width_mm=26.0),
    Column("price", kind="blank", width_mm=15.0),
)
INTRO: Final = (
    "Buy what take says: need with spares. Parts the job gives no maker's number for stand here by what "
    "they have to do."
)
HALF_M: Final = 0.5  # lengths are bought in steps of half a metre; ours


def parts(view: View) -> Sheet:
    """Return the parts list."""
    shop = view.job.shop
    groups = (
        RowGroup(tuple(_wire(view)), "Wire and cable"),
        RowGroup(tuple(_contacts(view)), "Contacts, seals, rings"),
        RowGroup(tuple(_plugs(view)), "Plugs, sockets, boots"),
        RowGroup(tuple(_coverings(view)), "Sleeves and covers"),
        RowGroup(tuple(_splices(view)), "Splices and joints"),
        RowGroup(tuple(_others(view)), "Fuses, ties, labels"),
        RowGroup(tuple(_ropes(view)), "Rope for the mock-up"),
    )
    note = (
        f"Spares: wire {share_words(shop.wire_spare.value)} {shop.wire_spare.source}, contacts, seals and "
        f"splices {share_words(shop.contact_spare.value)} {shop.contact_spare.source}; lengths rounded up "
        "to half a metre [ours]."
    )
    table = Table(COLUMNS, tuple(g for g in groups if g.rows), note=note, close=True)
    blocks = (table,) if table.groups else ()
    return Sheet("parts", "Parts list", blocks, INTRO, stamps=view.stamps("parts"))


def _metres(part: str, mm: float, spare: float, why: str) -> Row:
    need = mm / 1000
    take = math.ceil(need * (1 + spare) / HALF_M - 1e-9) * HALF_M
    return (part, round(need, 2), take, "m", why, None, "", "")


def _pieces(part: str, need: int, spare: float, why: str = "") -> Row:
    return (part, need, math.ceil(need * (1 + spare) - 1e-9), "pcs", why, None, "", "")


def _wire(view: View) -> Iterator[Row]:
    spare = view.job.shop.wire_spare.value
    for reel in reels(view, sorted(view.routed.wires, key=lambda w: w.number)):
        words = "cable, one piece" if reel.is_cable else many(reel.pieces, "wire")
        yield _metres(reel.words, reel.length_mm, spare, words)


def _contacts(view: View) -> Iterator[Row]:
    spare = view.job.shop.contact_spare.value
    classes: dict[str, ContactClass] = {}
    count: Counter[str] = Counter()
    unknown: Counter[str] = Counter()
    for wire in view.routed.wires:
        for end in (wire.a, wire.b):
            if end.kind not in (EndKind.PIN, EndKind.STUD):
                continue
            kind = contact_at(view.job, end.name, view.size(wire))
            if kind is None:
                unknown["ring" if end.kind is EndKind.STUD else "contact"] += 1
            else:
                classes[kind.name] = kind
                count[kind.name] += 1
    for name in sorted(count):
        kind = classes[name]
        yield _pieces(
            f"{name}: {kind.words}", count[name], spare, f"{kind.mm2_min:g} to {kind.mm2_max:g} mm²"
        )
        if kind.sealed:
            seal = f"{kind.seal_od_min_mm:g} to {kind.seal_od_max_mm:g} mm outside"
            yield _pieces(f"wire seal for {name}", count[name], spare, seal)
    for what in sorted(unknown):
        yield _pieces(f"{what}, class not given", unknown[what], spare, "name it in the job")


def _plugs(view: View) -> Iterator[Row]:
    plugs: dict[str, list[str]] = {}
    stoppers: Counter[str] = Counter()
    for plug in view.connectors:
        if not plug.pins or plug.supplied is not Supplied.PLUG:
            continue
        name = plug.part or (f"face {plug.face}, no part named" if plug.face else "")
        if name and view.job.device[plug.device].family not in ON_STUD:
            plugs.setdefault(name, []).append(plug.end)
        stoppers.update(_empty(view, plug))
    for name in sorted(plugs):
        yield _pieces(name, len(plugs[name]), 0.0, ", ".join(plugs[name]))
    for size in sorted(stoppers):
        yield _pieces(
            f"sealing plug, cavity {size}",
            stoppers[size],
            view.job.shop.contact_spare.value,
            "empty cavities",
        )
    boots = Counter(c.boot for c in view.connectors if c.boot)
    for boot in sorted(boots):
        yield _pieces(
            f"boot {boot}", boots[boot], 0.0, ", ".join(c.end for c in view.connectors if c.boot == boot)
        )


def _empty(view: View, plug: Connector) -> Iterator[str]:
    face = face_of(view.job, plug)
    if face is not None and plug.empty_plugged:
        used = {p.cavity for p in plug.pins}
        free = (one.size_class for one in face.cavities if one.id not in used)
        yield from (size for size in free if plugged_cavity(plug, size))


def _coverings(view: View) -> Iterator[Row]:
    sized = view.sized
    yield from _summed(
        (
            (f"{p.type or p.what} {p.size or '(no size fits)'}", p.cut_mm)
            for p in sized.sleeves
            if p.what != "none"
        ),
        "sections",
    )
    yield from _summed(
        ((f"{c.type} {c.size or '(no size fits)'}", c.cut_mm) for c in sized.branch_covers), "branch points"
    )
    for one in sized.grommets:
        yield _pieces(one.words, 1, 0.0, f"loom {one.loom}, hole {one.hole_mm:.0f} mm")


def _summed(pieces: Iterable[tuple[str, float]], why: str) -> Iterator[Row]:
    found: dict[str, list[float]] = {}
    for name, mm in pieces:
        found.setdefault(name, []).append(mm)
    for name in sorted(found):
        yield _metres(name, math.fsum(found[name]), 0.0, f"{many(len(found[name]), 'piece')}, {why}")


def _splices(view: View) -> Iterator[Row]:
    spare = view.job.shop.contact_spare.value
    bodies = Counter(f"splice, {s.kind} {s.size}" for s in view.sized.splices)
    covers = Counter(f"splice cover, {s.cover_mm:.0f} mm" for s in view.sized.splices)
    joints = sum(end.kind is EndKind.JOINT for w in view.routed.wires for end in (w.a, w.b))
    for found in (bodies, covers):
        for name in sorted(found):
            yield _pieces(name, found[name], spare)
    if joints:
        yield _pieces("sealed in-line joint", joints, spare, "pigtails and moulded leads")


def _others(view: View) -> Iterator[Row]:
    spare = view.job.shop.contact_spare.value
    fuses = Counter((p.kind, p.amps) for p in view.job.protections if p.kind != "trip")
    for kind, amps in sorted(fuses):
        yield _pieces(f"{kind} {amps:g} A", fuses[kind, amps], 1.0, _names(view, kind, amps))
    ties = Counter(t.what for p in view.job.passes for t in p.ties)
    for what in sorted(ties):
        yield _pieces(what, ties[what], spare, "as noted on the route")
    labels: Mapping[str, int] = Counter(label.kind for label in view.built.labels)
    for kind in sorted(labels):
        yield _pieces(f"label, {kind}", labels[kind], spare)


def _names(view: View, kind: str, amps: float) -> str:
    return ", ".join(p.name for p in view.job.protections if (p.kind, p.amps) == (kind, amps))


def _ropes(view: View) -> Iterator[Row]:
    found: dict[float, float] = {}
    for rope in view.sized.ropes:
        found[rope.diameter_mm] = found.get(rope.diameter_mm, 0.0) + rope.length_mm
    for dia in sorted(found):
        yield _metres(f"rope {dia:g} mm", found[dia], 0.0, "100 mm over for each section in it")
