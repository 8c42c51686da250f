"""A map drawn from the tree that is there, in one step: its points, its sections, where co-runs part."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from loomwright.calc.priced_tree_places import Place
from loomwright.edits import Edit, Value, Verb
from loomwright.model.tree import Section, Tree

LEAST_MM: Final = 1.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """A link as it is drawn from a tree.

    Attributes:
        on: (section, mm from its inner end where the link begins) of all sections that run here; the first
            carries the others
    """

    a: str
    b: str
    mm: float
    on: tuple[tuple[Section, float], ...]

    @property
    def name(self) -> str:
        """Both points with a dash."""
        return f"{self.a}-{self.b}"


def map_from_tree(
    tree: Tree,
    name: str,
    many_looms: bool,
    at: Sequence[tuple[str, Place]] = (),
    guesses: Sequence[tuple[str, float]] = (),
) -> tuple[Edit, ...]:
    """Return the edits that write a map of a loom as it is measured.

    Every section is a link; where sections run side by side the corridor they share is one link, and a point
    of the map stands where each parts. Air noted on a section goes with its links.

    Args:
        tree: the loom's tree
        name: of the map
        many_looms: the job has several looms, so that the map has to name its own
        at: places of points
        guesses: links that nobody measured, and how long they may be [mm]
    """
    value: dict[str, Value] = {"loom": tree.loom} if many_looms else {}
    links: dict[str, Value] = {}
    for one in drawn_links(tree):
        link: dict[str, Value] = {"mm": round(one.mm, 1)}
        air = [s.passes.air_c for s, _ in one.on if s.passes is not None and s.passes.air_c is not None]
        if air:
            link["air_c"] = max(air)
        links[one.name] = link
    for guess, mm in guesses:
        links[guess] = {"mm": round(mm, 1), "guess": True}
    if at:
        value["point"] = {point: {"at": [round(x, 1) for x in place]} for point, place in at}
    value["link"] = links
    return (Edit(Verb.SET, ("map", name), value, "map drawn from the rope"),)


def drawn_links(tree: Tree) -> tuple[Drawn, ...]:
    """Return the links of a tree: the same for the same tree, so that a map drawn from it is known again."""
    taken = {tree.datum, *tree.from_datum_mm}
    found: list[Drawn] = []
    for point in [tree.datum, *(s.outer for s in tree.sections)]:
        waiting = list(tree.out_of.get(point, ()))
        while waiting:
            carrier = max(waiting, key=lambda one: (len(one.co_runs), one.length_mm, one.name))
            group = [one for one in waiting if one is carrier or _until(carrier, one) >= LEAST_MM]
            waiting = [one for one in waiting if one not in group]
            found.extend(_corridor(point, carrier, group, taken))
    return tuple(found)


def _until(carrier: Section, other: Section) -> float:
    return next((one.until_mm for one in carrier.co_runs if one.section == other.name), 0.0)


def _corridor(point: str, carrier: Section, group: list[Section], taken: set[str]) -> Iterator[Drawn]:
    """One section and all that run beside it: the corridor in pieces, a point where each parts."""
    parts = {
        one.name: min(_until(carrier, one), carrier.length_mm - LEAST_MM, one.length_mm - LEAST_MM)
        for one in group
        if one is not carrier
    }
    inner, at = point, 0.0
    names = {0.0: point}
    for place in sorted(set(parts.values())):
        if place - at < LEAST_MM:
            names[place] = inner
            continue
        beside = [one for one in group if one is not carrier and parts[one.name] >= place]
        names[place] = _free(f"{point}part".replace(".", ""), taken)
        yield Drawn(inner, names[place], place - at, tuple((one, at) for one in (carrier, *beside)))
        inner, at = names[place], place
    yield Drawn(inner, carrier.outer, max(LEAST_MM, carrier.length_mm - at), ((carrier, at),))
    for one in group:
        if one is not carrier:
            place = parts[one.name]
            yield Drawn(names[place], one.outer, max(LEAST_MM, one.length_mm - place), ((one, place),))


def _free(base: str, taken: set[str]) -> str:
    number = 1
    while (name := f"{base}{number}") in taken:
        number += 1
    taken.add(name)
    return name
