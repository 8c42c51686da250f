"""Papers from the device list alone, before any rope: open questions, order list, controller pins."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from typing import Final

from loomwright.building.ends import function_of
from loomwright.jobfile.read_stock import Stock
from loomwright.model.device import Connector, Device, Pin, Tap
from loomwright.model.job import Job
from loomwright.model.words import CircuitKind, DeviceState, Side, Supplied
from loomwright.pack.pages import NOT_PRINTED, Block, Column, Heading, Paragraph, Row, RowGroup, Sheet, Table
from loomwright.pack.view import ON_STUD, many, plugged_cavity, share_words, supplied_words
from loomwright.sizing.begun import ContactGuess, guessed_contact
from loomwright.sizing.fits import contact_at
from loomwright.sizing.plugs import face_of
from loomwright.sources import Mark

EARLY: Final = "EARLY"
FREE: Final = "FREE"
GUESSED: Final = "GUESSED"
MOST_OTHERS: Final = 2  # classes for thicker wire named beside a guess
WORST_FIRST: Final = (Mark.MEMORY, Mark.OURS, Mark.PRACTICE, Mark.MAKER, Mark.STANDARD, Mark.BUILDER)
NO_QUESTION: Final = ("ground", "stud", "controller", "power")  # families that are asked for no current
LOADS: Final = (CircuitKind.FEED, CircuitKind.DRIVE)
REGISTER_INTRO: Final = (
    "Every plug with what is not known yet. No wire is sized and no plug pinned before its row is answered. "
    "A current from memory counts as a question."
)
ORDER_INTRO: Final = (
    "Plugs and contacts have the longest lead times: ask for them first. Write the lead time in; the longest "
    "one says when the bench can begin."
)
GUESSED_WORDS: Final = (
    "GUESSED contacts: no wire is sized before the rope is measured. Its load, the heat of its bundle and "
    "the volt drop on its way decide then. Within the range beside it the contact stays; a thicker wire "
    "takes the next. Order guessed ones with a right to return them, fix the circuit's size in the job, or "
    "wait for the conductors sheet."
)
PINS_INTRO: Final = (
    "What sits in every cavity of the controllers, and which are free. Compare with the controller's own pin "
    "list, output by output: kind of driver, current, pairs."
)
REGISTER_COLUMNS: Final = (
    Column("plug", bold=True),
    Column("what it is"),
    Column("pins", kind="number"),
    Column("comes as"),
    Column("part"),
    Column("currents rest on"),
    Column("settled", kind="tick"),
    Column("open questions"),
    Column("answer", kind="blank", width_mm=45.0),
)
ORDER_COLUMNS: Final = (
    Column("part", bold=True),
    Column("need", kind="number"),
    Column("take", kind="number", bold=True),
    Column("on the shelf", kind="number"),
    Column("for, takes"),
    Column("rests on"),
    Column("thicker wire takes"),
    Column("lead time", kind="blank", width_mm=22.0),
    Column("from", kind="blank", width_mm=26.0),
    Column("ordered", kind="tick"),
)
PIN_COLUMNS: Final = (
    Column("cavity", bold=True, width_mm=14.0),
    Column("circuit", bold=True),
    Column("kind"),
    Column("controller"),
    Column("goes to"),
    Column("load", unit="A", kind="number"),
    Column("mark"),
    Column("agreed", kind="tick"),
)


@dataclass(frozen=True, slots=True)
class Asked:
    """The open questions of one plug."""

    end: str
    questions: tuple[str, ...]


def device_papers(job: Job, stock: Stock, stamps: tuple[str, ...] = (EARLY,)) -> tuple[Sheet, ...]:
    """Return what a job's devices allow without any rope; a paper with nothing to say is left out.

    Args:
        job: the job; its rope is not looked at
        stock: what lies on the shelf
        stamps: words stamped across the papers
    """
    found = (_register(job, stamps), _order(job, stock, stamps), _controllers(job, stamps))
    return tuple(one for one in found if one.blocks)


def present(job: Job) -> tuple[Device, ...]:
    """Return the devices that stay or come."""
    return tuple(one for one in job.devices if one.state is not DeviceState.REMOVED)


def open_questions(job: Job, device: Device, plug: Connector) -> tuple[str, ...]:
    """Return what is not known of a plug, in the order to find out."""
    found = [] if device.settled else ["place not settled"]
    if device.tap is not None:
        return (*found, *_tap_questions(device.tap))
    if not plug.pins:
        return (*found, "which circuit in which cavity?")
    on_stud = _on_stud(device)
    face = face_of(job, plug)
    if face is None and not on_stud:
        found.append("no face")
    elif face is not None and not (plug.face_checked or face.checked or on_stud):
        found.append("face not compared with the part")
    if plug.supplied is Supplied.PLUG:
        bare = [pin.cavity for pin in plug.pins if contact_at(job, pin.id) is None]
        found += [f"{'ring' if on_stud else 'contact'} not known{_at(bare, plug)}"] if bare else []
        found += [] if plug.part or on_stud else ["no part named"]
    elif plug.lead_mm is None:
        found.append("length of its lead")
    return (*found, *_current_questions(device, plug))


def _tap_questions(tap: Tap) -> tuple[str, ...]:
    """What has to be known of one of the car's own wires before it is joined into."""
    told = (("colour", tap.colour), ("size", tap.size), ("place", tap.place))
    read = (("key off", tap.key_off_v), ("key on", tap.key_on_v), ("cranking", tap.cranking_v))
    open_ = [name for name, value in told if not value]
    unread = [name for name, volts in read if volts is None]
    found = [f"the car's own wire: {', '.join(open_)}"] if open_ else []
    return (*found, *([f"meter not read: {', '.join(unread)}"] if unread else []))


def _current_questions(device: Device, plug: Connector) -> list[str]:
    """Currents that are not known, or recalled only, of what the device takes for itself."""
    inside = {name for pair in device.through for name in pair}
    passes_on = any(pin.kind is CircuitKind.FEED and pin.side is Side.GIVES for pin in device.pins)
    if device.family in NO_QUESTION or passes_on:
        return []
    taken = [p for p in plug.pins if p.kind in LOADS and p.side is Side.TAKES and p.id not in inside]
    blank = [pin.cavity for pin in taken if pin.amps is None]
    recalled = [p.cavity for p in taken if p.amps is not None and p.source.mark is Mark.MEMORY]
    found = [f"current not known{_at(blank, plug)}"] if blank else []
    return [*found, *([f"current from memory{_at(recalled, plug)}"] if recalled else [])]


def _on_stud(device: Device) -> bool:
    return device.stud_rings > 0 or device.family in ON_STUD


def _at(cavities: list[str], plug: Connector) -> str:
    """Return ", cavity 1, 3", "" where it is every used one."""
    return "" if len(cavities) == len(plug.pins) else f", cavity {', '.join(cavities)}"


def _rests_on(plug: Connector) -> str:
    """Return the weakest mark of a plug's currents."""
    marks = {pin.source.mark for pin in plug.pins if pin.amps is not None}
    return next((str(mark) for mark in WORST_FIRST if mark in marks), NOT_PRINTED)


def _register(job: Job, stamps: tuple[str, ...]) -> Sheet:
    groups: dict[str, list[Row]] = {}
    asked = settled = 0
    devices = present(job)
    for device in devices:
        settled += device.settled
        for plug in device.connectors:
            questions = open_questions(job, device, plug)
            asked += bool(questions)
            row = (
                plug.end,
                function_of(device),
                len(plug.pins),
                supplied_words(plug),
                plug.part,
                _rests_on(plug),
                device.settled,
                "; ".join(questions) or "none",
                "",
            )
            groups.setdefault(device.area, []).append(row)
    plugs = sum(len(one.connectors) for one in devices)
    summary = (
        f"{many(len(devices), 'device')}, {settled} settled; {many(plugs, 'plug')}, {asked} with questions."
    )
    note = "Currents rest on: the weakest mark among the plug's pins; see how far each mark can be trusted."
    titled = tuple(
        RowGroup(tuple(rows), f"Area {area}" if area else "Area not told") for area, rows in groups.items()
    )
    blocks: tuple[Block, ...] = (Paragraph(summary, bold=True), Table(REGISTER_COLUMNS, titled, note=note))
    intro = REGISTER_INTRO
    return Sheet(
        "early-register",
        "Register with open questions",
        blocks if devices else (),
        intro,
        stamps=stamps,
        landscape=True,
    )


def _order(job: Job, stock: Stock, stamps: tuple[str, ...]) -> Sheet:
    spare = job.shop.contact_spare.value
    groups = (
        RowGroup(tuple(_plugs(job, stock)), "Plugs and boots"),
        RowGroup(tuple(_contacts(job, stock, spare)), "Contacts, seals, rings, joints"),
    )
    note = (
        f"Spares: {share_words(spare)} {job.shop.contact_spare.source}, not for plugs. One contact a pin; "
        "splices and second wires in a cavity come with the rope. Shelf: stock.toml [builder]."
    )
    table = Table(ORDER_COLUMNS, tuple(g for g in groups if g.rows), note=note)
    return Sheet(
        "early-order",
        "Plugs and contacts to order",
        (Paragraph(GUESSED_WORDS, bold=True), table) if table.groups else (),
        ORDER_INTRO,
        stamps=stamps,
        landscape=True,
    )


def _row(
    stock: Stock, part: str, name: str, need: int, spare: float, why: str, rests: str = "", other: str = ""
) -> Row:
    have = [one.have for one in stock.items if one.name == name and one.have is not None]
    shelf = sum(have) if have else None
    return (part, need, ceil(need * (1 + spare) - 1e-9), shelf, why, rests, other, "", "", None)


def _loose(job: Job) -> Iterator[tuple[Device, Connector]]:
    """Yield the plugs that are terminated on the loom."""
    for device in present(job):
        if device.tap is not None:
            continue
        yield from (
            (device, plug) for plug in device.connectors if plug.pins and plug.supplied is Supplied.PLUG
        )


def _plugs(job: Job, stock: Stock) -> Iterator[Row]:
    ends: dict[tuple[str, str], list[str]] = {}
    for device, plug in _loose(job):
        if _on_stud(device):
            continue
        named = plug.part or (
            f"face {plug.face}, no part named" if plug.face else "neither part nor face named"
        )
        pair = f" (mates with {plug.mates}: one of them with pins)" if plug.mates else ""
        ends.setdefault((named, plug.part), []).append(f"{plug.end}{pair}")
    for (words, part), found in sorted(ends.items()):
        yield _row(stock, words, part, len(found), 0.0, ", ".join(found))
    boots = Counter(plug.boot for _, plug in _loose(job) if plug.boot)
    for boot in sorted(boots):
        yield _row(stock, f"boot {boot}", boot, boots[boot], 0.0, "")


def _contacts(job: Job, stock: Stock, spare: float) -> Iterator[Row]:
    wanted: dict[tuple[bool, str, bool], list[ContactGuess]] = {}
    stoppers: Counter[str] = Counter()
    for device, plug in _loose(job):
        for pin in plug.pins:
            guess = guessed_contact(job, pin)
            what = guess.kind.name if guess.kind else "ring" if _on_stud(device) else "contact"
            wanted.setdefault((guess.kind is None, what, not guess.sure), []).append(guess)
        face, used = face_of(job, plug), {pin.cavity for pin in plug.pins}
        if face is not None and plug.empty_plugged:
            free = (one.size_class for one in face.cavities if one.id not in used)
            stoppers.update(size for size in free if plugged_cavity(plug, size))
    for (_, what, _), guesses in sorted(wanted.items(), key=lambda one: one[0]):
        yield from _contact_rows(stock, what, guesses, spare)
    for size in sorted(stoppers):
        yield _row(stock, f"sealing plug, cavity {size}", "", stoppers[size], spare, "empty cavities")
    lead_pins = (p.pins for d in present(job) for p in d.connectors if p.supplied is not Supplied.PLUG)
    joints = sum(map(len, lead_pins)) + sum(one.tap is not None for one in present(job))
    if joints:
        yield _row(stock, "sealed in-line joint", "", joints, spare, "pigtails, moulded leads, taps")


def _contact_rows(stock: Stock, what: str, guesses: list[ContactGuess], spare: float) -> Iterator[Row]:
    """Yield the rows of one contact class, told or guessed: the contact, and its seal."""
    kind, count = guesses[0].kind, len(guesses)
    if kind is None:
        yield _row(stock, f"{what}, class not given", "", count, spare, "name it in the job")
        return
    sign = "" if guesses[0].sure else f"{GUESSED}: "
    why = sign + "; ".join(dict.fromkeys(one.why for one in guesses))
    thicker = max((one.others for one in guesses), key=len)
    other = "; ".join(f"{one.name} up to {one.mm2_max:g} mm²" for one in thicker[:MOST_OTHERS])
    range_ = f"{kind.mm2_min:g} to {kind.mm2_max:g} mm² [{kind.source.mark}]"
    yield _row(stock, f"{kind.name}: {kind.words}", kind.name, count, spare, range_, why, other)
    if kind.sealed:
        seal = f"{kind.seal_od_min_mm:g} to {kind.seal_od_max_mm:g} mm outside"
        why = f"{sign}with its contact"
        yield _row(stock, f"wire seal for {kind.name}", "", count, spare, seal, why)


def _controllers(job: Job, stamps: tuple[str, ...]) -> Sheet:
    blocks: list[Block] = []
    for device in present(job):
        for plug in device.connectors if device.family == "controller" else ():
            blocks += _controller(job, device, plug)
    return Sheet("early-pins", "Controller pins", tuple(blocks), PINS_INTRO, stamps=stamps)


def _controller(job: Job, device: Device, plug: Connector) -> tuple[Block, ...]:
    face = face_of(job, plug)
    used: dict[str, list[Pin]] = {}
    for pin in plug.pins:
        used.setdefault(pin.cavity, []).append(pin)
    ids = face.ids if face is not None else ()
    rows: list[Row] = []
    for cavity in (*ids, *(c for c in used if c not in ids)):
        if cavity not in used:
            rows.append((cavity, FREE, "", "", "", None, "", None))
        rows += [_pin_row(job, pin) for pin in used.get(cavity, ())]
    head = Heading(f"{plug.end}  {function_of(device)}")
    if face is None:
        told = f"{many(len(used), 'pin')} used. No face is given, so free pins can't be told: name its face."
    else:
        free = len(ids) - sum(one in used for one in ids)
        rests = f"face {face.name}, {face.source.mark}"
        told = f"{many(len(used), 'pin')} used, {free} free of {len(ids)} ({rests})."
    table = Table(PIN_COLUMNS, (RowGroup(tuple(rows), plug.end),))
    return (head, Paragraph(told, bold=True), *((table,) if rows else ()))


def _pin_row(job: Job, pin: Pin) -> Row:
    others = [one for one in job.pins_of.get(pin.circuit, ()) if one.end != pin.end]
    loads = [one for one in others if one.amps is not None]
    heaviest = max(loads, key=lambda one: one.amps or 0.0, default=None)
    screened = [f"screen of cable {one.name}" for one in job.cables if one.screen == pin.circuit]
    named = ", ".join([*(one.id for one in others), *screened]) or "nothing yet"
    amps = pin.amps if pin.amps is not None else (heaviest.amps if heaviest else None)
    source = pin.source if pin.amps is not None else (heaviest.source if heaviest else None)
    return (
        pin.cavity,
        pin.circuit,
        str(pin.kind),
        str(pin.side),
        named,
        amps,
        str(source.mark) if source else "",
        None,
    )
