"""The files of the handover: gathered from job, records and photos, same input, same bytes."""

from pathlib import Path
from typing import Final

from loomwright.pack.as_built import as_built_sheets, photos_of
from loomwright.pack.circuits import circuits
from loomwright.pack.device_pages import device_pages
from loomwright.pack.field_sheet import field_sheet
from loomwright.pack.loom_map import loom_map
from loomwright.pack.papers import pack_head
from loomwright.pack.splices import splices
from loomwright.pack.view import View
from loomwright.records.bench import Record
from loomwright.records.bench_photos import kind_of, photo_file
from loomwright.records.bench_standing import Standing, standing
from loomwright.records.bench_text import TEXT_FILE, records_text
from loomwright.sheets.handover import Photo, handover_html, handover_pdf
from loomwright.sheets.write_boards import paper_named

PDF_FILE: Final = "handover.pdf"
PAGE_FILE: Final = "handover.html"


def handover_files(view: View, records: tuple[Record, ...], folder: Path) -> dict[str, bytes]:
    """Return the files of the handover by name; same input, same bytes.

    Args:
        view: the worked job with the date to print
        records: all of it
        folder: the job folder, for its photos
    """
    stands = standing(records)
    head = pack_head(view.worked, view.digest, view.issued)
    photos, pictures = photos_of(stands), pictures_of(stands, folder)
    built = as_built_sheets(view, stands, photos)
    papers = tuple(s for s in (*loom_map(view), circuits(view), splices(view), field_sheet(view)) if s.blocks)
    paper = paper_named(view.job.paper)
    return {
        PDF_FILE: handover_pdf(head, (*built, *papers), pictures, paper),
        PAGE_FILE: handover_html(head, (*built, *papers, *device_pages(view)), pictures),
        TEXT_FILE: records_text(records).encode(),
    }


def pictures_of(stands: Standing, folder: Path) -> tuple[Photo, ...]:
    """Return the photos that lie in the folder; one that is gone leaves its number out."""
    found = []
    for number, one in enumerate(photos_of(stands), 1):
        file = photo_file(folder, one.photo)
        if file is not None:
            data = file.read_bytes()
            words = f"{one.of}: {one.note}" if one.note else one.of
            words = f"{words} ({one.who}, {one.when[:10]})"
            found.append(Photo(number, words, data, kind_of(data)[1]))
    return tuple(found)
