"""What a meter sees on the bench, nothing plugged in: the wires alone, joined at their splices and studs."""

from collections.abc import Iterator
from dataclasses import dataclass

from loomwright.model.device import Pin
from loomwright.model.words import Side
from loomwright.pack.view import View, end_words
from loomwright.routing.routed import EndKind, Wire, WireEnd


@dataclass(frozen=True, slots=True)
class Reading:
    """One measurement from one end to another.

    Attributes:
        circuit: circuit
        start, end: pin ids, or words of a sealed end
        wires: wires on the way
        wire_ohm: resistance of the wires at 20 C, at most [ohm]
        joint_ohm: resistance of contacts and splices on the way, as the shop reckons them [ohm]
    """

    circuit: str
    start: str
    end: str
    wires: tuple[Wire, ...]
    wire_ohm: float
    joint_ohm: float

    @property
    def ohm(self) -> float | None:
        """What a four-wire meter should show [ohm]; None where a screen is on the way."""
        return None if any(w.screen for w in self.wires) else self.wire_ohm + self.joint_ohm


def wire_ohm(view: View, wire: Wire) -> float:
    """Return the highest resistance of a wire at 20 C when fitted, its trim cut off [ohm]."""
    length = view.sized.length[wire.identity]
    fitted_mm = length.exact_mm - length.trim_a_mm - length.trim_b_mm
    return view.size(wire).ohm_per_m_20c_max * fitted_mm / 1000


def readings(view: View) -> tuple[Reading, ...]:
    """Return the measurements of every circuit, each from its giving pin."""
    names = [c.name for c in view.job.circuits]
    spares = sorted(set(view.routed.wires_of).difference(names))
    return tuple(r for name in (*names, *spares) for r in _of_circuit(view, name))


def readings_from(view: View, pin: Pin) -> tuple[Reading, ...]:
    """Return every measurement from one pin of a loom that nothing is plugged into."""
    beside, ends = _net(view, pin.circuit)
    return tuple(_from(view, pin.circuit, pin.id, beside, ends, set())) if pin.id in ends else ()


def _net(view: View, circuit: str) -> tuple[dict[str, list[tuple[str, Wire]]], dict[str, EndKind]]:
    """The wires of a circuit by the ends they join, and what each end is."""
    beside: dict[str, list[tuple[str, Wire]]] = {}
    ends: dict[str, EndKind] = {}
    for w in view.routed.wires_of.get(circuit, ()):
        for one, other in ((w.a, w.b), (w.b, w.a)):
            beside.setdefault(_node(one), []).append((_node(other), w))
            ends[_node(one)] = one.kind
    return beside, ends


def _of_circuit(view: View, circuit: str) -> Iterator[Reading]:
    beside, ends = _net(view, circuit)
    seen: set[str] = set()
    for start in _starts(view, circuit, ends):
        if start not in seen:
            yield from _from(view, circuit, start, beside, ends, seen)


def _node(end: WireEnd) -> str:
    """A pin's or splice's own name; words for an end that has none."""
    return end_words(end) if end.kind in (EndKind.SEALED, EndKind.DRAIN_CUT) else end.name


def _starts(view: View, circuit: str, ends: dict[str, EndKind]) -> list[str]:
    """Where a probe stays: a giving pin, else a controller's, else any end; never a splice."""
    pins = {p.id: p for p in view.job.pins_of.get(circuit, ())}

    def rank(name: str) -> tuple[bool, bool, str]:
        pin = pins.get(name)
        family = view.job.device[pin.device].family if pin else ""
        return (pin is None or pin.side is not Side.GIVES, family != "controller", name)

    return sorted((name for name, kind in ends.items() if kind is not EndKind.SPLICE), key=rank)


def _from(
    view: View,
    circuit: str,
    start: str,
    beside: dict[str, list[tuple[str, Wire]]],
    ends: dict[str, EndKind],
    seen: set[str],
) -> Iterator[Reading]:
    joint = view.job.shop.contact_ohm.value
    seen.add(start)
    waiting = [Reading(circuit, start, start, (), 0.0, joint)]
    for here in waiting:
        for name, wire in beside.get(here.end, ()):
            if name in seen:
                continue
            seen.add(name)
            ohm = here.wire_ohm + wire_ohm(view, wire)
            there = Reading(circuit, start, name, (*here.wires, wire), ohm, here.joint_ohm + joint)
            waiting.append(there)
            if ends[name] is not EndKind.SPLICE:
                yield there
