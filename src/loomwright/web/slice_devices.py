"""Slices of devices with their cavities, and of circuits."""

from loomwright.job import WorkedJob
from loomwright.library.faces import faces, faces_by_name
from loomwright.library.kinds import kinds
from loomwright.model.device import Connector, Device, Pin
from loomwright.routing.routed import Routed

Plain = dict[str, object]


def devices_slice(done: WorkedJob) -> list[Plain]:
    """Return all devices with connectors and cavities, used and free, in the order of the file."""
    known = faces_by_name((*faces().values(), *done.read.faces))
    cavities = {name: list(face.ids) for name, face in known.items()}
    return [_device(one, done, cavities) for one in done.worked.job.devices]


def _device(one: Device, done: WorkedJob, cavities: dict[str, list[str]]) -> Plain:
    return {
        "name": one.name,
        "is": one.kind,
        "words": one.words,
        "family": one.family,
        "state": str(one.state),
        "area": one.area,
        "settled": one.settled,
        "note": one.note,
        "tap": one.tap is not None,
        "driver": one.driver,
        "signal": one.signal,
        "path": list(one.path),
        "connectors": [_connector(x, one, done.worked.routed, cavities) for x in one.connectors],
    }


def _connector(one: Connector, device: Device, routed: Routed, cavities: dict[str, list[str]]) -> Plain:
    used = {pin.cavity for pin in one.pins}
    known = kinds().get(device.kind)
    usual = [x.cavity for x in known.cavities] if known and len(device.connectors) == 1 else []
    words = {x.cavity: x.words for x in known.cavities} if known else {}
    names = cavities.get(one.face) or usual
    return {
        "end": one.end,
        "name": one.name,
        "face": one.face,
        "face_checked": one.face_checked,
        "contact": one.contact,
        "supplied": str(one.supplied),
        "mates": one.mates,
        "boot": one.boot,
        "fixed": one.fixed,
        "depth_mm": one.depth_mm,
        "order": names,
        "path": list(one.path),
        "pins": [_pin(pin, routed) for pin in one.pins],
        "free": [{"cavity": name, "words": words.get(name, "")} for name in names if name not in used],
    }


def _pin(pin: Pin, routed: Routed) -> Plain:
    return {
        "id": pin.id,
        "cavity": pin.cavity,
        "circuit": pin.circuit,
        "kind": str(pin.kind),
        "side": str(pin.side),
        "words": pin.words,
        "amps": pin.amps,
        "peak_amps": pin.peak_amps,
        "duty": pin.duty,
        "wires": [wire.label for wire in routed.at_pin.get(pin.id, ())],
        "path": list(pin.path),
    }


def circuits_slice(done: WorkedJob) -> list[Plain]:
    """Return all circuits with pins, wires, joins and what protects them, sorted by name."""
    job, routed = done.worked.job, done.worked.routed
    joins: dict[str, list[Plain]] = {}
    for x in routed.joins:
        joins.setdefault(x.circuit, []).append({"loom": x.loom, "join": str(x.join), "reason": x.reason})
    fuses: dict[str, list[str]] = {}
    for fuse in job.protections:
        fuses.setdefault(fuse.load, []).append(fuse.name)
    return [
        {
            "name": one.name,
            "kind": str(one.kind),
            "declared": one.declared,
            "join": str(one.join) if one.join else "",
            "amps": one.amps,
            "size": one.size,
            "family": one.family,
            "colour": one.colour,
            "reason": one.reason,
            "joins": joins.get(one.name, []),
            "fuses": fuses.get(one.name, []),
            "pins": [pin.id for pin in job.pins_of.get(one.name, ())],
            "wires": [wire.label for wire in routed.wires_of.get(one.name, ())],
            "path": list(one.path),
        }
        for one in sorted(job.circuits, key=lambda x: x.name)
    ]
