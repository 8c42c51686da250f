"""A photo is whole or refused: samples of another program's encoder, and the same with damage."""

import io
import random
import struct
import zlib

import pytest
from PIL import Image
from tests.jobfile.test_read_photo import folder, png

from loomwright.jobfile.photo_whole import DamagedPhoto, check_whole
from loomwright.jobfile.read import read_job

WAYS = (
    {"quality": 85},
    {"quality": 90, "subsampling": 0},
    {"quality": 60, "subsampling": 2, "optimize": True},
    {"progressive": True},
    {"restart_marker_blocks": 7},
)


def picture(mode: str = "RGB", size: tuple[int, int] = (149, 87)) -> Image.Image:
    """Speckles, the same every time; sizes that are no whole blocks."""
    chance = random.Random(3)
    small = Image.frombytes("RGB", (30, 20), chance.randbytes(1800))
    return small.resize(size, Image.Resampling.BICUBIC).convert(mode)


def saved(image: Image.Image, kind: str, **more: object) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **more)
    return out.getvalue()


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
def test_what_another_program_wrote_is_whole(way: dict[str, object], mode: str) -> None:
    check_whole(saved(picture(mode), "JPEG", **way))


@pytest.mark.parametrize("mode", ["RGB", "RGBA", "L", "LA", "P", "1"])
def test_a_png_of_every_kind_is_whole(mode: str) -> None:
    check_whole(saved(picture(mode), "PNG"))


def interlaced(rows: bytes) -> bytes:
    """A PNG of 5 x 3 grey pixels in seven passes."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 5, 3, 8, 0, 0, 0, 1)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


def test_a_png_in_passes_is_whole_with_all_of_them() -> None:
    # widths of the passes by the specification, 8.1: 1; 1; none; 1; 3; 2 in two rows; 5
    rows = b"".join(b"\0" + bytes(n) for n in (1, 1, 1, 3, 2, 2, 5))
    check_whole(interlaced(rows))
    assert Image.open(io.BytesIO(interlaced(rows))).tobytes() == bytes(15)
    with pytest.raises(DamagedPhoto):
        check_whole(interlaced(rows[:-1]))


@pytest.mark.parametrize("way", [one for one in WAYS if "progressive" not in one])
def test_damage_inside_a_jpeg_is_found(way: dict[str, object]) -> None:
    """What is cut off or out is found always, overwritten bytes in most cases."""
    raw = saved(picture(size=(400, 300)), "JPEG", **way)
    chance = random.Random(5)
    begins = raw.index(b"\xff\xda") + 20
    seen = 0
    for _ in range(50):
        at = chance.randrange(begins, len(raw) - 400)
        for damaged in (raw[:at] + raw[at + 300 :], raw[:at], raw[:at] + raw[-2:]):
            with pytest.raises(DamagedPhoto):
                check_whole(damaged)
        try:
            check_whole(raw[:at] + chance.randbytes(200) + raw[at + 200 :])
        except DamagedPhoto:
            seen += 1
    assert seen >= 40


@pytest.mark.parametrize("size", [1, 30, 300])
def test_damage_inside_a_png_is_found(size: int) -> None:
    raw = saved(picture(), "PNG")
    chance = random.Random(6)
    for _ in range(40):
        at = chance.randrange(40, len(raw) - 400)
        for damaged in (raw[:at] + bytes(b ^ 0x55 for b in raw[at : at + size]) + raw[at + size :], raw[:at]):
            with pytest.raises(DamagedPhoto):
                check_whole(damaged)


def test_kinds_that_do_not_print_are_told() -> None:
    raw = saved(picture(), "JPEG")
    frame = raw.index(b"\xff\xc0")
    with pytest.raises(DamagedPhoto, match="rare kind"):
        check_whole(raw[:frame] + b"\xff\xc9" + raw[frame + 2 :])


def test_a_damaged_photo_of_a_job_is_a_caution_and_not_printed(tmp_path) -> None:
    raw = png(90, 60)
    job = folder(
        tmp_path, '[job]\ntitle = "t"\n[photo.bay]\nfile = "photos/bay.png"\n', raw[:50] + b"xx" + raw[52:]
    )
    read = read_job(job)
    (one,) = read.findings
    assert one.code == "FILE-10"
    assert "damaged inside" in one.what_is
    assert not read.job.photos[0].data
