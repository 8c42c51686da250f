"""Reads printed pages back with another library: ink where it lies, in mm."""

import pypdfium2
from numpy import asarray, flatnonzero, uint8
from numpy.typing import NDArray

DPI = 600
MM = 25.4 / DPI


def ink(pdf: bytes, page: int = 0, dpi: int = DPI) -> NDArray[uint8]:
    """Darkness of a page, 0 white to 255 black; row 0 is the top."""
    shown = pypdfium2.PdfDocument(pdf)[page].render(scale=dpi / 72, grayscale=True)
    return 255 - asarray(shown.to_numpy()).reshape(shown.height, shown.width)


def run_mm(line: NDArray[uint8]) -> tuple[float, float]:
    """First and last dark place of one row or column of pixels."""
    dark = flatnonzero(line > 127)
    return dark[0] * MM, (dark[-1] + 1) * MM


def page_texts(pdf: bytes) -> list[str]:
    return [page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf)]
