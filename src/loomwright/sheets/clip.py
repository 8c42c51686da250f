"""Marks cut to a rectangle: lines, arcs and outlines exactly at its edge, text whole by its box."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Final

from loomwright.pack.marks import (
    Arc,
    Box,
    Circle,
    Group,
    Hatch,
    Line,
    Mark,
    Pen,
    Point,
    Polygon,
    Polyline,
    Text,
    bounds,
)

FILL_STEPS: Final = 180  # corners of the polygon that stands in for a cut filled circle


def span_inside(start: Point, end: Point, box: Box) -> tuple[float, float] | None:
    """Return the part of a line inside a rectangle as two shares of its length, None where nothing is.

    Source: parametric clipping against four half planes; exact.
    """
    low, high = 0.0, 1.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    sides = (
        (-dx, start[0] - box.left),
        (dx, box.right - start[0]),
        (-dy, start[1] - box.bottom),
        (dy, box.top - start[1]),
    )
    for slope, room in sides:
        if slope == 0.0:
            if room < 0.0:
                return None
        elif slope < 0.0:
            low = max(low, room / slope)
        else:
            high = min(high, room / slope)
    return (low, high) if low < high else None


def _between(start: Point, end: Point, share: float) -> Point:
    if share in (0.0, 1.0):
        return end if share else start
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def _further(pen: Pen, along_mm: float) -> Pen:
    """Return the pen as it is after some length of line, so that dashes run on across a cut."""
    if not pen.dash_mm or along_mm == 0.0:
        return pen
    return replace(pen, start_mm=math.fmod(pen.start_mm + along_mm, 2 * sum(pen.dash_mm)))


def _cut_points(points: tuple[Point, ...], pen: Pen, layer: str, box: Box) -> Iterator[Polyline]:
    """Yield the stretches of a polyline inside the rectangle."""
    run: list[Point] = []
    run_from = along = 0.0
    for start, end in pairwise(points):
        length = math.dist(start, end)
        inside = span_inside(start, end, box)
        if inside is not None:
            if not run or inside[0] > 0.0:
                if run:
                    yield Polyline(tuple(run), _further(pen, run_from), layer)
                run = [_between(start, end, inside[0])]
                run_from = along + inside[0] * length
            run.append(_between(start, end, inside[1]))
        if run and (inside is None or inside[1] < 1.0):
            yield Polyline(tuple(run), _further(pen, run_from), layer)
            run = []
        along += length
    if run:
        yield Polyline(tuple(run), _further(pen, run_from), layer)


def _crossings(arc: Arc, box: Box) -> list[float]:
    """Return the sweeps from the arc's start at which it meets one of the four edge lines."""
    (x, y), r = arc.centre, arc.radius_mm
    angles: list[float] = []
    for edge in (box.left, box.right):
        if abs(edge - x) < r:
            turn = math.degrees(math.acos((edge - x) / r))
            angles += [turn, -turn]
    for edge in (box.bottom, box.top):
        if abs(edge - y) < r:
            turn = math.degrees(math.asin((edge - y) / r))
            angles += [turn, 180.0 - turn]
    return [math.fmod(math.fmod(angle - arc.start_deg, 360.0) + 360.0, 360.0) for angle in angles]


def _cut_arc(arc: Arc, box: Box) -> Iterator[Arc]:
    sweeps = (sweep for sweep in _crossings(arc, box) if 0.0 < sweep < arc.sweep_deg)
    stops = sorted({0.0, arc.sweep_deg, *sweeps})
    joined: list[tuple[float, float]] = []
    for low, high in pairwise(stops):
        if high - low > 1e-9 and box.holds(arc.at(arc.start_deg + (low + high) / 2)):
            if joined and joined[-1][1] == low:
                joined[-1] = (joined[-1][0], high)
            else:
                joined.append((low, high))
    for low, high in joined:
        along = math.radians(low) * arc.radius_mm
        yield replace(arc, start_deg=arc.start_deg + low, sweep_deg=high - low, pen=_further(arc.pen, along))


def _cut_side(points: list[Point], axis: int, edge: float, keep_above: bool) -> list[Point]:
    """Return a polygon cut by one edge line."""

    def keeps(point: Point) -> bool:
        return point[axis] >= edge if keep_above else point[axis] <= edge

    kept: list[Point] = []
    for here, there in zip(points, points[1:] + points[:1], strict=True):
        if keeps(here):
            kept.append(here)
        if keeps(here) != keeps(there):
            share = (edge - here[axis]) / (there[axis] - here[axis])
            kept.append(_between(here, there, share))
    return kept


def cut_outline(points: tuple[Point, ...], box: Box) -> tuple[Point, ...]:
    """Return the part of a filled outline inside a rectangle; empty where nothing is.

    Source: cutting by one half plane after the other; exact for outlines without crossings.
    """
    left = list(points)
    edges = ((0, box.left, True), (0, box.right, False), (1, box.bottom, True), (1, box.top, False))
    for axis, edge, above in edges:
        if len(left) < 3:
            return ()
        left = _cut_side(left, axis, edge, above)
    return tuple(left) if len(left) >= 3 else ()


def hatch_lines(points: tuple[Point, ...], hatch: Hatch, layer: str) -> Iterator[Line]:
    """Yield the hatch lines inside an outline, at whole pitches from the drawing's origin.

    Source: crossings of a line with the outline's sides, taken in pairs; exact.
    """
    turn = math.radians(hatch.angle_deg)
    along, across = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))
    sides = [(x * along[0] + y * along[1], x * across[0] + y * across[1]) for x, y in points]
    heights = [height for _, height in sides]
    first, last = math.ceil(min(heights) / hatch.pitch_mm), math.floor(max(heights) / hatch.pitch_mm)
    for step in range(first, last + 1):
        height = step * hatch.pitch_mm
        meets = sorted(
            a[0] + (height - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
            for a, b in zip(sides, sides[1:] + sides[:1], strict=True)
            if (a[1] > height) != (b[1] > height)
        )
        for enter, leave in zip(meets[::2], meets[1::2], strict=False):
            yield Line(
                (enter * along[0] + height * across[0], enter * along[1] + height * across[1]),
                (leave * along[0] + height * across[0], leave * along[1] + height * across[1]),
                hatch.pen,
                layer,
            )


def _cut_polygon(mark: Polygon, box: Box) -> Iterator[Mark]:
    if mark.fill:
        inner = cut_outline(mark.points, box)
        if inner:
            yield Polygon(inner, None, mark.fill, None, mark.layer)
    if mark.hatch is not None:
        for line in hatch_lines(mark.points, mark.hatch, mark.layer):
            yield from _cut(line, box)
    if mark.pen is not None:
        yield from _cut_points((*mark.points, mark.points[0]), mark.pen, mark.layer, box)


def _cut_circle(mark: Circle, box: Box) -> Iterator[Mark]:
    ring = Arc(mark.centre, mark.radius_mm, 0.0, 360.0, mark.pen or Pen(), mark.layer)
    if mark.fill:
        inner = cut_outline(tuple(ring.at(360.0 * step / FILL_STEPS) for step in range(FILL_STEPS)), box)
        if inner:
            yield Polygon(inner, None, mark.fill, None, mark.layer)
    if mark.pen is not None:
        yield from _cut_arc(ring, box)


def _cut(mark: Mark, box: Box) -> Iterator[Mark]:
    match mark:
        case Line():
            inside = span_inside(mark.start, mark.end, box)
            if inside is not None:
                start, end = (_between(mark.start, mark.end, share) for share in inside)
                pen = _further(mark.pen, inside[0] * math.dist(mark.start, mark.end))
                yield Line(start, end, pen, mark.layer)
        case Polyline():
            yield from _cut_points(mark.points, mark.pen, mark.layer, box)
        case Arc():
            yield from _cut_arc(mark, box)
        case Circle():
            yield from _cut_circle(mark, box)
        case Polygon():
            yield from _cut_polygon(mark, box)
        case Text():
            yield mark
        case Group():
            inner = clipped(mark.marks, box)
            if inner:
                yield Group(mark.name, inner, mark.window)


def clipped(marks: Iterable[Mark], box: Box) -> tuple[Mark, ...]:
    """Return what of the marks lies inside a rectangle.

    Args:
        marks: marks in drawing order
        box: rectangle to cut to [mm]

    Returns:
        Marks cut where they cross the edge, dashes running on; a mark wholly inside is kept as it is; a text
        is kept whole where its box touches the rectangle, so a writer must cut it by a `Group.window`.
        Hatches come out as lines, so that they meet across neighbouring rectangles. A filled circle that is
        cut comes out as a polygon of 180 corners, within 0.02 % of its radius; all else is exact.
    """
    kept: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Group):
            kept.extend(_cut(mark, box))
            continue
        around = bounds(mark)
        hatched = isinstance(mark, Polygon) and mark.hatch is not None
        if box.encloses(around) and not hatched:
            kept.append(mark)
        elif box.meets(around):
            kept.extend(_cut(mark, box))
    return tuple(kept)
