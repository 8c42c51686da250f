"""2,000 spoiled job files: findings, or one clear error; never a traceback, and nothing is written over.

A failing one is named by its seed. The spoiled texts are rebuilt by `spoiled_text(SOUND[seed % n], seed)`.
"""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from loomwright.cli.report import findings_json
from loomwright.errors import ChangedMeanwhile, LoomwrightError, Unreadable
from loomwright.job import WorkedJob, keep, work_out, work_out_read
from loomwright.jobfile.kept import kept_text, read_kept
from loomwright.jobfile.read import job_of_text
from whole.spoiling import spoiled_bytes, spoiled_text

HERE = Path(__file__).parent
EVERY_KEY = (HERE / "every_key.toml").read_text(encoding="utf-8")
SMALL = (HERE.parent / "jobs" / "small" / "job.toml").read_text(encoding="utf-8")
SOUND = (EVERY_KEY, SMALL)
STOCK = """format = 1
[[item]]
kind = "wire"
name = "thin-wall XLPE mm2"
size = "1.0"
colour = "RD"
have = 25
price = 0.45
[minutes]
per_splice = 6
"""
ROPE_TABLE = "point;mm;give;measured to\nB3;210;;\nFB;280;5;wire exit\n"
BATCH = 100


def told(done: WorkedJob, text: str) -> None:
    """Every finding can be shown, points into the text, and a text that is no TOML has one that says so."""
    shown = json.loads(findings_json(done))
    assert shown["findings"] or done.worked.job.devices == ()
    lines = text.count("\n") + text.count("\r") + 1
    for one in done.findings:
        assert one.place.words, one
        assert one.what_is, one
        assert 0 <= done.read.line_of(one) <= lines, one
    if not _is_toml(text):
        assert any(one.code in ("FILE-01", "FILE-02") for one in done.findings)


def _is_toml(text: str) -> bool:
    try:
        tomllib.loads(text.removeprefix("\ufeff"))
    except ValueError:
        return False
    except RecursionError:
        return True
    return True


@pytest.mark.parametrize("batch", range(16))
def test_a_spoiled_text_is_worked_out_as_far_as_it_is_sound(batch: int) -> None:
    for seed in range(batch * BATCH, (batch + 1) * BATCH):
        text = spoiled_text(SOUND[seed % len(SOUND)], seed)
        try:
            told(work_out_read(job_of_text(text)), text)
        except Exception as broken:
            raise AssertionError(f"seed {seed}: {broken!r}") from broken


def bytes_in(folder: Path) -> dict[str, bytes]:
    return {str(file.relative_to(folder)): file.read_bytes() for file in sorted(folder.rglob("*"))}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A sound job folder with everything beside the job that is read."""
    boxes = 'reads = [["B3", 210], ["FB", 280]]'
    assert boxes in EVERY_KEY
    (tmp_path / "job.toml").write_text(EVERY_KEY.replace(boxes, 'file = "boxes.csv"'), encoding="utf-8")
    (tmp_path / "boxes.csv").write_text(ROPE_TABLE, encoding="utf-8")
    (tmp_path / "stock.toml").write_text(STOCK, encoding="utf-8")
    keep(work_out(tmp_path))
    assert (tmp_path / "kept.toml").read_text(encoding="utf-8").count("\n") > 50
    return tmp_path


FILES = ("job.toml", "kept.toml", "stock.toml", "boxes.csv")


def refusal_of(work: Callable[[], object], what: str) -> LoomwrightError | None:
    """Return the clear error a piece of work ended in, None where it went through."""
    try:
        work()
    except LoomwrightError as fault:
        return fault
    except Exception as broken:
        raise AssertionError(f"{what}: {broken!r}") from broken
    return None


@pytest.mark.parametrize("name", FILES)
def test_spoiled_bytes_in_a_folder_are_told_and_stay(folder: Path, name: str) -> None:
    sound = (folder / name).read_bytes()
    job = folder / "job.toml"
    for seed in range(BATCH):
        (folder / name).write_bytes(spoiled_bytes(sound, seed))
        there = bytes_in(folder)
        what = f"{name}, seed {seed}"
        refused = refusal_of(lambda: told(work_out(folder), job.read_text(encoding="utf-8")), what)
        if refused is not None:
            assert isinstance(refused, Unreadable), what
            assert name in str(refused), what
            assert refused.line is not None, what
        assert bytes_in(folder) == there, f"{what}: working out wrote something"


def numbers_in(text: str) -> dict[str, int]:
    return dict(read_kept(text)[0].wire_numbers)


def test_what_is_kept_is_never_lost_to_a_spoiled_file(folder: Path) -> None:
    """Whatever befalls kept.toml, keeping either refuses or leaves every number that can be read."""
    file = folder / "kept.toml"
    sound = file.read_bytes()
    kept = 0
    for seed in range(BATCH):
        file.write_bytes(spoiled := spoiled_bytes(sound, seed))
        refused = refusal_of(lambda: keep(work_out(folder)), f"seed {seed}")
        if refused is None:
            kept += 1
            assert (
                numbers_in(spoiled.decode()).items() <= numbers_in(file.read_text(encoding="utf-8")).items()
            )
        else:
            assert "kept.toml" in str(refused)
            assert file.read_bytes() == spoiled, f"seed {seed}"
    assert 0 < kept < BATCH


def test_numbers_written_meanwhile_are_not_written_over(folder: Path) -> None:
    done = work_out(folder)
    file = folder / "kept.toml"
    other = file.read_text(encoding="utf-8").replace(
        "[wire_numbers]", '[wire_numbers]\n"of another window" = 900'
    )
    file.write_text(other, encoding="utf-8")
    with pytest.raises(ChangedMeanwhile):
        keep(done)
    assert file.read_text(encoding="utf-8") == other


def test_a_job_that_lost_its_devices_keeps_their_numbers(folder: Path) -> None:
    before = work_out(folder).kept
    text = (folder / "job.toml").read_text(encoding="utf-8")
    (folder / "job.toml").write_text(text.split("[device.INJ1]")[0], encoding="utf-8")
    done = work_out(folder)
    keep(done)
    assert set(done.kept.wire_numbers) >= set(before.wire_numbers)
    assert dict(done.kept.sizes).items() >= dict(before.sizes).items()
    assert kept_text(done.kept) == (folder / "kept.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "raw", "line"),
    [
        ("job.toml", 'format = 1\n[job]\ntitle = "Hütte"\n'.encode("latin-1"), 3),
        ("job.toml", EVERY_KEY.encode("utf-16"), 1),
        ("kept.toml", b"format = 1\n\n\xff\n", 3),
    ],
)
def test_a_file_in_another_encoding_is_refused_with_its_line(
    folder: Path, name: str, raw: bytes, line: int
) -> None:
    (folder / name).write_bytes(raw)
    with pytest.raises(Unreadable) as refused:
        work_out(folder)
    assert refused.value.line == line
    assert "UTF-8" in str(refused.value)


NASTY = {
    "a negative length": ('["B1", 340]', '["B1", -340]', "FILE-04"),
    "a length no loom has": ("mm = 2400", "mm = 1e15", "FILE-04"),
    "a length that is no number": ("mm = 2400", "mm = nan", "FILE-04"),
    "a length of words": ("mm = 2400", 'mm = "2400 mm"', "FILE-04"),
    "a length of nothing": ("mm = 2400", "mm = 0", "FILE-04"),
    "volts of a lorry yard": ("volts = 13.8", "volts = 480", "FILE-04"),
    "a cavity whose name breaks the pin's": ('cavity."11" = "map"', 'cavity.":" = "map"', "FILE-08"),
    "an empty cavity name": ('cavity."11" = "map"', 'cavity."" = "map"', "FILE-08"),
    "a step of nothing": ("cut_step_mm = 10", "cut_step_mm = 0", "FILE-04"),
    "a pitch of nothing": ("pair_pitch_mm = 25", "pair_pitch_mm = 0", "FILE-04"),
    "a plug deeper than its way": ("allowance_mm = 55", "depth_mm = 99999", None),
    "a very long name": ("INJ1", "I" * 5000, None),
    "a name of other letters": ("INJ1", '"Düse日本"', "FILE-01"),
    "a name of a thousand digits": ("INJ1", "9" * 5000, None),
    "a point of no plain digits": ('"B1"', '"B\u00b2"', None),
    "a face with a row that never ends": ("row 1.5: 1-2", "row 1.5: 1-" + "9" * 5000, "PIN-03"),
    "a face with a million cavities": ("row 1.5: 1-2", "row 1.5: 1-1000000", "FILE-04"),
    "a pair of one": ('circuits = ["CAN high", "CAN low"]', 'circuits = ["CAN high"]', "FILE-04"),
    "duty above one": ("duty = 0.85", "duty = 85", "FILE-04"),
    "an area hotter than any insulation": ("air_c = 105", "air_c = 1900", None),
    "a sleeve no library has": ('sleeve = "polyolefin 2:1"', 'sleeve = "paper"', "FILE-06"),
    "a size of words": ('size = "2.5"', 'size = "thick"', "FILE-06"),
    "a huge size": ('size = "2.5"', 'size = "1e300"', "FILE-06"),
    "a mate that is itself": ('mates = "XD"', 'mates = "XE"', None),
    "a loom that starts at its own end": ('datum = "bulkhead"', 'datum = "INJ1"', None),
}


@pytest.mark.parametrize("sort", NASTY)
def test_a_nasty_value_is_told(sort: str) -> None:
    was, now, code = NASTY[sort]
    assert was in EVERY_KEY
    text = EVERY_KEY.replace(was, now)
    done = work_out_read(job_of_text(text))
    told(done, text)
    sound = {one.key for one in work_out_read(job_of_text(EVERY_KEY)).findings}
    new = [one for one in done.findings if one.key not in sound]
    assert new, f"nothing is said about {sort}"
    assert code is None or code in {one.code for one in new}, [one.code for one in new]
