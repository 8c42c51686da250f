"""Circuits, what protects them, cables, spares, shop, areas and looms, from the checked tables."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from loomwright.edits import Path
from loomwright.jobfile.keys import SHOP_NUMBERS
from loomwright.jobfile.read_table import Entry
from loomwright.model.circuit import Cable, Circuit, LoomPlace, Protection, Spare
from loomwright.model.job import Acceptance, Area, Loom, Throttle
from loomwright.model.shop import Shop
from loomwright.model.words import CableKind, CircuitKind, Join
from loomwright.sources import BUILDER, Figure


def declared_kinds(entries: Iterable[Entry]) -> dict[str, CircuitKind]:
    """Return the kinds the circuits' own tables give."""
    return {one.name: CircuitKind(one.text("kind")) for one in entries if "kind" in one}


def circuit_of(name: str, kind: CircuitKind, entry: Entry | None, path: Path) -> Circuit:
    """Return a circuit; one without a table of its own points to its first pin."""
    if entry is None:
        return Circuit(name, kind, path)
    at = entry.entry("splice_at")
    return Circuit(
        name=name,
        kind=kind,
        path=entry.path,
        join=Join(entry.text("join")) if "join" in entry else None,
        join_at=entry.text("join_at"),
        amps=entry.number("amps"),
        duty=entry.number("duty"),
        size=entry.text("size"),
        family=entry.text("family"),
        colour=entry.text("colour"),
        splice_at=LoomPlace(at.text("section"), at.some("mm", 0.0)) if at else None,
        order=entry.texts("order"),
        intermittent=entry.flag("intermittent"),
        critical=entry.flag("critical"),
        reason=entry.text("reason"),
        declared=True,
    )


def protection_of(entry: Entry) -> Protection:
    """Return a fuse, link, breaker or trip."""
    return Protection(
        name=entry.name,
        kind=entry.text("kind", "blade fuse"),
        amps=entry.some("amps", 0.0),
        line=entry.text("line"),
        load=entry.text("load"),
        path=entry.path,
        device=entry.text("device"),
        from_source_mm=entry.number("from_source_mm"),
    )


def cable_of(entry: Entry) -> Cable:
    """Return a pair, trio or screened cable."""
    return Cable(
        name=entry.name,
        kind=CableKind(entry.text("kind")),
        circuits=entry.texts("circuits"),
        path=entry.path,
        stock=entry.text("stock"),
        screen=entry.text("screen"),
        pitch_mm=entry.number("pitch_mm"),
    )


def spare_of(entry: Entry) -> Spare:
    """Return a spare wire."""
    return Spare(entry.name, entry.text("a"), entry.text("b"), entry.path, entry.text("size"))


def area_of(entry: Entry) -> Area:
    """Return a part of the car."""
    return Area(
        name=entry.name,
        air_c=entry.some("air_c", 20.0),
        moves_mm=entry.some("moves_mm", 0.0),
        side=entry.text("side"),
        path=entry.path,
        splash=entry.flag("splash"),
    )


def loom_of(entry: Entry) -> Loom:
    """Return a loom."""
    return Loom(
        name=entry.name,
        datum=entry.text("datum"),
        path=entry.path,
        hole_mm=entry.number("hole_mm"),
        area=entry.text("area"),
        words=entry.text("words"),
        terminators=int(entry.some("terminators", 0)),
    )


def throttle_of(entry: Entry | None) -> Throttle:
    """Return the answer about the throttle linkage; no table is no answer."""
    if entry is None:
        return Throttle("", None, ("throttle",))
    return Throttle(entry.text("linkage"), entry.number("clear_mm"), entry.path)


def acceptance_of(entry: Entry) -> Acceptance:
    """Return a kept finding."""
    return Acceptance(entry.text("finding"), entry.text("reason"), entry.text("by"), entry.path)


def shop_of(entry: Entry | None) -> Shop:
    """Return the shop: its defaults, with what the job changes marked as the builder's."""
    if entry is None:
        return Shop()
    changed: dict[str, object] = {}
    for name, value in entry.values.items():
        changed[name] = Figure(entry.some(name, 0.0), BUILDER) if name in SHOP_NUMBERS else value
    return _changed(Shop(), changed)


def _changed(shop: Shop, changed: Mapping[str, object]) -> Shop:
    return replace(shop, **changed)  # type: ignore[arg-type]
