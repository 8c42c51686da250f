"""A map of where a loom may run: points of the car, links between them, parts that stand in the way."""

from dataclasses import dataclass

from loomwright.edits import Path


@dataclass(frozen=True, slots=True)
class MapPoint:
    """A point of the car.

    Attributes:
        at_mm: x, y, z in car axes (right, front, up) [mm]; None = not told
        tape_mm: (point, mm) distances by tape from points whose place is known
        hole_mm: hole all sections at this point go through together [mm], None = none
    """

    name: str
    at_mm: tuple[float, float, float] | None
    tape_mm: tuple[tuple[str, float], ...]
    hole_mm: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class MapLink:
    """A corridor between two points that a loom may follow.

    Attributes:
        a, b: points, ends or the datum
        mm: length along it [mm]; None = straight between both points
        bore_mm: what fits through it, all sections as one bundle [mm]; None = enough
        air_c: air temperature [degrees C]; None = the loom's
        hazard: price for each section that runs here, in the shop's own money
        factory: the car's own loom runs here: clips and grommets are there
        needs: name of the part that has to be removed to use it, "" = none
        guess: nobody measured its length yet
    """

    a: str
    b: str
    mm: float | None
    bore_mm: float | None
    air_c: float | None
    hazard: float
    factory: bool
    needs: str
    guess: bool
    path: Path


@dataclass(frozen=True, slots=True)
class MapPart:
    """A part that could be removed to free a path, and what that costs in the shop's own money."""

    name: str
    price: float
    words: str
    path: Path


@dataclass(frozen=True, slots=True)
class CorridorMap:
    """Where one loom may run.

    Attributes:
        loom: the loom it is for
        most_exits: sections at one branch point, the one that leads to it counted
        branch_mm: least length between two branch points [mm]
        end_mm: least length from a branch point to an end [mm]
        apart: pairs of circuits that must not share a section
    """

    name: str
    loom: str
    points: tuple[MapPoint, ...]
    links: tuple[MapLink, ...]
    parts: tuple[MapPart, ...]
    most_exits: int
    branch_mm: float
    end_mm: float
    apart: tuple[tuple[str, str], ...]
    path: Path
