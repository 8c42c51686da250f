"""Read a job folder into the model: every fault of its content is a finding, the sound rest is kept.

Codes: FILE-01 can't be read as TOML, FILE-02 stands twice, FILE-03 unknown key, FILE-04 wrong value,
FILE-05 a needed key is missing, FILE-06 name not in the library, FILE-07 name not in the job,
FILE-08 unusable name, FILE-09 kind of a circuit can't be told, FILE-10 a file beside the job can't be read.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path as FilePath
from typing import Final

from loomwright.errors import Unreadable
from loomwright.findings import Finding
from loomwright.jobfile.doubled import DOUBLED, one_for_a_lost_head
from loomwright.jobfile.kept import KEPT_FILE, read_kept
from loomwright.jobfile.keys import FORMAT, ROOT
from loomwright.jobfile.lost import names_lost
from loomwright.jobfile.read_circuits import (
    acceptance_of,
    area_of,
    cable_of,
    circuit_of,
    declared_kinds,
    loom_of,
    protection_of,
    shop_of,
    spare_of,
    throttle_of,
)
from loomwright.jobfile.read_devices import Plan, device_of, plan_device, plan_tap, tap_of
from loomwright.jobfile.read_map import map_of
from loomwright.jobfile.read_names import with_sound_names
from loomwright.jobfile.read_photo import photo_of
from loomwright.jobfile.read_pins import Draft, Sides, circuit_kinds
from loomwright.jobfile.read_plan import plan_of
from loomwright.jobfile.read_rope import (
    Ground,
    board_angle_of,
    built_of,
    exits_of,
    passes_of,
    run_of,
    section_run,
)
from loomwright.jobfile.read_stock import STOCK_FILE, Stock, read_stock
from loomwright.jobfile.read_table import Entry, Notes, entry_of
from loomwright.jobfile.toml_text import TomlDocument, read_text
from loomwright.library.faces import Face, faces, faces_by_name
from loomwright.library.kinds import kinds
from loomwright.model.circuit import Cable, Circuit, Protection
from loomwright.model.device import Device
from loomwright.model.job import Job, Kept, Source12V
from loomwright.model.words import DeviceState, Level

JOB_FILE: Final = "job.toml"
VOLTS: Final = 13.8  # with the engine running; common practice
SUPPLY_OHM: Final = 0.010  # battery and its cables, up to the first feed; ours


@dataclass(frozen=True, slots=True)
class ReadJob:
    """A job as read: the model, the text it came from, what was wrong with it.

    Attributes:
        faces: the faces the job describes itself
        folder: where it was read from
        stock: what stock.toml says
    """

    job: Job
    document: TomlDocument
    findings: tuple[Finding, ...]
    faces: tuple[Face, ...] = ()
    folder: FilePath = FilePath()
    stock: Stock = field(default_factory=Stock)

    def line_of(self, finding: Finding) -> int:
        """Return the line of job.toml a finding points to."""
        return self.document.line_of(finding.place.path)


def read_job(place: FilePath | str) -> ReadJob:
    """Read a job.

    Args:
        place: the job's folder, or its job.toml
    Raises:
        Unreadable: job.toml is missing or not UTF-8.
    """
    file = FilePath(place)
    if file.is_dir():
        file = file / JOB_FILE
    text = _utf8(file)
    kept_file = file.parent / KEPT_FILE
    kept_words = _utf8(kept_file) if kept_file.is_file() else ""
    read = job_of_text(text, kept_words, file.parent)
    stock_file = file.parent / STOCK_FILE
    stock, faults = read_stock(_utf8(stock_file)) if stock_file.is_file() else (Stock(), ())
    return replace(read, folder=file.parent, stock=stock, findings=(*read.findings, *faults))


def job_of_text(text: str, kept_words: str = "", folder: FilePath | None = None) -> ReadJob:
    """Return the job of a text; never raises.

    Args:
        text: the text of job.toml
        kept_words: the text of kept.toml, "" = none
        folder: where rope files named in the job are looked for, None = there are none
    """
    return job_of_document(read_text(text), kept_words, folder)


def job_of_document(document: TomlDocument, kept_words: str = "", folder: FilePath | None = None) -> ReadJob:
    """Return the job of a text that is decoded already; never raises.

    Args:
        document: the text of job.toml with its values
        kept_words: the text of kept.toml, "" = none
        folder: where rope files named in the job are looked for, None = there are none
    """
    notes = Notes()
    for problem in one_for_a_lost_head(document.problems):
        twice = problem.remedy.startswith(DOUBLED)
        should = (
            "A key stands once in a table." if twice else "Every line should be readable; the rest is used."
        )
        code, where = "FILE-02" if twice else "FILE-01", f"{JOB_FILE} line {problem.line}"
        lost = names_lost(document, problem)
        notes.add(code, (), problem.words, should, problem.remedy, words=where, leaves_out=lost)
    kept, faults = read_kept(kept_words) if kept_words else (Kept(), ())
    root = entry_of(document.values, ROOT, (), notes) or Entry("", (), {})
    _check_head(document.values, notes)
    face_texts, own_faces = _faces(root, notes)
    job = replace(_job(root, kept, folder, notes), faces=face_texts)
    known = faces_by_name((*faces().values(), *own_faces))
    job = with_sound_names(job, known, notes)
    return ReadJob(job, document, (*notes.findings, *faults), own_faces)


def _utf8(file: FilePath) -> str:
    try:
        return file.read_bytes().decode("utf-8")
    except UnicodeDecodeError as fault:
        raw = file.read_bytes()
        line = raw[: fault.start].count(b"\n") + 1
        what = "The file is saved as UTF-16."
        if not raw.startswith((b"\xff\xfe", b"\xfe\xff")):
            text = raw.split(b"\n")[line - 1].decode("latin-1").strip()
            shown = "".join(one if one.isprintable() else "?" for one in text[:50])
            what = f'"{shown}" holds a sign in an older encoding (byte {raw[fault.start]:02X}).'
        should, remedy = "A job file is UTF-8.", 'In the editor choose "save as" and the encoding UTF-8.'
        raise Unreadable(file, line, what, should, remedy) from None
    except OSError as fault:
        what = f"The file can't be opened ({fault.strerror})."
        raise Unreadable(
            file, None, what, f"A job folder holds a {JOB_FILE}.", "Name the right folder."
        ) from None


def _check_head(values: Mapping[str, object], notes: Notes) -> None:
    form = values.get("format", FORMAT)
    if isinstance(form, int) and form > FORMAT:
        notes.add(
            "FILE-04",
            ("format",),
            f"The file's layout has number {form}.",
            f"This program knows layouts up to {FORMAT}.",
            "Read it with a newer version; what follows may be taken wrongly here.",
        )
    head = values.get("job", {})
    if isinstance(head, dict) and head.get("title", "") == "":
        what = "The job has no title." if head else "There is no table [job]."
        notes.add(
            "FILE-05",
            ("job",),
            what,
            "It is printed on every sheet.",
            'Write title = "..." under [job].',
            misses=("job", "job.title"),
        )


def _faces(root: Entry, notes: Notes) -> tuple[tuple[tuple[str, str], ...], tuple[Face, ...]]:
    """Return the texts of the faces the job describes, and the faces."""
    from loomwright.library.face_text import parse_faces

    texts, found = [], []
    for entry in root.entries("face"):
        text = entry.text("text")
        if not text.lstrip().startswith("face "):
            text = f"face {entry.name}\n{text}"
        try:
            found += [replace(one, name=entry.name) for one in parse_faces(text, f"face.{entry.name}")[:1]]
            texts.append((entry.name, text))
        except Unreadable as fault:
            where = f"face.{entry.name}, its line {fault.line}"
            what = f"{fault.what_is.rstrip('.;')}."
            at, lost = (*entry.path, "text"), (entry.name,)
            should = f"{fault.should[:1].upper()}{fault.should[1:]}"
            remedy = fault.remedy or "Correct that line of the face's text; until then the face is left out."
            notes.add("FILE-04", at, what, should, remedy, words=where, leaves_out=lost)
    return tuple(texts), tuple(found)


def _job(root: Entry, kept: Kept, folder: FilePath | None, notes: Notes) -> Job:
    head = root.entry("job") or Entry("job", ("job",), {})
    supply = root.entry("supply") or Entry("supply", ("supply",), {})
    protections = tuple(map(protection_of, root.entries("fuse")))
    cables = tuple(map(cable_of, root.entries("cable")))
    devices, circuits = _electrical(root, protections, cables, notes)
    looms = tuple(map(loom_of, root.entries("loom")))
    ends = {one.end for device in devices for one in device.connectors}
    ground = Ground(ends, {one.name: one for one in looms}, _opener(folder))
    runs = [run_of(one, ground, notes) for one in root.entries("rope")]
    runs += [section_run(one, ground, notes) for one in root.entries("section")]
    built = [built_of(one, ground, notes) for one in root.entries("build")]
    angles = [board_angle_of(one, ground, notes) for one in root.entries("board")]
    looms_by, names = {one.name: one for one in looms}, tuple(one.name for one in circuits)
    maps = [map_of(one, looms_by, ends, names, notes) for one in root.entries("map")]
    photos = tuple(photo_of(one, _opener(folder), notes) for one in root.entries("photo"))
    volts = head.some("volts", VOLTS)
    return Job(
        title=head.text("title"),
        volts=volts,
        level=Level(head.text("level", Level.SMALL_SHOP)),
        paper=head.text("paper", "A4"),
        demo=head.flag("demo"),
        revision=head.text("revision", "A"),
        shop=shop_of(root.entry("shop")),
        areas=tuple(map(area_of, root.entries("area"))),
        looms=looms,
        devices=devices,
        circuits=circuits,
        protections=protections,
        cables=cables,
        spares=tuple(map(spare_of, root.entries("spare"))),
        runs=tuple(one for one in runs if one),
        built=tuple(one for one in built if one),
        passes=tuple(map(passes_of, root.entries("passes"))),
        exits=tuple(one for entry in root.entries("exit") for one in exits_of(entry, notes)),
        throttle=throttle_of(root.entry("throttle")),
        acceptances=tuple(map(acceptance_of, root.entries("accept"))),
        supply=Source12V(volts, supply.some("ohm", SUPPLY_OHM)),
        kept=kept,
        maps=tuple(one for one in maps if one),
        photos=photos,
        customer=head.text("customer"),
        car=head.text("car"),
        board_angles=tuple(one for one in angles if one),
        plan=plan_of(plan, notes) if (plan := root.entry("plan")) is not None else None,
    )


def _electrical(
    root: Entry, protections: tuple[Protection, ...], cables: tuple[Cable, ...], notes: Notes
) -> tuple[tuple[Device, ...], tuple[Circuit, ...]]:
    library = kinds()
    plans = [plan_device(one, library, notes) for one in root.entries("device")]
    taken = {plan.entry.name for plan in plans}
    taps = []
    for one in root.entries("tap"):
        if one.name in taken:
            remedy = "Give the tap another name."
            notes.add(
                "FILE-08", one.path, f"{one.name} is a device, too.", "A name stands for one thing.", remedy
            )
        else:
            taps.append(plan_tap(one))
    drafts = _speaking([*plans, *taps])
    tables = {one.name: one for one in root.entries("circuit")}
    kind_of = circuit_kinds(drafts, tables, declared_kinds(tables.values()), protections, cables, notes)
    first = {draft.circuit: draft.entry.path for draft in reversed(drafts)}
    circuits = tuple(
        circuit_of(name, kind, tables.get(name), first.get(name, ())) for name, kind in kind_of.items()
    )
    sides = Sides(drafts, protections)
    devices = [device_of(plan, kind_of, sides) for plan in plans] + [
        tap_of(plan, kind_of, sides) for plan in taps
    ]
    return tuple(devices), circuits


def _speaking(plans: list[Plan]) -> list[Draft]:
    """The used cavities that tell what circuits are for; a removed device's only where no other is on one."""
    removed = [plan for plan in plans if plan.entry.text("state") == DeviceState.REMOVED]
    found = [draft for plan in plans if plan not in removed for draft in plan.drafts]
    known = {draft.circuit for draft in found}
    return found + [d for plan in removed for d in plan.drafts if d.circuit not in known]


def _opener(folder: FilePath | None) -> Callable[[str], bytes]:
    def opened(name: str) -> bytes:
        if folder is None:
            raise Unreadable(
                name, None, "There is no folder to look in.", "A job is a folder.", "Save the job first."
            )
        file = folder / name
        if not file.resolve().is_relative_to(folder.resolve()):
            raise Unreadable(
                name, None, "It lies outside the job folder.", "It should lie in it.", "Move it there."
            )
        try:
            return file.read_bytes()
        except OSError as fault:
            what = f"The file can't be opened ({fault.strerror})."
            raise Unreadable(
                name, None, what, "It should lie in the job folder.", "Correct its name."
            ) from None

    return opened
