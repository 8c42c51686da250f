"""The route sheet: what each section passes, where it is tied, how it bends and leaves."""

from collections.abc import Iterator
from typing import Final

from loomwright.building.board_task import SHORTEST_CO_RUN_MM, SHORTEST_REST_MM
from loomwright.building.exit_paths import Abreast
from loomwright.model.rope import Near, Passes
from loomwright.model.tree import Section, Tree
from loomwright.pack.draw_run import draw_run, strangers
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import (
    NOT_PRINTED,
    Block,
    Card,
    Column,
    Figure,
    Heading,
    Paragraph,
    Picture,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.view import View

COLUMNS: Final = (
    Column("section", bold=True),
    Column("length", "mm", "number", decimals=0),
    Column("leaves"),
    Column("way, area, air"),
    Column("passes (clear distance in mm)"),
    Column("ties at", "mm from inner end"),
    Column("bends"),
    Column("beside, up to", "mm"),
    Column("seen", kind="tick"),
    Column("note at the car", kind="blank", width_mm=32.0),
)
ABREAST: Final = (
    Column("from", bold=True),
    Column("to the next parting"),
    Column("left to right"),
    Column("at the far end"),
    Column("laid", kind="tick"),
)
SIDE_SIGN: Final = "  |  "
SIDE_BY_SIDE: Final = (
    "Each in its own covering, tied to each other. Left is 9 o'clock, looking outward from the datum, once "
    "twist is taken out; laid in this order nothing has to cross where they part. Where the order at the far "
    "end is another, they can't but cross on the way: see EXIT-02. A co-run "
    f"of less than {SHORTEST_CO_RUN_MM:.0f} mm, or with less than {SHORTEST_REST_MM:.0f} mm left beyond its "
    "parting, is an exit of its own and not listed."
)
INTRO: Final = (
    "Section by section from the datum outward, distances from the section's inner end. Walk the route on "
    "the car with this sheet, tick what you have seen, write what differs. The clock is seen looking "
    "outward from the datum."
)


def route(view: View) -> Sheet:
    """Return the route sheet."""
    groups = tuple(
        RowGroup(tuple(_rows(view, tree)), f"Loom {tree.loom}, datum {tree.datum}")
        for tree in view.trees
        if tree.sections
    )
    blocks: tuple[Block, ...] = (
        (lifted(Table(COLUMNS, groups, close=True), "bends", "beside, up to"),) if groups else ()
    )
    blocks = (*blocks, *_abreast(view), *_photos(view))
    cautions = view.cautions("bare fit")
    stamps = view.stamps("route")
    return Sheet("route", "Route", blocks, INTRO, cautions, stamps, landscape=True)


def _rows(view: View, tree: Tree) -> Iterator[Row]:
    leaving = view.worked.built.leaving[tree.loom]
    for section in tree.sections:
        passes = section.passes
        yield (
            section.name,
            section.length_mm,
            leaving[section.name].words or NOT_PRINTED,
            _way(section),
            "; ".join(near_words(n) for n in passes.near) if passes else "",
            _ties(passes),
            _bends(passes),
            "; ".join(f"{c.section} {c.until_mm:.0f}" for c in section.co_runs),
            None,
            "",
        )


def _abreast(view: View) -> Iterator[Block]:
    """In which order sections lie that run side by side."""
    groups = tuple(
        RowGroup(tuple(map(_stretch, exits.begun)), f"Loom {exits.loom}")
        for exits in view.built.exits
        if exits.abreast
    )
    if groups:
        yield Heading("Side by side")
        yield Paragraph(SIDE_BY_SIDE)
        yield Table(ABREAST, groups, close=True)


def _stretch(one: Abreast) -> Row:
    changed = one.at_inner != one.at_outer
    return (
        one.inner,
        one.outer,
        SIDE_SIGN.join(one.at_inner),
        SIDE_SIGN.join(one.at_outer) if changed else "same",
        None,
    )


def _photos(view: View) -> Iterator[Block]:
    for photo in view.job.photos:
        title = f"Photo {photo.name}: {photo.words}" if photo.words else f"Photo {photo.name}"
        if not photo.data:
            yield Paragraph(f"{title}. {photo.file} can't be shown; see FILE-10.")
            continue
        said = ["Not to scale. Dashed: the way is not drawn yet, straight between both points."]
        lost = strangers(photo, view.trees)
        said += [f"On the photo and not in the loom: {', '.join(lost)}."] if lost else []
        drawing = draw_run(photo, view.trees)
        yield Card((Heading(title), Figure(drawing, " ".join(said), under=Picture(photo.data, photo.media))))


def _way(section: Section) -> str:
    passes = section.passes
    via = passes.via if passes else ""
    loop = f"free loop {passes.loop_mm:.0f} mm" if passes and passes.loop_mm else ""
    return ", ".join(w for w in (via, section.area, f"{section.air_c:.0f} °C", loop) if w)


def near_words(near: Near) -> str:
    """Return a hazard in one line: what, how far, where, what stands between."""
    said = [f"{near.kind} {near.mm:.0f}"]
    if near.words:
        said.append(f"({near.words})")
    if near.temperature_c is not None:
        said.append(f"of {near.temperature_c:.0f} °C")
    if near.at_mm is not None:
        over = f" over {near.over_mm:.0f}" if near.over_mm is not None else ""
        said.append(f"at {near.at_mm:.0f}{over}")
    said += ["crossing"] if near.crosses else []
    said += ["loom above it"] if near.above else []
    said += [f"behind {near.shielded_by}"] if near.shielded_by else []
    return " ".join(said)


def _ties(passes: Passes | None) -> str:
    if passes is None or not passes.ties_noted:
        return "not noted"
    found: dict[str, list[str]] = {}
    for tie in passes.ties:
        found.setdefault(f"{tie.what} to {tie.to}" if tie.to else tie.what, []).append(f"{tie.at_mm:.0f}")
    return "; ".join(f"{what}: {', '.join(at)}" for what, at in found.items()) or "none"


def _bends(passes: Passes | None) -> str:
    if passes is None:
        return ""
    return "; ".join(
        f"at {b.at_mm:.0f}: {b.angle_deg:.0f}°, radius {b.radius_mm:.0f} mm" for b in passes.bends
    )
