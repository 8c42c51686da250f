"""The installation walk: what to look at on the car, loom by loom from the datum outward, before power."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.steps_car import joined_at
from loomwright.model.job import Area
from loomwright.model.rope import Near
from loomwright.model.tree import Section, Tree
from loomwright.model.words import DeviceState, HazardKind
from loomwright.pack.pages import Block, Column, Heading, Row, RowGroup, Sheet, Table
from loomwright.pack.route import near_words
from loomwright.pack.ticks_abreast import ticks_abreast
from loomwright.pack.view import ON_STUD, View

COLUMNS: Final = (
    Column("where", bold=True),
    Column("look at"),
    Column("should be"),
    Column("ok", kind="tick"),
    Column("found", kind="blank", width_mm=34.0),
    Column("initials", kind="blank", width_mm=16.0),
)
INTRO: Final = (
    "With the loom clipped in and its plugs mated, save those that the power-up joins, before the battery "
    "is connected: walk it from the datum "
    "outward with a lamp and a mirror, hands on the loom. Write the clear distance you find."
)
FIRM: Final = "tied both sides, does not reach it when pulled by hand"
NEAR_SHOULD: Final = (
    (HazardKind.HOT_PART, "still {mm:.0f} mm clear"),
    (HazardKind.MOVING_PART, "{mm:.0f} mm clear through its whole movement"),
    (HazardKind.THROTTLE_LINKAGE, "{mm:.0f} mm clear through the whole travel"),
    (HazardKind.SHARP_EDGE, "edge covered, " + FIRM),
    (HazardKind.FUEL_LINE, "{mm:.0f} mm clear, loom above it, tied to nothing of it"),
    (HazardKind.BRAKE_LINE, "{mm:.0f} mm clear, tied to nothing of it"),
    (HazardKind.PANEL_HOLE, "grommet seated all round, clamp on both sides"),
    (HazardKind.SPLASH, "a low point before every plug, water runs off"),
)


MOVING: Final = (HazardKind.MOVING_PART, HazardKind.THROTTLE_LINKAGE)


def installation_walk(view: View) -> Sheet:
    """Return the walk: throttle and engine first, then every section, plugs and studs."""
    blocks: list[Block] = []
    first = (*_throttle(view), *_rocked(view))
    if first:
        together = RowGroup(first, "Throttle and engine, with a second person")
        blocks.append(Table(COLUMNS, (together,), close=True))
    for tree in view.trees:
        sections = tuple(_sections(view, tree))
        if sections or tree.ends:
            blocks.append(Heading(f"Loom {tree.loom}"))
        if sections:
            outward = RowGroup(sections, "Sections, from the datum outward")
            blocks.append(Table(COLUMNS, (outward,), close=True))
        blocks += _ends(view, tree)
    stamps, cautions = view.stamps("route"), view.cautions("install")
    return Sheet("installation-walk", "Installation walk", tuple(blocks), INTRO, cautions, stamps)


def _row(where: str, look: str, should: str) -> Row:
    return (where, look, should, None, "", "")


def _throttle(view: View) -> Iterator[Row]:
    throttle = view.job.throttle
    clear = f" ({throttle.clear_mm:.0f} mm told)" if throttle.clear_mm is not None else ""
    if throttle.linkage in ("cable", "rod"):
        yield _row(
            f"throttle {throttle.linkage}",
            "whole travel by the pedal, floor mat in, engine rocked meanwhile, a tie near it undone",
            f"full open and shut on its spring; nothing of the loom touches{clear}",
        )
    elif throttle.linkage == "" and not any(d.throttle for d in view.devices):
        look = "whole travel by the pedal, floor mat in, engine rocked meanwhile"
        yield _row(
            "throttle (not told in the job)", look, "full open and shut on its spring, nothing touches"
        )
    for device in view.devices:
        if device.throttle and device.family == "throttle":
            look = "by hand or foot, power off"
            yield _row(device.name, look, "moves freely and springs back; loom clear of it")


def _rocked(view: View) -> Iterator[Row]:
    for area in view.job.areas:
        if area.moves_mm <= 0:
            continue
        watched = ", ".join(_crossing(view, area)) or "every loom that leaves it"
        yield _row(
            f"{area.name}, moves {area.moves_mm:.0f} mm",
            f"lever it to both stops; watch {watched}",
            "no loom goes tight, no plug is pulled, nothing rubs",
        )


def _crossing(view: View, area: Area) -> list[str]:
    """Sections with one end on a moving area and the next section off it, and those with a free loop."""
    found = []
    for tree in view.trees:
        for s in tree.sections:
            into = tree.into.get(s.inner)
            leaves = into is not None and (into.area == area.name) != (s.area == area.name)
            loop = s.passes is not None and bool(s.passes.loop_mm) and s.area == area.name
            if leaves or loop:
                found.append(s.name)
    return found


def _sections(view: View, tree: Tree) -> Iterator[Row]:
    for grommet in view.sized.grommets:
        if grommet.loom == tree.loom:
            look = f"{grommet.words}, hole {grommet.hole_mm:.0f} mm"
            yield _row(tree.datum, look, "grommet seated all round; clamp on both sides, none pulls")
    for section in tree.sections:
        yield from _section(section)


def _section(section: Section) -> Iterator[Row]:
    passes = section.passes
    if passes is None:
        return
    for near in passes.near:
        yield _row(section.name, near_words(near), _near_should(near, bool(passes.ties)))
    if passes.loop_mm:
        look = f"free loop of {passes.loop_mm:.0f} mm"
        yield _row(section.name, look, "slack with the engine at either stop, touches nothing")
    for bend in passes.bends:
        look = f"bend of {bend.angle_deg:.0f}° at {bend.at_mm:.0f} mm"
        yield _row(
            section.name, look, f"{bend.radius_mm:.0f} mm or wider along its middle, no kink at a boot"
        )
    if passes.ties:
        places = ", ".join(f"{t.at_mm:.0f}" + (f" to {t.to}" if t.to else "") for t in passes.ties)
        look = f"{len(passes.ties)} ties (mm from {section.inner}: {places})"
        yield _row(section.name, look, "all there, snug but not cutting in")


def _near_should(near: Near, tied: bool) -> str:
    """What should be found beside a hazard; a shield and a tie are named where there is one."""
    words = dict(NEAR_SHOULD).get(near.kind, FIRM).format(mm=near.mm)
    if near.kind in MOVING and tied:
        words += ", one tie undone"
    return f"{words}; {near.shielded_by} in place" if near.shielded_by else words


def _ends(view: View, tree: Tree) -> Iterator[Block]:
    """Plugs and studs side by side, each with its tick."""
    grounds, studs, plugs, later, spare = [], [], [], [], []
    for end in tree.ends:
        plug = view.job.connector.get(end)
        device = view.job.device[plug.device] if plug else None
        if plug is None or device is None or device.family == "tap":
            continue
        if device.state is DeviceState.PROVISION:
            spare.append(end)
        elif joined_at(device):
            later.append(end)
        elif device.family == "ground":
            grounds.append(end)
        elif device.stud_rings > 1 or device.family in ON_STUD:
            studs.append(f"{end}, {plug.boot} over it" if plug.boot else end)
        else:
            plugs.append(f"{end} with {plug.mates}" if plug.mates else end)
    for words, head, ends in (
        ("Plugs: clicked, lock in, no pull on it; tug each", "plug", plugs),
        ("Ground studs: bright metal, tight, sealed after", "ground", grounds),
        ("Other studs: clean and tight, nothing near to touch", "stud", studs),
        ("Still apart, insulated: the power-up says when each is joined", "apart", later),
        ("Provision only: sealed, labelled, tied back", "end", spare),
    ):
        if ends:
            yield ticks_abreast(words, head, ends)
