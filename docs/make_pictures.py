"""Draw the pictures of the manual from the smallest demo job: its forming board and a page of its pinouts.

Needs what the tests need (`python3 start.py test` installs it); run with `make pictures`.
"""

import io
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
from PIL import Image

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out
from loomwright.pack.draw_board import board_drawing
from loomwright.pack.papers import pack_head, papers
from loomwright.sheets.pdf_drawing import drawing_pdf
from loomwright.sheets.typeset import pack_pdf

PICTURES = Path(__file__).parent / "pictures"
DAY = "2026-01-01"
WIDE_PX = 1800
GREYS = 16  # shades kept: black lines on white paper need no more


def rendered(pdf: bytes, page: int = 0) -> Image.Image:
    """One page of a PDF as a picture of `WIDE_PX`."""
    sheet = pypdfium2.PdfDocument(io.BytesIO(pdf))[page]
    return sheet.render(scale=WIDE_PX / sheet.get_width()).to_pil()


def pictures(done: WorkedJob) -> Iterator[tuple[str, Image.Image]]:
    """Yield file names and pictures."""
    head = pack_head(done.worked, done.digest, DAY)
    drawing = board_drawing(done.worked, done.worked.built.boards[0], "", head)
    yield "board.png", rendered(drawing_pdf(drawing))
    sheets = papers(done.worked, done.findings, done.digest, DAY)
    yield "pinouts.png", rendered(pack_pdf(head, [sheet for sheet in sheets if sheet.key == "pinouts"]))


def main() -> None:
    """Write every picture into docs/pictures."""
    PICTURES.mkdir(exist_ok=True)
    for name, picture in pictures(work_out(demo_folder("six"))):
        picture.convert("L").quantize(GREYS).save(PICTURES / name, optimize=True)
        print(f"{name}: {(PICTURES / name).stat().st_size // 1000} kB")


if __name__ == "__main__":
    main()
