"""Exits in car axes: clock words are what one sees looking outward from the datum, 12 = up.

Where the way outward is within 30 degrees of vertical, 12 = front. Car axes as used here: front, left and
up make a right-handed set, so looking outward to the front the right hand is at 3 o'clock; looking
outward to the back, 3 o'clock is the car's left.
"""

from collections.abc import Mapping
from dataclasses import replace
from math import cos, radians, sin
from typing import Final

from loomwright.jobfile.exit_words import AXES, clock_hour
from loomwright.model.rope import Exit

Vector = tuple[float, float, float]  # front, left, up

_AXIS: Final[tuple[tuple[str, Vector], ...]] = (
    ("up", (0.0, 0.0, 1.0)),
    ("down", (0.0, 0.0, -1.0)),
    ("left", (0.0, 1.0, 0.0)),
    ("right", (0.0, -1.0, 0.0)),
    ("front", (1.0, 0.0, 0.0)),
    ("back", (-1.0, 0.0, 0.0)),
)
_VERTICAL: Final = cos(radians(30.0))


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def _unit(a: Vector) -> Vector:
    size = _dot(a, a) ** 0.5
    return (a[0] / size, a[1] / size, a[2] / size)


def _sum(a: Vector, ka: float, b: Vector, kb: float) -> Vector:
    return (a[0] * ka + b[0] * kb, a[1] * ka + b[1] * kb, a[2] * ka + b[2] * kb)


def direction(axes: tuple[str, ...]) -> Vector:
    """Return the unit vector (front, left, up) of one or two car axes."""
    total: Vector = (0.0, 0.0, 0.0)
    for name, vector in _AXIS:
        if name in axes:
            total = _sum(total, 1.0, vector, 1.0)
    return _unit(total)


def axes_at(hour: int, outward: tuple[str, ...]) -> tuple[str, ...]:
    """Return the one or two car axes nearest to a clock hour.

    Args:
        hour: 1 to 12, as seen looking outward
        outward: car axes of the way outward from the datum
    Source: plane geometry; rounded to the nearest of 18 directions.
    """
    ahead = direction(outward)
    up: Vector = (0.0, 0.0, 1.0)
    twelve = (1.0, 0.0, 0.0) if abs(_dot(ahead, up)) > _VERTICAL else up
    twelve = _unit(_sum(twelve, 1.0, ahead, -_dot(twelve, ahead)))
    right = _cross(ahead, twelve)
    angle = radians(30.0 * hour)
    pointed = _sum(twelve, cos(angle), right, sin(angle))
    single = [(name,) for name in AXES]
    double = [
        (a, b)
        for at, a in enumerate(AXES)
        for b in AXES[at + 1 :]
        if _dot(direction((a,)), direction((b,))) == 0
    ]
    return max((*single, *double), key=lambda axes: round(_dot(direction(axes), pointed), 9))


def in_car_axes(
    exits: tuple[Exit, ...], datum: str, steps: tuple[tuple[str, str], ...], first: Mapping[str, str]
) -> tuple[Exit, ...]:
    """Return the exits of a tree with clock words turned into car axes.

    The way outward at a point is how the section that leads to it leaves the point before; where that is
    not noted, the way outward at the point before; at the datum `first`.

    Args:
        exits: exits whose points are in the tree
        datum: the tree's datum
        steps: (inner, outer) of its sections, a section after the one that leads to it
        first: car axis of the way outward of each section that leaves the datum, by its outer point
    """
    noted: Mapping[tuple[str, str], Exit] = {(one.point, one.to): one for one in exits}
    outward: dict[str, tuple[str, ...]] = {}
    solved: dict[tuple[str, str], Exit] = {}
    for inner, outer in steps:
        one = noted.get((inner, outer))
        before = (first[outer],) if inner == datum else outward[inner]
        if one is not None:
            solved[inner, outer] = one = _solved(one, before)
        outward[outer] = one.axes if one else before
    return tuple(
        solved.get((one.point, one.to)) or _solved(one, outward.get(one.point, ("front",))) for one in exits
    )


def _solved(one: Exit, outward: tuple[str, ...]) -> Exit:
    hour = clock_hour(one.axes)
    return one if hour is None else replace(one, axes=axes_at(hour, outward))
