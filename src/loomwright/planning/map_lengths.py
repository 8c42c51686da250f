"""How long the links of a map are: as measured, else straight between two points whose places are known."""

import math

from loomwright.calc.priced_tree_places import Place, fix_point
from loomwright.errors import OutOfRange, RefusedEdit
from loomwright.model.corridor import CorridorMap, MapLink


def places(chart: CorridorMap) -> dict[str, Place]:
    """Return the places of a map's points that have any: as told, else from four tapes and more.

    Raises:
        RefusedEdit: a point's tapes don't give its place; the message says what to measure.
    """
    found = {one.name: one.at_mm for one in chart.points if one.at_mm is not None}
    waiting = [one for one in chart.points if one.at_mm is None and one.tape_mm]
    while waiting:
        ready = [one for one in waiting if all(name in found for name, _ in one.tape_mm)]
        if not ready:
            lost = waiting[0]
            hooks = ", ".join(name for name, _ in lost.tape_mm if name not in found)
            raise RefusedEdit(
                f"Map {chart.name}: {lost.name} is measured from {hooks}, whose place is not known."
            )
        for one in ready:
            hooked = [found[name] for name, _ in one.tape_mm]
            try:
                found[one.name] = fix_point(hooked, [mm for _, mm in one.tape_mm]).place
            except OutOfRange as no:
                raise RefusedEdit(f"Map {chart.name}, point {one.name}: {no}") from None
        waiting = [one for one in waiting if one not in ready]
    return found


def link_mm(chart: CorridorMap, link: MapLink, at: dict[str, Place]) -> float:
    """Return a link's length [mm].

    Raises:
        RefusedEdit: it was not measured, and the place of one of its points is not known.
    """
    if link.mm is not None:
        return link.mm
    lost = next((name for name in (link.a, link.b) if name not in at), None)
    if lost is not None:
        raise RefusedEdit(
            f"Map {chart.name}, link {link.a}-{link.b}: it has no mm, and {lost} has no place. "
            "Measure the link, or tell where the point is."
        )
    return max(1.0, math.dist(at[link.a], at[link.b]))
