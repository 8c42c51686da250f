"""What the library knows, as lists to choose from."""

from loomwright.jobfile.keys import INSTRUMENTS, MEASURED_TO, METHODS, PROTECTION_KINDS
from loomwright.library.faces import faces
from loomwright.library.kinds import Kind, kinds
from loomwright.model.words import CircuitKind, DeviceState, HazardKind, Join, Level, Side

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
    }


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
