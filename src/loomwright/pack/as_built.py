"""The loom as it was built: lengths, sizes, trims, pulls, the test record with retests, who did what when."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from loomwright.pack.bench_steps import bench_steps, step_key
from loomwright.pack.bench_tests import Test, bench_groups
from loomwright.pack.loom_map import covering_words
from loomwright.pack.pages import (
    NOT_PRINTED,
    Block,
    Column,
    Facts,
    Heading,
    Paragraph,
    Row,
    RowGroup,
    Sheet,
    Table,
)
from loomwright.pack.view import View, end_words, many, section_words, size_words
from loomwright.records.bench import YES, Record
from loomwright.records.bench_reading import judged
from loomwright.records.bench_standing import Standing
from loomwright.routing.routed import section_key

NOT_TESTED: Final = "not tested"
OUTSIDE: Final = "OUTSIDE"
SECTIONS: Final = (
    Column("section", bold=True),
    Column("by the board", "mm", "number", decimals=0),
    Column("as built", "mm"),
    Column("bundle reckoned", "mm", "number", decimals=1),
    Column("measured", "mm"),
    Column("covering"),
    Column("by"),
)
WIRES: Final = (
    Column("wire", bold=True),
    Column("colour"),
    Column("size"),
    Column("circuit"),
    Column("from"),
    Column("to"),
    Column("by the list", "mm", "number", decimals=0),
    Column("as cut", "mm"),
    Column("cut by"),
)
MEASURED: Final = (
    Column("what", bold=True),
    Column("should be"),
    Column("measured"),
    Column("result"),
    Column("by"),
)
TESTS: Final = (
    Column("where", bold=True),
    Column("what"),
    Column("should be"),
    Column("read", bold=True),
    Column("result"),
    Column("by"),
    Column("before"),
)
LOG: Final = (Column("step", bold=True), Column("done"), Column("by"), Column("when"), Column("note"))
NOTES: Final = (Column("of", bold=True), Column("note"), Column("photo"), Column("by"), Column("when"))
FUSES: Final = (Column("fuse", bold=True), Column("kind"), Column("rating", "A", "number"), Column("circuit"))
INTRO: Final = (
    "What was measured, tested and ticked at the bench, as recorded there. What nobody recorded is shown as "
    "a dash or as not tested. Read it together with the papers of the revision named at the head."
)


@dataclass(frozen=True, slots=True)
class Count:
    """How the tests stand: by the last reading of each."""

    good: int
    outside: int
    noted: int
    open: int


def as_built_sheets(view: View, stands: Standing, photos: tuple[Record, ...]) -> tuple[Sheet, ...]:
    """Return the sheets of the handover file, photos apart.

    Args:
        view: the worked job
        stands: what stands of its records
        photos: notes with a photo, in the order they are numbered
    """
    sheets = (
        _whole(view, stands, photos),
        _test_record(view, stands),
        _log(view, stands, photos),
    )
    return tuple(one for one in sheets if one.blocks)


def how_tested(view: View, stands: Standing) -> Count:
    """Return how many tests are good, outside their limits, noted only, and open."""
    found = [_result(stands.last("test", t.of)) for g in bench_groups(view) for t in g.tests]
    noted = sum(one not in ("good", OUTSIDE, NOT_TESTED) for one in found)
    return Count(found.count("good"), found.count(OUTSIDE), noted, found.count(NOT_TESTED))


def photos_of(stands: Standing) -> tuple[Record, ...]:
    """Return the notes that have a photo, oldest first."""
    return tuple(one for one in stands.notes if one.photo)


def _whole(view: View, stands: Standing, photos: tuple[Record, ...]) -> Sheet:
    blocks: list[Block] = [_summary(view, stands, photos), *_open(view, stands)]
    blocks += [Heading("Sections"), Table(SECTIONS, (RowGroup(tuple(_sections(view, stands))),), close=True)]
    trims = tuple(_measured(view, stands, "trim"))
    if trims:
        blocks += [Heading("Trimmed off at the test fit"), Table(MEASURED, (RowGroup(trims),), close=True)]
    pulls = tuple(_measured(view, stands, "pull"))
    if pulls:
        blocks += [Heading("Sample pulls"), Table(MEASURED, (RowGroup(pulls),), close=True)]
    blocks += [Heading("Wires"), Table(WIRES, (RowGroup(tuple(_wires(view, stands))),), close=True)]
    fuses = tuple((p.name, p.kind, p.amps, p.load) for p in view.job.protections)
    if fuses:
        blocks += [Heading("Fuses and links"), Table(FUSES, (RowGroup(fuses),), close=True)]
    return Sheet("as-built", "As built", tuple(blocks), INTRO, landscape=True)


def _summary(view: View, stands: Standing, photos: tuple[Record, ...]) -> Facts:
    told = (*stands.ticks.values(), *(r for several in stands.readings.values() for r in several))
    days = sorted(r.when[:10] for r in told)
    who = sorted({r.who for r in told})
    steps = [step_key(s) for s in view.built.steps]
    done = sum(stands.is_done("step", key) for key in steps)
    tests = how_tested(view, stands)
    said = [
        f"{tests.good} good",
        f"{tests.outside} outside",
        f"{tests.noted} by eye or noted",
        f"{tests.open} not tested",
    ]
    pairs = (
        ("Built by", ", ".join(who) or NOT_PRINTED),
        ("Recorded", f"{days[0]} to {days[-1]}" if days else "nothing was recorded"),
        ("Steps ticked", f"{done} of {len(steps)}"),
        ("Tests", ", ".join(said)),
        ("Wires", str(len(view.routed.wires))),
        ("Photos", str(len(photos))),
    )
    return Facts(pairs)


def _open(view: View, stands: Standing) -> Iterator[Block]:
    """What the next owner must know first: what reads outside its limits, what was never tested."""
    tests = [t for g in bench_groups(view) for t in g.tests]
    bad = [t for t in tests if _result(stands.last("test", t.of)) == OUTSIDE]
    if bad:
        yield Paragraph(
            f"Outside the limits at the last reading: {'; '.join(t.where for t in bad)}.", bold=True
        )
    untested = sum(_result(stands.last("test", t.of)) == NOT_TESTED for t in tests)
    if untested:
        yield Paragraph(f"{many(untested, 'test')} of {len(tests)} not recorded.", bold=True)


def _sections(view: View, stands: Standing) -> Iterator[Row]:
    several = len(view.trees) > 1
    for tree in view.trees:
        for section in tree.sections:
            key = section_key(tree.loom, section.name)
            length, size = stands.last("length", key), stands.last("size", key)
            bundle, piece = view.sized.bundle.get(key), view.sized.sleeve.get(key)
            covering = covering_words(piece) if piece else NOT_PRINTED
            by = ", ".join(dict.fromkeys(r.who for r in (length, size) if r))
            reckoned = bundle.as_laid_mm if bundle else NOT_PRINTED
            name = section_words(key, several)
            yield (name, section.length_mm, _plain(length), reckoned, _plain(size), covering, by)


def _wires(view: View, stands: Standing) -> Iterator[Row]:
    for wire in sorted(view.routed.wires, key=lambda w: w.number):
        length, cut = view.sized.length[wire.identity], stands.ticks.get(("cut", wire.label))
        by = f"{cut.who}, {cut.when[:10]}" if cut and cut.done else NOT_PRINTED
        yield (
            wire.label,
            wire.colour or "screen",
            size_words(view.size(wire)),
            view.circuit_words(wire),
            end_words(wire.a),
            end_words(wire.b),
            length.cut_mm,
            _plain(stands.last("length", wire.label)),
            by,
        )


def _measured(view: View, stands: Standing, what: str) -> Iterator[Row]:
    """Trims or pulls: those the build order asks for, then others that were recorded."""
    asked = {e.of: e for step in bench_steps(view) for e in step.entries if e.what == what}
    more = sorted(of for kind, of in stands.readings if kind == what and of not in asked)
    for of in (*asked, *more):
        last = stands.last(what, of)
        should = asked[of].should if of in asked else "not asked for any more"
        words = asked[of].words if of in asked else of
        yield (words, should, _value(last), _result(last) if last else NOT_PRINTED, _by(last))


def _test_record(view: View, stands: Standing) -> Sheet:
    groups = tuple(
        RowGroup(tuple(_test(stands, t) for t in g.tests), f"{g.title} ({g.stage})")
        for g in bench_groups(view)
        if g.tests
    )
    blocks: list[Block] = [Table(TESTS, groups, close=True)] if groups else []
    known = {t.of for g in bench_groups(view) for t in g.tests}
    gone = sorted(of for what, of in stands.readings if what == "test" and of not in known)
    if gone:
        rows = tuple(
            _test(stands, Test(of, "", of, "", stands.readings["test", of][-1].limits, "")) for of in gone
        )
        blocks += [
            Heading("Readings of tests the job does not have any more"),
            Table(TESTS, (RowGroup(rows),), close=True),
        ]
    intro = (
        "The last reading of every test, judged by the limits named; readings before it stand at the right."
    )
    return Sheet("test-record", "Test record", tuple(blocks), intro, landscape=True)


def _test(stands: Standing, one: Test) -> Row:
    several = stands.readings.get(("test", one.of), ())
    last = several[-1] if several else None
    before = "; ".join(f"{_shown(r)} ({_result(r)}, {r.who} {r.when[:10]})" for r in several[:-1])
    should = one.should
    if last and one.lamp_limits and last.limits == one.lamp_limits:
        should = one.lamp_should
    elif last and last.limits not in (one.limits, "", YES):
        should = f"{one.should} [judged then: {last.limits}]"
    return (one.where, one.words, should, _value(last), _result(last), _by(last), before)


def _log(view: View, stands: Standing, photos: tuple[Record, ...]) -> Sheet:
    number = {one.id: n for n, one in enumerate(photos, 1)}
    of_step: dict[str, list[str]] = {}
    for one in stands.notes:
        words = " ".join(x for x in (one.note, f"photo {number[one.id]}" if one.id in number else "") if x)
        of_step.setdefault(one.of, []).append(words)
    rows, keys = [], set()
    for step in view.built.steps:
        key = step_key(step)
        keys.add(key)
        tick = stands.ticks.get(("step", key))
        done = tick if tick and tick.done else None
        words = f"{step.number} {step.words}"
        by, when = (done.who, done.when[:16].replace("T", " ")) if done else (NOT_PRINTED, "")
        rows.append((words, "yes" if done else "not ticked", by, when, "; ".join(of_step.get(key, ()))))
    blocks: list[Block] = [Table(LOG, (RowGroup(tuple(rows)),), close=True)] if rows else []
    others = [one for one in stands.notes if one.of not in keys]
    if others:
        told = tuple(_note(one, number) for one in others)
        blocks += [Heading("Notes"), Table(NOTES, (RowGroup(told),), close=True)]
    return Sheet(
        "build-log", "Build log", tuple(blocks), "Every step as it was ticked, and the notes made at it."
    )


def _note(one: Record, number: dict[str, int]) -> Row:
    photo = str(number[one.id]) if one.id in number else ""
    return (one.of, one.note, photo, one.who, one.when[:16].replace("T", " "))


def _plain(one: Record | None) -> str:
    """As it was typed, in a column that names its unit."""
    return NOT_PRINTED if one is None else one.value


def _value(one: Record | None) -> str:
    return NOT_PRINTED if one is None else _shown(one)


def _shown(one: Record) -> str:
    """A bare number gets the unit it was judged in."""
    unit = one.limits.rsplit(" ", 1)[-1] if one.limits not in ("", YES) else ""
    bare = one.value.replace(",", "").replace(".", "").lstrip("+-").isdigit()
    return f"{one.value} {unit}" if unit and bare else one.value


def _result(one: Record | None) -> str:
    if one is None:
        return NOT_TESTED
    found = judged(one.value, one.limits)
    return OUTSIDE if found == "out" else found or "noted"


def _by(one: Record | None) -> str:
    return f"{one.who}, {one.when[:10]}" if one else ""
