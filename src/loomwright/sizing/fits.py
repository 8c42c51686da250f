"""Does every wire fit its contact, the insulation grip and the seal."""

from loomwright.calc.contacts import ContactFit, Window, contact_fit
from loomwright.calc.contacts import Fit as Verdict
from loomwright.errors import OutOfRange
from loomwright.library.contacts import ContactClass, contact, contacts_of_size
from loomwright.library.wires import WireSize
from loomwright.model.device import Connector, Pin
from loomwright.model.job import Job
from loomwright.routing.routed import EndKind, Wire
from loomwright.sizing.plugs import face_of
from loomwright.sizing.sized import Fit


def fits_of(job: Job, wire: Wire, size: WireSize) -> tuple[Fit, ...]:
    """Return how a wire fits at each end that is a contact; an end without a known contact says so."""
    return tuple(fit_at(job, end.name, size) for end in (wire.a, wire.b) if end.kind is EndKind.PIN)


def contact_at(job: Job, pin_id: str, size: WireSize | None = None) -> ContactClass | None:
    """Return the contact class at a pin: the pin's, the connector's, or one of its cavity's size on the face.

    Args:
        size: the wire; among several classes of the cavity's size the first that takes its copper is meant,
            else the one whose range comes nearest
    """
    connector, pin = job.connector[pin_id.rsplit(":", 1)[0]], job.pin[pin_id]
    named = pin.contact or connector.contact
    if named:
        try:
            return contact(named)
        except OutOfRange:
            return None
    offered = contacts_of_size(cavity_size(job, connector, pin)) if connector.face else ()
    if size is None:
        return next(iter(offered), None)
    return min(offered, key=lambda one: _off_mm2(one, size.area_mm2), default=None)


def _off_mm2(kind: ContactClass, area_mm2: float) -> float:
    """How far a wire's copper lies outside what a contact takes, 0 = inside [mm2]."""
    return max(kind.mm2_min - area_mm2, area_mm2 - kind.mm2_max, 0.0)


def cavity_size(job: Job, connector: Connector, pin: Pin) -> str:
    """Return the size class of a pin's cavity on its plug's face, "" where there is none."""
    found = face_of(job, connector)
    cavity = found.cavity(pin.cavity) if found is not None else None
    return cavity.size_class if cavity is not None else ""


def fit_at(job: Job, pin_id: str, size: WireSize) -> Fit:
    """Return how a wire fits the contact or the ring at a pin."""
    kind = contact_at(job, pin_id, size)
    if kind is None:
        return Fit(pin_id, "", "not known", "not known", "not known", "no contact class given", size.source)
    found = contact_fit(
        size.area_mm2,
        min(size.od_nom_mm, size.od_max_mm),
        size.od_max_mm,
        area=Window(kind.mm2_min, kind.mm2_max),
        grip=_window(kind.insulation_od_min_mm, kind.insulation_od_max_mm),
        seal=_window(kind.seal_od_min_mm, kind.seal_od_max_mm),
    )
    return Fit(
        pin=pin_id,
        contact=kind.name,
        conductor=_word(found.area),
        insulation=_word(found.grip),
        seal=_word(found.seal),
        words=_words(found, kind, size),
        source=kind.source,
    )


def _window(low: float | None, high: float | None) -> Window | None:
    return Window(low, high) if low is not None and high is not None else None


def _word(verdict: Verdict) -> str:
    return {Verdict.OK: "fits", Verdict.UNKNOWN: "not known"}.get(verdict, str(verdict))


def _words(found: ContactFit, kind: ContactClass, size: WireSize) -> str:
    said = []
    if found.area not in (Verdict.OK, Verdict.UNKNOWN):
        said.append(
            f"{size.area_mm2:.2f} mm2 of copper is {found.area} for {kind.mm2_min:g} to {kind.mm2_max:g} mm2"
        )
    if found.grip not in (Verdict.OK, Verdict.UNKNOWN):
        said.append(
            f"insulation {size.od_nom_mm:.2f} to {size.od_max_mm:.2f} mm is {found.grip} for the grip"
        )
    if found.seal not in (Verdict.OK, Verdict.UNKNOWN):
        more = f", build up {found.build_up_mm:.2f} mm" if found.build_up_mm > 0 else ""
        said.append(
            f"insulation {size.od_nom_mm:.2f} to {size.od_max_mm:.2f} mm is {found.seal} for the seal{more}"
        )
    return "; ".join(said)
