"""A net that grows: what was joined stays joined as it was, what comes to it joins beside."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from loomwright.findings import Finding
from loomwright.model.circuit import LoomPlace
from loomwright.routing import findings as say
from loomwright.routing.draft import Draft, DraftEnd, Net, SpliceDraft, Terminal, centre, joined, spliced
from loomwright.routing.field import Field
from loomwright.routing.kept_net import KeptNet, kept_net
from loomwright.routing.naming import natural
from loomwright.routing.ways import Spot, Ways

BETTER_SHARE: Final = 0.10  # a kept grouping is called worse when a new one saves this much [ours]
BETTER_MM: Final = 100.0


def grown(field: Field, net: Net) -> Draft:
    """Return the wires that join a net, those it had before left as they were.

    Without splices from before the net is grouped anew. Else a newcomer goes to the nearest splice with
    room; where there is too little room newcomers get a splice of their own, linked to the nearest with
    room; where no splice has any, one old wire is cut and the new splice put between its halves.

    Args:
        field: the job beside its trees, with the wires there were before
        net: what is to be joined
    """
    ways, most = field.ways[net.loom], field.most
    anew = joined(net, ways, most)
    before = kept_net(net, field.wired.get(net.circuit, ()), most)
    if before is None:
        return anew
    growth = _Growth(field, net, before)
    if not growth.finish():
        return anew
    draft = growth.draft()
    return Draft(
        draft.wires,
        draft.splices,
        findings=tuple(told_of_grouping(field, net.circuit, net.loom, draft, anew)),
    )


def told_of_grouping(field: Field, circuit: str, loom: str, now: Draft, anew: Draft) -> Iterable[Finding]:
    """Yield what grouping a circuit anew would save in a loom, where that is worth telling."""
    ways = field.ways[loom]
    fewer = max(0, len(now.splices) - len(anew.splices))
    length = _length_mm(now, ways)
    saves = length - _length_mm(anew, ways)
    if saves <= min(BETTER_MM, BETTER_SHARE * length):
        saves = 0.0
    if fewer > 0 or saves > 0:
        yield say.grouped_as_before(field.circuit(circuit), loom, len(now.splices), fewer, saves)


def _length_mm(draft: Draft, ways: Ways) -> float:
    """Return the wire of a draft as if every splice sat at the point that needs the least [mm]."""
    at = {s.identity: centre(s.targets, ways) for s in draft.splices}

    def point(end: DraftEnd) -> str:
        return at[end.identity] if isinstance(end, SpliceDraft) else end.point

    return sum(ways.gap_mm(point(w.a), point(w.b)) for w in draft.wires)


@dataclass(frozen=True, slots=True)
class _Cut:
    """An old wire that may be cut to take a new splice in; `b` is a terminal's key or a part."""

    a: str
    b: str
    extra_mm: float


class _Growth:
    """A kept net taking its newcomers in, one after another."""

    def __init__(self, field: Field, net: Net, before: KeptNet) -> None:
        self.net, self.most, self.ways = net, field.most, field.ways[net.loom]
        self.terminal = {t.key: t for t in net.terminals}
        self.shares = {part: list(keys) for part, keys in before.shares}
        self.links = list(before.links)
        self.following = before.following
        placed = dict(field.job.kept.splice_places)
        self.spots = {part: self._spot(part, placed) for part in self.shares}
        held = {key for keys in self.shares.values() for key in keys}
        rows = (t for t in net.terminals if t.key not in held)
        self.waiting = sorted(rows, key=lambda t: (self.ways.order[t.point], natural(t.key)))

    def _spot(self, part: str, placed: dict[str, LoomPlace]) -> Spot:
        """Return where a splice sat before; where that is gone, the middle of its wires."""
        place = placed.get(f"{self.net.circuit}|{self.net.loom}|{part}")
        if place is not None:
            section = self.ways.tree.by_name.get(place.section)
            if section is not None and 0 <= place.mm <= section.length_mm:
                return place
        own = [self.terminal[key].point for key in self.shares[part]]
        return centre(own or [t.point for t in self.net.terminals], self.ways)

    def _gap_mm(self, a: Spot, b: Spot) -> float:
        return sum(step.mm for step in self.ways.steps(a, b))

    def _room(self, part: str) -> int:
        return self.most - len(self.shares[part]) - sum(part in link for link in self.links)

    def finish(self) -> bool:
        """Bring loose splices together and every newcomer in; False = it can't be done with what was kept."""
        while self._loose():
            rows = [p for p in self.shares if self._room(p) > 0]
            pairs = [(a, b) for a in rows for b in rows if a < b and self._apart(a, b)]
            if not pairs:
                return False
            self.links.append(min(pairs, key=lambda p: self._gap_mm(self.spots[p[0]], self.spots[p[1]])))
        while self.waiting:
            free = sum(self._room(part) for part in self.shares)
            if free >= len(self.waiting) or free > 1:
                self._join_nearest()
            else:
                self._add_splice(free == 0)
        return True

    def _groups(self) -> dict[str, str]:
        group = {part: part for part in self.shares}
        for a, b in self.links:
            group = {p: group[a] if g == group[b] else g for p, g in group.items()}
        return group

    def _loose(self) -> bool:
        return len(set(self._groups().values())) > 1

    def _apart(self, a: str, b: str) -> bool:
        group = self._groups()
        return group[a] != group[b]

    def _join_nearest(self) -> None:
        """Bring the newcomer in that needs the least wire to a splice with room."""
        rooms = [part for part in self.shares if self._room(part) > 0]
        pairs = [(t, part) for t in self.waiting for part in rooms]
        newcomer, part = min(pairs, key=lambda p: round(self._gap_mm(p[0].point, self.spots[p[1]]), 3))
        self.shares[part].append(newcomer.key)
        self.waiting.remove(newcomer)

    def _add_splice(self, full: bool) -> None:
        """Add a splice for newcomers: linked to the one with room, or put into an old wire that is cut."""
        part = f"{self.net.part}.{self.following}"
        self.following += 1
        beside = self._opened(part) if full else self._linked(part)
        room = self.most - len(beside)
        many = room if len(self.waiting) <= room else room - 1
        came, self.waiting = self.waiting[:many], self.waiting[many:]
        self.shares[part] = [*self.shares.pop(part, ()), *(t.key for t in came)]
        points = [self._point(spot) for spot in beside] + [t.point for t in came]
        self.spots[part] = centre(points, self.ways)

    def _point(self, spot: Spot) -> str:
        if isinstance(spot, str):
            return spot
        section = self.ways.tree.by_name[spot.section]
        return section.inner if spot.mm <= section.length_mm / 2 else section.outer

    def _linked(self, part: str) -> list[Spot]:
        """Link a new splice to the one that still has room."""
        (host,) = (p for p in self.shares if self._room(p) > 0)
        self.links.append((host, part))
        return [self.spots[host]]

    def _opened(self, part: str) -> list[Spot]:
        """Cut the old wire that lies nearest to the newcomers and put a new splice into it."""
        cut = min(self._cuts(), key=lambda c: (c.extra_mm, natural(c.a), natural(c.b)))
        if cut.b in self.shares:
            self.links.remove((cut.a, cut.b))
            self.links += [(cut.a, part), (part, cut.b)]
            return [self.spots[cut.a], self.spots[cut.b]]
        self.shares[cut.a].remove(cut.b)
        self.shares[part] = [cut.b]
        self.links.append((cut.a, part))
        return [self.spots[cut.a], self.terminal[cut.b].point]

    def _cuts(self) -> list[_Cut]:
        """Return all old wires with the wire it takes to bring the newcomers to each."""
        ends: list[tuple[str, str, Spot]] = [(a, b, self.spots[b]) for a, b in self.links]
        ends += [(p, key, self.terminal[key].point) for p, keys in self.shares.items() for key in keys]
        return [_Cut(a, b, self._extra_mm(self.spots[a], spot)) for a, b, spot in ends]

    def _extra_mm(self, a: Spot, b: Spot) -> float:
        whole = self._gap_mm(a, b)
        rows = (self._gap_mm(a, t.point) + self._gap_mm(t.point, b) - whole for t in self.waiting)
        return round(sum(rows) / 2, 3)

    def draft(self) -> Draft:
        """Return the wires and splices of the net as it is now."""
        order = self.ways.order

        def turn(key: str) -> tuple[int, tuple[tuple[int, int, str], ...]]:
            return order[self.terminal[key].point], natural(key)

        parts = sorted(self.shares, key=natural)
        shares: dict[str, tuple[Terminal, ...]] = {
            part: tuple(self.terminal[key] for key in sorted(self.shares[part], key=turn)) for part in parts
        }
        place = {part: i for i, part in enumerate(parts)}
        links = sorted(
            (sorted(link, key=lambda p: place[p]) for link in self.links),
            key=lambda link: [place[p] for p in link],
        )
        return spliced(self.net, self.ways, shares, [(a, b) for a, b in links])
