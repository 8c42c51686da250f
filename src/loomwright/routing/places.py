"""A place for every splice: least wire among the places that are allowed, staggered, kept where it may."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from loomwright.findings import Finding
from loomwright.model.circuit import Circuit, LoomPlace
from loomwright.model.tree import Section
from loomwright.routing import findings as say
from loomwright.routing.draft import SpliceDraft
from loomwright.routing.field import Field
from loomwright.routing.room import Room
from loomwright.routing.ways import Ways

BETTER_SHARE: Final = 0.10  # a kept place is called worse when another saves this much [ours]
BETTER_MM: Final = 100.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A splice with its place."""

    draft: SpliceDraft
    place: LoomPlace
    near: str
    behind_plug: bool
    chosen: str
    better: LoomPlace | None = None


@dataclass(frozen=True)
class Loads:
    """How a splice's wires spread over the tree: wires beyond each point, and wire needed from each point.

    Attributes:
        beyond: number of targets at or beyond a point
        cost_mm: wire from a point to all targets [mm]
        near: points between and beside the targets, in the order they were met
    """

    count: int
    beyond: dict[str, int]
    cost_mm: dict[str, float]

    def at_mm(self, section: Section, mm: float) -> float:
        """Return the wire needed from a place in a section [mm]."""
        return self.cost_mm[section.inner] + self.slope(section) * mm

    def slope(self, section: Section) -> int:
        """Return how much more wire each mm outward costs [mm per mm]."""
        return self.count - 2 * self.beyond.get(section.outer, 0)


def loads(ways: Ways, targets: Sequence[str], everywhere: bool = False) -> Loads:
    """Return how a splice's wires spread over the tree.

    Args:
        targets: points its wires lead to
        everywhere: work out all points of the loom, not only those on the targets' ways and beside them
    """
    tree = ways.tree
    beyond: dict[str, int] = {}
    for target in targets:
        point = target
        beyond[point] = beyond.get(point, 0) + 1
        while point != tree.datum:
            point = tree.into[point].inner
            beyond[point] = beyond.get(point, 0) + 1
    run = tree.from_datum_mm
    cost = {tree.datum: sum(run[t] for t in targets)}
    points = [s.outer for s in tree.sections] if everywhere else sorted(beyond, key=ways.depth.__getitem__)
    for point in points:
        if point != tree.datum:
            section = tree.into[point]
            cost[point] = cost[section.inner] + (len(targets) - 2 * beyond.get(point, 0)) * section.length_mm
    return Loads(len(targets), beyond, cost)


def _sections(ways: Ways, load: Loads) -> list[Section]:
    """Return the sections between the targets and those that touch them."""
    tree = ways.tree
    inside = [p for p in load.cost_mm if p in load.beyond]
    top = max((p for p in inside if load.beyond[p] == load.count), key=ways.depth.__getitem__)
    found = [tree.into[top]] if top != tree.datum else []
    for point in inside:
        if ways.depth[point] >= ways.depth[top]:
            found.extend(tree.out_of.get(point, ()))
    return found


Candidate = tuple[float, bool, float, int, LoomPlace]


def _candidates(
    draft: SpliceDraft,
    ways: Ways,
    load: Loads,
    section: Section,
    free: Iterable[tuple[float, float]],
    room: Room,
) -> Iterator[Candidate]:
    """Yield the allowed places of a section worth a look, best first by tuple order."""
    slope = load.slope(section)
    for low, high in free:
        stretch = _within_reach(draft, ways, section, low, high)
        if stretch is None:
            continue
        for mm in stretch if slope == 0 else (stretch[0] if slope > 0 else stretch[1],):
            place = LoomPlace(section.name, mm)
            beside = min(mm, section.length_mm - mm)
            behind = room.beside(place) in room.plugs
            yield round(load.at_mm(section, mm), 3), behind, beside, ways.order[section.outer], place


def _within_reach(
    draft: SpliceDraft, ways: Ways, section: Section, low: float, high: float
) -> tuple[float, float] | None:
    """Return the part of a stretch from which the stub isn't too long."""
    if not draft.reach:
        return low, high
    if ways.is_beyond(section, draft.reach):
        low = max(low, section.length_mm + ways.gap_mm(section.outer, draft.reach) - draft.reach_mm)
    else:
        high = min(high, draft.reach_mm - ways.gap_mm(section.inner, draft.reach))
    return (low, high) if low <= high else None


def best_place(draft: SpliceDraft, ways: Ways, room: Room, taken: dict[str, list[float]]) -> LoomPlace | None:
    """Return the allowed place that needs the least wire, None = there is no room in the loom."""
    for everywhere in (False, True):
        load = loads(ways, draft.targets, everywhere)
        sections = ways.tree.sections if everywhere else _sections(ways, load)
        least = [min(load.cost_mm[s.inner], load.at_mm(s, s.length_mm)) for s in sections]
        found: Candidate | None = None
        for turn in sorted(range(len(least)), key=least.__getitem__):
            section = sections[turn]
            if found is not None and least[turn] > found[0]:
                break
            free = room.free(section.name, taken.get(section.name, ()))
            rows = _candidates(draft, ways, load, section, free, room)
            found = min(rows if found is None else (found, *rows), default=None, key=lambda c: c[:4])
        if found is not None:
            return found[4]
    return None


def placed(
    field: Field, drafts: Sequence[SpliceDraft], names: dict[str, str]
) -> tuple[tuple[Placed, ...], tuple[Finding, ...]]:
    """Return every splice with a place: the builder's first, then the kept ones, then the others in turn.

    Args:
        names: of the splices, by identity
    Returns:
        the splices in the order of the drafts, and what is to be told about them
    """
    laying = _Laying(field, names)
    kept = dict(field.job.kept.splice_places)
    for draft in drafts:
        if draft.fixed is not None:
            laying.fix(draft, draft.fixed)
    for draft in drafts:
        if draft.identity not in laying.found and draft.identity in kept:
            laying.keep(draft, kept[draft.identity])
    for draft in drafts:
        if draft.identity not in laying.found:
            laying.find(draft)
    rows = tuple(laying.compared(laying.found[d.identity]) for d in drafts)
    return rows, tuple(laying.told)


class _Laying:
    """Splices taking their places one after another."""

    def __init__(self, field: Field, names: dict[str, str]) -> None:
        self.field, self.names = field, names
        self.rooms = {loom: Room(ways.tree, field.job.shop) for loom, ways in field.ways.items()}
        self.taken: dict[str, dict[str, list[float]]] = {loom: {} for loom in field.looms}
        self.found: dict[str, Placed] = {}
        self.told: list[Finding] = []

    def _who(self, draft: SpliceDraft) -> tuple[Circuit, str, str]:
        """Return what a finding about a splice starts with."""
        return self.field.circuit(draft.circuit), draft.loom, self.names[draft.identity]

    def _objection(self, draft: SpliceDraft, place: LoomPlace) -> str:
        taken = self.taken[draft.loom].get(place.section, ())
        return self.rooms[draft.loom].objection(place, taken)

    def _best(self, draft: SpliceDraft, taken: dict[str, list[float]]) -> LoomPlace | None:
        return best_place(draft, self.field.ways[draft.loom], self.rooms[draft.loom], taken)

    def _stub_mm(self, draft: SpliceDraft, place: LoomPlace) -> float:
        """Return how long the stub from a place would be [mm]; 0 for a place or splice without one."""
        tree = self.rooms[draft.loom].tree
        if not draft.reach or place.section not in tree.by_name:
            return 0.0
        return self.field.ways[draft.loom].place_gap_mm(place, draft.reach)

    def _settle(self, draft: SpliceDraft, place: LoomPlace, chosen: str) -> None:
        room = self.rooms[draft.loom]
        near = room.beside(place)
        self.taken[draft.loom].setdefault(place.section, []).append(place.mm)
        self.found[draft.identity] = Placed(draft, place, near, near in room.plugs, chosen)

    def fix(self, draft: SpliceDraft, place: LoomPlace) -> None:
        """Take the builder's place where the section has it, and say what speaks against it."""
        circuit, loom, name = self._who(draft)
        if not 0 <= place.mm <= self.rooms[loom].tree.by_name[place.section].length_mm:
            self.told.append(say.stated_place_unknown(circuit, place))
            return
        why = self._objection(draft, place)
        if why:
            self.told.append(say.stated_place_breaks_rule(circuit, loom, name, place, why))
        self._settle(draft, place, "builder")

    def keep(self, draft: SpliceDraft, place: LoomPlace) -> None:
        """Leave a splice where it was, unless that breaks a rule now."""
        why = self._objection(draft, place)
        stub = self._stub_mm(draft, place)
        other = self._best(draft, self.taken[draft.loom]) if why or stub > draft.reach_mm else place
        if other is not place and other is not None:
            why = why or f"its stub would be {stub:.0f} mm long"
            self.told.append(say.kept_place_given_up(*self._who(draft), place, why))
        elif not why:
            if stub > draft.reach_mm:
                self.told.append(say.stub_too_long(*self._who(draft), stub, draft.reach_mm))
            self._settle(draft, place, "kept")

    def find(self, draft: SpliceDraft) -> None:
        """Find a place; without room take the middle of the longest section on the way and say so."""
        ways, taken = self.field.ways[draft.loom], self.taken[draft.loom]
        place = self._best(draft, taken)
        if place is None and draft.reach:
            place = self._best(replace(draft, reach="", targets=(draft.reach,)), taken)
            if place is not None:
                stub = self._stub_mm(draft, place)
                self.told.append(say.stub_too_long(*self._who(draft), stub, draft.reach_mm))
        if place is None:
            sections = _sections(ways, loads(ways, draft.targets))
            longest = max(sections, key=lambda s: (s.length_mm, -ways.order[s.outer]))
            place = LoomPlace(longest.name, longest.length_mm / 2)
            self.told.append(say.no_room_for_splice(*self._who(draft), place))
        self._settle(draft, place, "computed")

    def compared(self, row: Placed) -> Placed:
        """Return a kept splice with the better place there is for it now, if there is one."""
        if row.chosen != "kept":
            return row
        ways, draft = self.field.ways[row.draft.loom], row.draft
        others = dict(self.taken[draft.loom])
        others[row.place.section] = [mm for mm in others[row.place.section] if mm != row.place.mm]
        place = self._best(draft, others)
        if place is None:
            return row
        now = sum(ways.place_gap_mm(row.place, t) for t in draft.targets)
        then = sum(ways.place_gap_mm(place, t) for t in draft.targets)
        if now - then <= min(BETTER_MM, BETTER_SHARE * now):
            return row
        self.told.append(say.better_place(*self._who(draft), row.place, place, now - then))
        return replace(row, better=place)
