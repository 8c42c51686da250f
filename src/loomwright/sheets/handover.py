"""The handover file: one PDF to print, and one page of HTML that opens anywhere without the program."""

import base64
import hashlib
import io
import json
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Final

from loomwright.pack.lettering import FONT_FOLDER, clean
from loomwright.pack.pages import PackHead, Sheet
from loomwright.sheets.html_sheets import picture_html, sheet_html
from loomwright.sheets.paper import A4, Paper
from loomwright.sheets.typeset import NotSet, pack_pdf

TEMPLATE: Final = Path(__file__).with_name("template")
DEVICE: Final = "device-"  # how the keys of device pages begin


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo of the handover file.

    Attributes:
        number: as the notes name it
        words: of what, note, who, when
        data: JPEG or PNG
        media: its media type
    """

    number: int
    words: str
    data: bytes
    media: str


def handover_pdf(
    head: PackHead, sheets: Iterable[Sheet], photos: Sequence[Photo], paper: Paper = A4
) -> bytes:
    """Return the handover file as one PDF; same input, same bytes.

    Args:
        head: what stands on every page
        sheets: as built, test record, build log and papers for the car
        photos: put behind them; one that can't be set is named and left out
        paper: A4 or Letter
    """
    written = pack_pdf(head, sheets, paper)
    if not photos:
        return written
    from pypdf import PdfWriter

    whole = PdfWriter()
    whole.append(io.BytesIO(written))
    for page in _photo_pages(photos, paper):
        whole.append(io.BytesIO(page))
    out = io.BytesIO()
    whole.write(out)
    return out.getvalue()


def handover_html(head: PackHead, sheets: Sequence[Sheet], photos: Sequence[Photo]) -> bytes:
    """Return the handover file as one page that holds everything and fetches nothing.

    Args:
        head: job, revision, digest, date
        sheets: in the order to show
        photos: shown behind them
    """
    style, script = ((TEMPLATE / f"handover.{kind}").read_text("utf-8") for kind in ("css", "js"))
    rules = f"style-src {_allowed(style)}; script-src {_allowed(script)}"
    policy = f"default-src 'none'; img-src data:; {rules}"
    tail = " · ".join(
        x for x in (f"revision {head.revision}" if head.revision else "not issued", head.issued) if x
    )
    devices = [s for s in sheets if s.key.startswith(DEVICE)]
    links = "".join(_link(s.key, s.title) for s in sheets if s not in devices)
    links += _link("photos", "Photos") if photos else ""
    named = "".join(_link(s.key, s.title) for s in devices)
    more = f"<details><summary>Devices</summary>{named}</details>" if devices else ""
    parts = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
        '<meta name="viewport" content="width=device-width,initial-scale=1">',
        f"<title>{escape(head.job)}: handover</title><style>{style}</style></head><body>",
        f"<h1>{escape(head.job)}</h1><p>Handover file · {escape(tail)} · digest {escape(head.digest)}</p>",
        '<form hidden><label for="find">Find a wire, plug, circuit</label><br><input id="find"></form>',
        f"<nav>{links}{more}</nav>",
        *map(sheet_html, sheets),
        _photos_html(photos),
        f"<p><small>{escape(head.foot)}</small></p><script>{script}</script></body></html>",
    )
    return "\n".join(part for part in parts if part).encode()


def _link(key: str, title: str) -> str:
    return f'<a href="#{escape(key)}">{escape(title)}</a> '


def _allowed(text: str) -> str:
    """The name by which a page's own policy lets a text in it run."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def _photos_html(photos: Sequence[Photo]) -> str:
    if not photos:
        return ""
    shown = (
        f'<figure class="photo" id="photo-{one.number}">{picture_html(one.data, one.media, one.words)}'
        f"<figcaption>{one.number}: {escape(one.words)}</figcaption></figure>"
        for one in photos
    )
    return f'<section id="photos"><h2>Photos</h2>{"".join(shown)}</section>'


def _photo_pages(photos: Sequence[Photo], paper: Paper) -> Iterator[bytes]:
    """Photos two by two; where one can't be read, the sound ones alone, then which can't."""
    try:
        yield _set(photos, paper)
        return
    except NotSet:
        sound = [one for one in photos if _is_sound(one, paper)]
    if sound:
        yield _set(sound, paper)
    gone = [f"{one.number}  {one.words}" for one in photos if one not in sound]
    yield _set((), paper, f"Photos that can't be read: {'; '.join(gone)}")


def _is_sound(one: Photo, paper: Paper) -> bool:
    try:
        _set((one,), paper)
    except NotSet:
        return False
    return True


def _set(photos: Sequence[Photo], paper: Paper, instead: str = "") -> bytes:
    """Photos set by the typesetter, which reads pictures from a folder only; a passing one serves."""
    with tempfile.TemporaryDirectory() as folder:
        told = []
        for one in photos:
            name = f"photo-{one.number}.{'png' if one.media == 'image/png' else 'jpg'}"
            (Path(folder) / name).write_bytes(one.data)
            told.append({"file": name, "number": f"{one.number}", "words": clean(one.words)})
        page = {"width": paper.width_mm, "height": paper.height_mm, "photos": told, "instead": clean(instead)}
        (Path(folder) / "photos.json").write_text(json.dumps(page, ensure_ascii=False), "utf-8")
        (Path(folder) / "main.typ").write_bytes((TEMPLATE / "photos.typ").read_bytes())
        return _compiled(Path(folder))


def _compiled(folder: Path) -> bytes:
    import typst

    found = [str(FONT_FOLDER)]
    fonts = typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=found)
    try:
        written, _ = typst.compile_with_warnings(
            folder / "main.typ", root=folder, format="pdf", font_paths=fonts, timestamp=0, pdf_tags=False
        )
    except (typst.TypstError, RuntimeError) as fault:
        raise NotSet(f"A photo can't be set: {fault}") from fault
    return bytes(written)
