"""What the library knows, as lists to choose from."""

from dataclasses import fields

from loomwright.jobfile.keys import INSTRUMENTS, MEASURED_TO, METHODS, PROTECTION_KINDS
from loomwright.library.coverings import covers, sleeves
from loomwright.library.faces import faces
from loomwright.library.kinds import Kind, kinds
from loomwright.library.wires import families
from loomwright.model.shop import Shop
from loomwright.model.words import CircuitKind, DeviceState, HazardKind, Join, Level, Side
from loomwright.sources import Figure

Plain = dict[str, object]


def library_view() -> Plain:
    """Return device kinds, faces and every closed list of words of the job file."""
    return {
        "kinds": [_kind(one) for one in kinds().values()],
        "faces": [{"name": x.name, "words": x.words, "cavities": list(x.ids)} for x in faces().values()],
        "circuit_kinds": list(CircuitKind),
        "sides": list(Side),
        "joins": list(Join),
        "states": list(DeviceState),
        "levels": list(Level),
        "hazards": list(HazardKind),
        "instruments": list(INSTRUMENTS),
        "measured_to": list(MEASURED_TO),
        "methods": list(METHODS),
        "fuse_kinds": list(PROTECTION_KINDS),
        "shop": [_shop_key(x.name, getattr(Shop(), x.name)) for x in fields(Shop)],
        "sleeves": sorted(sleeves()),
        "branch_covers": sorted(covers()),
        "wire_families": sorted(families()),
    }


def _shop_key(name: str, default: object) -> Plain:
    """A shop default with its mark, for the form in which the builder changes it."""
    if isinstance(default, Figure):
        return {"key": name, "default": default.value, "number": True, "mark": str(default.source)}
    words = ", ".join(default) if isinstance(default, tuple) else str(default)
    return {"key": name, "default": words, "number": False, "list": isinstance(default, tuple), "mark": ""}


def _kind(one: Kind) -> Plain:
    cavities = [
        {"cavity": x.cavity, "words": x.words, "kind": str(x.kind), "side": str(x.side), "amps": x.amps}
        for x in one.cavities
    ]
    return {
        "name": one.name,
        "words": one.words,
        "family": one.family,
        "face": one.face,
        "cavities": cavities,
    }
