"""Both faces of a plug as data: the pack's own drawing, with what sits in every cavity."""

from loomwright.building.halves import contact_halves, face_of_half
from loomwright.job import WorkedJob
from loomwright.library.face import Face, mating_side
from loomwright.model.device import Connector, Pin
from loomwright.pack.draw_faces import face_drawings, wire_words
from loomwright.pack.marks import Drawing, flat
from loomwright.pack.view import colour_words
from loomwright.routing.routed import Wire
from loomwright.sizing.plugs import face_of
from loomwright.web.views.drawn import Plain, drawing_view, mark_view

CAVITY: str = "cavity"  # layer of the one mark that is a cavity's outline


def ends_view(done: WorkedJob) -> list[Plain]:
    """Return every plug of the devices that stay or come: its end name, device and cavities in use."""
    found: list[Plain] = []
    for device in done.worked.job.wired:
        for plug in device.connectors:
            face = face_of(done.worked.job, plug)
            found.append(
                {
                    "end": plug.end,
                    "device": device.name,
                    "words": device.words,
                    "face": face.name if face else "",
                    "used": len(plug.pins),
                    "cavities": len(face.cavities) if face else len(plug.pins),
                }
            )
    return found


def face_view(done: WorkedJob, end: str) -> Plain | None:
    """Return wire side and mating side of a plug, and its cavities; None where there is no such plug.

    Args:
        done: the job worked out
        end: the plug's end name, "ECU.A"

    Returns:
        `sides`: the pack's drawings in mm, each with the outline of every cavity by its number;
        empty where no face is known, so that the page falls back to a list.
    """
    job, routed = done.worked.job, done.worked.routed
    plug = job.connector.get(end)
    if plug is None:
        return None
    face = face_of_half(job, contact_halves(job, routed.trees), plug)
    drawn = face_drawings(face, plug, wire_words(routed, plug))
    sides: list[Plain] = []
    if face is not None and drawn is not None:
        seen = (face, mating_side(face))
        sides = [_side(one, drawing) for one, drawing in zip(seen, drawn, strict=True)]
    device = job.device[plug.device]
    return {
        "end": plug.end,
        "device": device.name,
        "words": device.words,
        "face": face.name if face else plug.face,
        "checked": bool(face and (plug.face_checked or face.checked)),
        "path": list(plug.path),
        "sides": sides,
        "cavities": _cavities(done, plug, face),
    }


def _side(face: Face, drawing: Drawing) -> Plain:
    """A side's drawing; every cavity has one mark of its layer, in the order of the face."""
    outlines = [
        one for one in flat(drawing.marks) if not _is_text(one) and getattr(one, "layer", "") == CAVITY
    ]
    cavities = [
        {"id": cavity.id, "outline": mark_view(outline, drawing.height_mm)}
        for cavity, outline in zip(face.cavities, outlines, strict=True)
    ]
    return {"caption": face.view, "cavities": cavities, **drawing_view(drawing)}


def _is_text(mark: object) -> bool:
    return hasattr(mark, "text")


def _cavities(done: WorkedJob, plug: Connector, face: Face | None) -> list[Plain]:
    pins = {pin.cavity: pin for pin in plug.pins}
    order = [one.id for one in face.cavities] if face else []
    order += [cavity for cavity in pins if cavity not in order]
    return [_cavity(done, plug, cavity, pins.get(cavity)) for cavity in order]


def _cavity(done: WorkedJob, plug: Connector, cavity: str, pin: Pin | None) -> Plain:
    found: Plain = {"cavity": cavity, "pin": f"{plug.end}:{cavity}", "circuit": "", "words": "", "wires": []}
    if pin is not None:
        wires = sorted(done.worked.routed.at_pin.get(pin.id, ()), key=lambda one: one.number)
        found |= {
            "circuit": pin.circuit,
            "words": pin.words,
            "path": list(pin.path),
            "wires": [_wire(done, one, pin.id) for one in wires],
        }
    return found


def _wire(done: WorkedJob, wire: Wire, pin: str) -> Plain:
    conductor = done.worked.sized.conductor.get(wire.identity)
    other = wire.b if wire.a.name == pin else wire.a
    return {
        "label": wire.label,
        "colour": wire.colour,
        "colour_words": colour_words(wire.colour) if wire.colour else "",
        "size": conductor.size.label if conductor else "",
        "system": conductor.size.system if conductor else "",
        "to": other.name,
    }
