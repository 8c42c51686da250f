"""A worked-out job as the papers look at it: wires, ends and sizes in the same words everywhere."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from loomwright.building.built import Built
from loomwright.building.cautions import cautions_for
from loomwright.building.halves import contact_halves, face_of_half
from loomwright.checks.run import stamped_sheets
from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.library.face import Face
from loomwright.library.wires import WireSize
from loomwright.model.circuit import Cable
from loomwright.model.device import Connector, Device
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.model.words import DeviceState, Supplied
from loomwright.pack.pages import NOT_FOR_BUILD
from loomwright.planning.price_words import ON_STUD as ON_STUD
from loomwright.planning.price_words import colour_words as colour_words
from loomwright.planning.price_words import many as many
from loomwright.planning.price_words import plugged_cavity as plugged_cavity
from loomwright.planning.price_words import size_words as size_words
from loomwright.routing.routed import EndKind, Routed, Wire, WireEnd
from loomwright.sizing.sized import Sized
from loomwright.sources import Source

END_WORDS: Final = (
    (EndKind.JOINT, "joint at {}"),
    (EndKind.SEALED, "sealed at {}"),
    (EndKind.DRAIN_CUT, "screen cut back at {}"),
)


@dataclass(frozen=True)
class View:
    """What every paper is made from.

    Attributes:
        worked: job with everything derived from it
        findings: all findings, accepted ones marked
        digest: digest printed on every sheet
        issued: date as text
    """

    worked: Worked
    findings: tuple[Finding, ...]
    digest: str = ""
    issued: str = ""

    @property
    def job(self) -> Job:
        """The job."""
        return self.worked.job

    @property
    def routed(self) -> Routed:
        """Wires, splices and trees."""
        return self.worked.routed

    @property
    def sized(self) -> Sized:
        """Lengths, conductors, bundles, coverings."""
        return self.worked.sized

    @property
    def built(self) -> Built:
        """Board, build order, labels."""
        return self.worked.built

    @property
    def trees(self) -> tuple[Tree, ...]:
        """The looms' trees."""
        return self.worked.routed.trees

    @cached_property
    def stamped(self) -> frozenset[str]:
        """Sheets an unaccepted fault touches."""
        return stamped_sheets(self.findings)

    @cached_property
    def wires_of_loom(self) -> dict[str, tuple[Wire, ...]]:
        """Wires of every loom, by number."""
        ordered = sorted(self.routed.wires, key=lambda w: w.number)
        return {t.loom: tuple(w for w in ordered if w.loom == t.loom) for t in self.trees}

    @cached_property
    def devices(self) -> tuple[Device, ...]:
        """Devices that stay or come."""
        return tuple(d for d in self.job.devices if d.state is not DeviceState.REMOVED)

    @cached_property
    def connectors(self) -> tuple[Connector, ...]:
        """Their connectors."""
        return tuple(c for d in self.devices for c in d.connectors)

    @cached_property
    def loom_of_end(self) -> dict[str, str]:
        """The loom a rope end hangs on."""
        return {end: t.loom for t in self.trees for end in t.ends}

    @cached_property
    def cables(self) -> dict[str, Cable]:
        """Cables by name."""
        return {c.name: c for c in self.job.cables}

    @cached_property
    def halves(self) -> Mapping[str, str]:
        """Pins or sockets at every end of a mating pair, "" where the builder chooses."""
        return contact_halves(self.job, self.trees)

    def face(self, plug: Connector) -> Face | None:
        """A plug's face from its own wire side, None where none is known."""
        return face_of_half(self.job, self.halves, plug)

    def stamps(self, sheet: str) -> tuple[str, ...]:
        """Return NOT FOR BUILD where an unaccepted fault touches a sheet, as findings name it."""
        return (NOT_FOR_BUILD,) if sheet in self.stamped else ()

    def cautions(self, *phases: str) -> tuple[str, ...]:
        """Return the cautions of phases of the build, each once."""
        return tuple(dict.fromkeys(c.words for phase in phases for c in cautions_for(self.job, phase)))

    def size(self, wire: Wire) -> WireSize:
        """Return a wire's conductor."""
        return self.sized.conductor[wire.identity].size

    def titled(self, loom: str) -> str:
        """Return a table's title for a loom, "" where the job has one loom only."""
        return f"Loom {loom}" if len(self.trees) > 1 else ""

    def labels(self, identities: Iterable[str]) -> str:
        """Return the numbers of wires in a row."""
        found = sorted((self.routed.wire[i] for i in identities), key=lambda w: w.number)
        return ", ".join(w.label for w in found)

    def circuit_words(self, wire: Wire) -> str:
        """Return a wire's circuit, with the cable it is part of."""
        cable = self.cables.get(wire.cable)
        if cable is None:
            return wire.circuit
        what = "screen of" if wire.screen else cable.kind.split()[-1]
        return f"{wire.circuit} ({what} {cable.name})"


def end_words(end: WireEnd) -> str:
    """Return what a wire ends in: "INJ1:1", "SP3", "sealed at B4"."""
    return dict(END_WORDS).get(end.kind, "{}").format(end.name)


def other_end(wire: Wire, name: str) -> WireEnd:
    """Return the end of a wire that is not `name`."""
    return wire.b if wire.a.name == name else wire.a


def supplied_words(connector: Connector) -> str:
    """Return how a plug comes."""
    if connector.supplied is Supplied.PLUG or connector.lead_mm is None:
        return str(connector.supplied)
    return f"{connector.supplied}, {connector.lead_mm:.0f} mm"


def half_words(view: View, plug: Connector) -> str:
    """Return which half of a mating pair a plug is, and which the other; "" where it mates with a device."""
    if plug.mates not in view.job.connector:
        return ""
    found = []
    for end in (plug.end, plug.mates):
        kind = view.halves.get(end) or "pins or sockets by choice"
        loom = view.loom_of_end.get(end)
        name = "this half" if end == plug.end else end
        found.append(f"{name} {kind}, " + (f"on loom {loom}" if loom else "on no loom yet"))
    return "; ".join(found)


def section_words(key: str, loom_too: bool) -> str:
    """Return a section's name, with its loom where the job has several."""
    loom, name = key.split("/", 1)
    return f"{loom}: {name}" if loom_too else name


def mark_words(source: Source) -> str:
    """Return the mark of a source alone; its text stands below the table."""
    return str(source.mark)


def sources_note(sources: Iterable[Source]) -> str:
    """Return the texts of sources in one line, each once, in alphabetical order."""
    texts = sorted({str(s) for s in sources if s.text})
    return f"Sources: {'; '.join(texts)}." if texts else ""


def share_words(part: float) -> str:
    """Return a share in percent: "15 %"."""
    return f"{100 * part:g} %"


def by_loom(view: View) -> Iterator[tuple[Tree, tuple[Wire, ...]]]:
    """Yield every loom with its wires."""
    return ((tree, view.wires_of_loom[tree.loom]) for tree in view.trees)
