"""What routing has to tell, one function per code."""

from collections.abc import Sequence
from typing import Final

from loomwright.edits import Edit, Path, Verb
from loomwright.findings import Finding, Place, Severity
from loomwright.model.circuit import Cable, Circuit, LoomPlace, Spare
from loomwright.model.device import Connector, Pin
from loomwright.model.words import Join

NO_ROOM: Final = "SPLICE-01"


def _list(names: Sequence[str]) -> str:
    """Return "A", "A and B" or "A, B and C"."""
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))


def _cavities(number: int) -> str:
    return f"{number} cavit{'y' if number == 1 else 'ies'}"


def _circuit(circuit: Circuit, loom: str = "") -> Place:
    words = f"circuit {circuit.name}" + (f" in loom {loom}" if loom else "")
    return Place(words, circuit.path)


def _subject(circuit: str, loom: str = "") -> str:
    return f"{circuit} in {loom}" if loom else circuit


def circuit_not_carried_across(circuit: Circuit, groups: Sequence[Sequence[str]]) -> Finding:
    """JOIN-01: a circuit has pins in two looms, but nothing carries it from one to the other."""
    apart = " and ".join(f"[{', '.join(g)}]" for g in groups)
    return Finding(
        "JOIN-01",
        Severity.FAULT,
        _circuit(circuit),
        f"{circuit.name} has cavities in looms {apart}, and no cavity of a mating pair carries it across.",
        "A circuit crosses from loom to loom through cavities of a mating pair.",
        "Give it a cavity in both halves of a mating pair, or split it into two circuits.",
        subject=circuit.name,
        leaves_out=(f"{circuit.name} across",),
        misses=(f"{circuit.name} across",),
    )


def end_in_no_tree(end: str, pins: Sequence[Pin], path: Path) -> Finding:
    """JOIN-02: pins sit at a rope end that was measured in no loom; they are not wired."""
    what = f"cavity {pins[0].cavity}" if len(pins) == 1 else f"{len(pins)} cavities"
    return Finding(
        "JOIN-02",
        Severity.FAULT,
        Place(end, path),
        f"No rope leads to {end}, so {what} of it can't be wired.",
        "Every plug with wires has a place on a rope.",
        f"Measure the rope to {end} and enter the reading.",
        subject=end,
        misses=(end,),
    )


def mated_cavities_differ(a: Pin, b: Pin) -> Finding:
    """JOIN-03: two cavities that meet when a mating pair is plugged together hold different circuits."""
    return Finding(
        "JOIN-03",
        Severity.FAULT,
        Place(f"{a.id} and {b.id}", a.path),
        f"{a.id} carries {a.circuit}, but {b.id}, which meets it, carries {b.circuit}.",
        "Cavities that meet carry the same circuit.",
        "Enter the same circuit in both, or move one of them to another cavity.",
        subject=a.id,
        leaves_out=(f"{a.circuit} across", f"{b.circuit} across"),
    )


def nothing_opposite(pin: Pin, mate: str) -> Finding:
    """JOIN-04: a used cavity of a mating pair has an unused one opposite."""
    return Finding(
        "JOIN-04",
        Severity.CAUTION,
        Place(pin.id, pin.path),
        f"{pin.id} carries {pin.circuit}, but cavity {pin.cavity} of {mate} is empty.",
        "Cavities that meet carry the same circuit.",
        f"Enter {pin.circuit} in {mate} cavity {pin.cavity}, or take it out of {pin.id}.",
        subject=pin.id,
        leaves_out=(f"{pin.circuit} across",),
        misses=(f"{pin.circuit} across",),
    )


def too_few_cavities_home(circuit: Circuit, loom: str, wires: int, cavities: int) -> Finding:
    """JOIN-05: wires that should each have their own way home share cavities of a mating pair."""
    return Finding(
        "JOIN-05",
        Severity.CAUTION,
        _circuit(circuit, loom),
        f"{wires} wires of {circuit.name} lead home through {cavities} of the mating pair's cavities, "
        "so some are spliced together.",
        "Each has a cavity, and so a wire, of its own all the way.",
        f"Give {circuit.name} {wires - cavities} more in both halves of the mating pair.",
        subject=_subject(circuit.name, loom),
        misses=(f"{circuit.name} across",),
    )


def ground_without_stud(circuit: Circuit, loom: str) -> Finding:
    """JOIN-06: a power or chassis ground of three and more pins has no stud and is spliced."""
    return Finding(
        "JOIN-06",
        Severity.CAUTION,
        _circuit(circuit, loom),
        f"{circuit.name} has no stud, so its wires are spliced and share one wire home.",
        "Every cavity of a power ground has a wire of its own to a stud.",
        "Add a stud device and put the circuit on it.",
        subject=_subject(circuit.name, loom),
    )


def bus_branches(circuit: Circuit, loom: str, plugs: Sequence[str]) -> Finding:
    """JOIN-07: a bus leaves a loom through more than two mating pairs, so it can't be one line."""
    return Finding(
        "JOIN-07",
        Severity.CAUTION,
        _circuit(circuit, loom),
        f"{circuit.name} leaves the loom through {_list(plugs)}, so it branches.",
        "A bus is one line with a terminator at both ends.",
        "Bring it back through a second pair of cavities of the same plug, or move a node to another loom.",
        subject=_subject(circuit.name, loom),
    )


def groups_share_giver(circuit: Circuit, groups: Sequence[str], givers: int) -> Finding:
    """JOIN-08: there are fewer giver pins than groups, so groups share a wire home."""
    return Finding(
        "JOIN-08",
        Severity.CAUTION,
        _circuit(circuit),
        f"{circuit.name} has groups {_list(groups)} but is given by {_cavities(givers)}.",
        "Each group has a source cavity of its own, so that one can't take another down.",
        "Put the circuit on another cavity of what gives it, or name fewer groups.",
        subject=circuit.name,
    )


def critical_but_not_grouped(circuit: Circuit, pins: int, givers: int) -> Finding:
    """JOIN-09: a critical circuit has no groups and too few giver pins for a wire each; all share one."""
    return Finding(
        "JOIN-09",
        Severity.NOTE,
        _circuit(circuit),
        f"{circuit.name} is critical, has {_cavities(pins)} to serve from {givers} and names no groups; all "
        "of it hangs on one splice.",
        "A fault of a minor device can't take a critical one down.",
        "Name groups at its cavities and give each a source cavity.",
        subject=circuit.name,
    )


def stated_join_not_possible(circuit: Circuit, join: Join, why: str) -> Finding:
    """JOIN-10: the join the builder states can't be made; the circuit is joined by its kind."""
    return Finding(
        "JOIN-10",
        Severity.CAUTION,
        _circuit(circuit),
        f"{circuit.name} is to be joined by {join}, but {why}.",
        "A stated join can be made.",
        "Change the join, or add what it needs; until then the circuit is joined by its kind.",
        subject=circuit.name,
    )


def order_leaves_out(circuit: Circuit, loom: str, ends: Sequence[str]) -> Finding:
    """JOIN-11: the stated order of a bus leaves out nodes; they come last, in the order of the way."""
    return Finding(
        "JOIN-11",
        Severity.NOTE,
        _circuit(circuit, loom),
        f"The order of {circuit.name} doesn't name {_list(ends)}.",
        "An order names every node of the loom.",
        "Add them where they belong in the line.",
        subject=_subject(circuit.name, loom),
    )


def screen_not_drained(cable: Cable) -> Finding:
    """JOIN-12: a screened cable's screen reaches no pin of its drain circuit."""
    return Finding(
        "JOIN-12",
        Severity.CAUTION,
        Place(f"cable {cable.name}", cable.path),
        f"The screen of {cable.name} is drained nowhere."
        if cable.screen
        else f"{cable.name} is a screened cable and names no drain circuit.",
        "A screen is drained at one end, normally at the controller.",
        "Put its drain circuit on a cavity at the end where it is drained.",
        subject=cable.name,
    )


def screened_cable_spliced(cable: Cable, loom: str) -> Finding:
    """JOIN-13: a core of a screened cable is spliced, and so is its screen."""
    return Finding(
        "JOIN-13",
        Severity.CAUTION,
        Place(f"cable {cable.name} in loom {loom}", cable.path),
        f"A core of the screened cable {cable.name} is spliced, and so its screen has to be.",
        "Screened pairs run unbroken from end to end.",
        "Give each device its own cable, or take the circuit out of the cable.",
        subject=f"{cable.name} in {loom}",
    )


def lead_longer_than_way(connector: Connector, pin: str, lead_mm: float, way_mm: float) -> Finding:
    """JOIN-14: a pigtail or moulded lead is longer than the way, so no wire is left to join it to."""
    return Finding(
        "JOIN-14",
        Severity.CAUTION,
        Place(pin, connector.path),
        f"The lead at {pin} is {lead_mm:.0f} mm long, and the way to the wire's other end {way_mm:.0f} mm.",
        "A lead ends well before the other end of its wire.",
        "Shorten the lead and enter the shorter length; the joint is drawn where the lead would have to end.",
        subject=pin,
    )


def lead_length_not_told(connector: Connector) -> Finding:
    """JOIN-15: the length of a pigtail or moulded lead is not told; its joint is taken at the wire exit."""
    return Finding(
        "JOIN-15",
        Severity.NOTE,
        Place(connector.end, connector.path),
        f"{connector.end} comes as a {connector.supplied} of unknown length; "
        "its joints are taken at the wire exit.",
        "The joint sits where the lead ends.",
        "Measure the lead and enter lead_mm.",
        subject=connector.end,
    )


def spare_not_routed(spare: Spare, why: str) -> Finding:
    """JOIN-16: a spare wire's ends are not two points of one loom; it is left out."""
    return Finding(
        "JOIN-16",
        Severity.FAULT,
        Place(f"spare {spare.name}", spare.path),
        f"Spare {spare.name} can't be laid from {spare.a} to {spare.b}: {why}.",
        "A spare runs between two points of one loom.",
        "Name two ends or branch points of the same loom.",
        subject=spare.name,
        misses=(spare.a, spare.b),
    )


def studs_joined_by_metal(circuit: Circuit, studs: Sequence[str]) -> Finding:
    """JOIN-17: a ground uses several studs that only the metal between them joins."""
    return Finding(
        "JOIN-17",
        Severity.NOTE,
        _circuit(circuit),
        f"{circuit.name} uses the studs {_list(studs)}; only the metal between them joins them.",
        "Studs of one ground sit on the same bare metal, or a strap joins them.",
        "Check by meter that they are one potential under load.",
        subject=circuit.name,
    )


def giver_not_used(circuit: Circuit, pins: Sequence[str]) -> Finding:
    """JOIN-18: giver pins of a grouped circuit have no group to serve and stay without a wire."""
    return Finding(
        "JOIN-18",
        Severity.NOTE,
        _circuit(circuit),
        f"{_list(pins)} of {circuit.name} {'has' if len(pins) == 1 else 'have'} no group to serve and "
        f"{'gets' if len(pins) == 1 else 'get'} no wire.",
        "A used cavity has a wire.",
        "Take the circuit off the cavity, or name one more group.",
        subject=circuit.name,
    )


def no_room_for_splice(circuit: Circuit, loom: str, splice: str, place: LoomPlace) -> Finding:
    """SPLICE-01: no section has room for a splice clear of points, plugs, bends, ties and other splices."""
    return Finding(
        NO_ROOM,
        Severity.FAULT,
        _circuit(circuit, loom),
        f"No straight stretch is left for splice {splice}; "
        f"it is drawn at {place.mm:.0f} mm in {place.section}.",
        "A splice sits clear of branch points, plugs, bends, ties and other splices.",
        "Bring the circuit in on more cavities, move a tie, or lengthen a section before it is built.",
        subject=splice,
    )


def stated_place_breaks_rule(circuit: Circuit, loom: str, splice: str, place: LoomPlace, why: str) -> Finding:
    """SPLICE-02: the place the builder wants for a splice breaks a rule; it is kept."""
    return Finding(
        "SPLICE-02",
        Severity.CAUTION,
        _circuit(circuit, loom),
        f"Splice {splice} is to sit at {place.mm:.0f} mm in {place.section}: {why}.",
        "A splice sits clear of branch points, plugs, bends, ties and other splices.",
        "Move it, or take splice_at out and let the place be found.",
        mends=(Edit(Verb.REMOVE, (*circuit.path, "splice_at"), reason="let the place be found"),),
        subject=splice,
    )


def stated_place_unknown(circuit: Circuit, place: LoomPlace) -> Finding:
    """SPLICE-03: the place the builder wants for a splice is in no loom of the circuit, or none is needed."""
    return Finding(
        "SPLICE-03",
        Severity.CAUTION,
        _circuit(circuit),
        f"No splice of {circuit.name} can sit at {place.mm:.0f} mm in {place.section}.",
        "splice_at names a section of a loom where the circuit is spliced, and a length inside it.",
        "Name another place, or take splice_at out.",
        mends=(Edit(Verb.REMOVE, (*circuit.path, "splice_at"), reason="let the place be found"),),
        subject=circuit.name,
    )


def stub_too_long(circuit: Circuit, loom: str, splice: str, stub_mm: float, limit_mm: float) -> Finding:
    """SPLICE-04: the stub from a bus splice to its node is longer than the shop allows."""
    return Finding(
        "SPLICE-04",
        Severity.CAUTION,
        _circuit(circuit, loom),
        f"The stub from splice {splice} is {stub_mm:.0f} mm long.",
        f"Stubs of a bus are at most {limit_mm:.0f} mm long.",
        "Make room for the splice nearer to the node, or make the node an end of the line.",
        subject=splice,
    )


def better_place(
    circuit: Circuit, loom: str, splice: str, now: LoomPlace, better: LoomPlace, saves_mm: float
) -> Finding:
    """SPLICE-05: a kept splice place needs clearly more wire than another one would."""
    value: dict[str, str | float] = {"section": better.section, "mm": better.mm}
    return Finding(
        "SPLICE-05",
        Severity.NOTE,
        _circuit(circuit, loom),
        f"Splice {splice} is kept at {now.mm:.0f} mm in {now.section}; "
        f"at {better.mm:.0f} mm in {better.section} it would save {saves_mm:.0f} mm of wire.",
        "A splice sits where its wires are shortest.",
        "Move it if nothing of it is cut yet.",
        mends=(Edit(Verb.SET, ("circuit", circuit.name, "splice_at"), {**value}, "shorter wires"),),
        subject=splice,
    )


def kept_place_given_up(circuit: Circuit, loom: str, splice: str, kept: LoomPlace, why: str) -> Finding:
    """SPLICE-06: a splice can't stay where it was; it got another place."""
    return Finding(
        "SPLICE-06",
        Severity.NOTE,
        _circuit(circuit, loom),
        f"Splice {splice} was at {kept.mm:.0f} mm in {kept.section}: {why}. It got another place.",
        "A splice stays where it was while that breaks no rule.",
        "If it is already made, fix its place with splice_at.",
        subject=splice,
    )


def grouped_as_before(circuit: Circuit, loom: str, splices: int, fewer: int, saves_mm: float) -> Finding:
    """SPLICE-10: splices kept as they were grouped need clearly more than grouped anew."""
    gain = [f"{fewer} splice{'s' if fewer > 1 else ''} fewer"] if fewer > 0 else []
    gain += [f"about {saves_mm:.0f} mm less wire"] if saves_mm > 0 else []
    return Finding(
        "SPLICE-10",
        Severity.NOTE,
        _circuit(circuit, loom),
        f"{circuit.name} keeps its wires at the splice{'s' if splices > 1 else ''} they were given; "
        f"grouped anew it would take {_list(gain)}.",
        "What was cut and spliced stays together; what comes to it joins beside.",
        "Leave it; before the first wire is cut, deleting kept.toml numbers and groups all of the job anew.",
        subject=_subject(circuit.name, loom),
    )
