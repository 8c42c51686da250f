"""Photos with the run on them: read by content, cautions in words for all that can't be used."""

import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from loomwright.jobfile.read import read_job

HEAD = '[job]\ntitle = "t"\n[photo.bay]\nfile = "photos/bay.png"\n'
TAPPED = 'points = { B1 = [0.25, 0.5] }\nlines = { "B1-B2" = [[0.5, 0.5], [1, 0]] }\n'


def png(wide: int = 4, high: int = 3) -> bytes:
    """A grey picture."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = zlib.compress(b"".join(b"\0" + b"\xb0" * wide for _ in range(high)))
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def folder(root: Path, text: str, data: bytes | None = None) -> Path:
    (root / "photos").mkdir()
    (root / "job.toml").write_text(text, "utf-8")
    if data is not None:
        (root / "photos" / "bay.png").write_bytes(data)
    return root


def test_a_photo_is_read_with_what_is_tapped_on_it(tmp_path):
    read = read_job(folder(tmp_path, HEAD + TAPPED, png(40, 30)))
    assert read.findings == ()
    one = read.job.photos[0]
    assert (one.media, one.width_px, one.height_px) == ("image/png", 40, 30)
    assert one.points == (("B1", (0.25, 0.5)),)
    assert one.lines == (("B1-B2", ((0.5, 0.5), (1.0, 0.0))),)


def test_the_size_of_a_jpeg_is_in_its_frame_header(tmp_path):
    out = io.BytesIO()
    Image.new("L", (640, 480)).save(out, "JPEG", progressive=True)
    comment = b"\xff\xfe\x00\x06\xff\xc0\xff\xc0"
    read = read_job(folder(tmp_path, HEAD, b"\xff\xd8" + comment + out.getvalue()[2:]))
    one = read.job.photos[0]
    assert (one.media, one.width_px, one.height_px) == ("image/jpeg", 640, 480)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (None, "can't be opened"),
        (b"GIF89a" + b"\0" * 200, "no whole PNG or JPEG"),
        (png()[:-9], "no whole PNG or JPEG"),
        (png(60, 4), "60 x 4 pixels"),
        (b"\xff\xd8\xff\xff\xff\xff\xd9", "size can't be read"),
        (b"\xff\xd8\xff\xe0\xff\xff" + b"\xff\xd9", "size can't be read"),
    ],
)
def test_a_photo_that_cannot_be_used_is_a_caution_and_what_is_tapped_stays(tmp_path, data, said):
    read = read_job(folder(tmp_path, HEAD + TAPPED, data))
    assert [(x.code, str(x.severity), x.place.words) for x in read.findings] == [
        ("FILE-10", "caution", "photo.bay.file")
    ]
    assert said in read.findings[0].what_is
    assert read.job.photos[0].data == b""
    assert read.job.photos[0].points == (("B1", (0.25, 0.5)),)


@pytest.mark.parametrize("file", ["../x.png", "", "a\\u0000b.png"])
def test_a_file_outside_the_folder_or_of_no_name_is_a_caution(tmp_path, file):
    (tmp_path.parent / "x.png").write_bytes(png())
    text = HEAD.replace("photos/bay.png", file)
    assert [x.code for x in read_job(folder(tmp_path, text, png())).findings] == ["FILE-10"]


@pytest.mark.parametrize("spot", ["[0.2]", "[0.2, 1.4]", '["a", 0.1]', "[true, 0.1]", "[nan, 0.1]", "3"])
def test_a_place_beside_the_photo_is_told_and_left_out(tmp_path, spot):
    text = HEAD + f"points = {{ B1 = {spot} }}\nlines = {{ 'B1-B2' = [{spot}] }}\n"
    read = read_job(folder(tmp_path, text, png()))
    assert [x.code for x in read.findings] == ["FILE-04", "FILE-04"]
    assert (read.job.photos[0].points, read.job.photos[0].lines) == ((), ())
