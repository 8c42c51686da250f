"""A photo of the car with the points tapped on it and the way of each section drawn over it."""

from dataclasses import dataclass, field

from loomwright.edits import Path

Spot = tuple[float, float]
"""A place on a photo: shares of its width from the left and of its height from the top, 0 to 1."""


@dataclass(frozen=True, slots=True)
class RunPhoto:
    """One photo with the run over it.

    Attributes:
        name: what it is called in the job
        file: where it lies in the job folder
        words: what it shows
        points: (point or end of a tree, its spot)
        lines: (section, spots of the corners between both its points, from the inner end)
        data: the picture as it lies there, b"" = it can't be used
        media: "image/png" or "image/jpeg"
        width_px, height_px: its size [pixels]
    """

    name: str
    file: str
    words: str
    points: tuple[tuple[str, Spot], ...]
    lines: tuple[tuple[str, tuple[Spot, ...]], ...]
    path: Path
    data: bytes = field(default=b"", repr=False)
    media: str = ""
    width_px: int = 0
    height_px: int = 0
