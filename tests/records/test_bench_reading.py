"""Readings as people and meters write them, held against limits."""

import math

import pytest
from tests.records.bench_made import made
from tests.records.readings import JUDGED, READ

from loomwright.records.bench_photos import RefusedPhoto, keep_photo, photo_file
from loomwright.records.bench_reading import Limits, judged, limits_of, limits_text, reading_of
from loomwright.records.bench_standing import standing


@pytest.mark.parametrize(("text", "unit", "value"), READ)
def test_readings(text: str, unit: str, value: float | None) -> None:
    found = reading_of(text, unit)
    assert found is None if value is None else found == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(("value", "limits", "judgement"), JUDGED)
def test_judgements(value: str, limits: str, judgement: str) -> None:
    assert judged(value, limits) == judgement


@pytest.mark.parametrize(
    "limits",
    [
        Limits(0.1, 0.4, "ohm"),
        Limits(None, 35, "mOhm"),
        Limits(1, None, "MOhm"),
        Limits(-3.5, 12.8, "V"),
        Limits(None, 1e-07, "V"),
    ],
)
def test_limits_come_back_from_their_words(limits: Limits) -> None:
    assert limits_of(limits_text(limits)) == limits


def test_retests_are_kept_and_the_last_one_counts() -> None:
    records = [
        made(1, "test", "a", "2.1", limits="at most 1 ohm"),
        made(2, "test", "b", "0.2", limits="at most 1 ohm"),
        made(3, "test", "a", "0.3", limits="at most 1 ohm", replaces="device-000001"),
    ]
    stands = standing(records)
    assert [r.value for r in stands.readings["test", "a"]] == ["2.1", "0.3"]
    last = stands.last("test", "a")
    assert last is not None
    assert judged(last.value, last.limits) == "good"
    assert stands.last("test", "none") is None


def test_a_tick_taken_back_is_not_done_and_ticked_again_it_is() -> None:
    ticks = [made(1), made(2, value="taken back", replaces="device-000001")]
    assert not standing(ticks).is_done("cut", "W1")
    assert standing([*ticks, made(3, replaces="device-000002")]).is_done("cut", "W1")


def test_photos_are_kept_once_by_what_is_in_them(tmp_path) -> None:
    jpeg, png = b"\xff\xd8\xff" + b"invented", b"\x89PNG\r\n\x1a\n" + b"invented"
    one = keep_photo(tmp_path, jpeg)
    assert keep_photo(tmp_path, jpeg) == one
    other = keep_photo(tmp_path, png)
    assert sorted(f.suffix for f in (tmp_path / "photos").iterdir()) == [".jpg", ".png"]
    found = photo_file(tmp_path, one)
    assert found is not None
    assert found.read_bytes() == jpeg
    assert photo_file(tmp_path, other) is not None
    assert photo_file(tmp_path, "../job.toml") is None
    for bad in (b"<svg onload=alert(1)>", b"", b"GIF89a", b"\xff\xd8\xff" + b"x" * 16_000_000):
        with pytest.raises(RefusedPhoto):
            keep_photo(tmp_path, bad)


def test_infinity_stays_above_every_limit() -> None:
    assert reading_of("OL", "ohm") == math.inf
