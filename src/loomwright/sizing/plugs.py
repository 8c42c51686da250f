"""The face of a plug: the builder's own, or the library's generic one."""

from functools import lru_cache

from loomwright.errors import LoomwrightError, OutOfRange
from loomwright.library.face_text import parse_faces
from loomwright.library.faces import Face, face
from loomwright.model.device import Connector
from loomwright.model.job import Job


def face_of(job: Job, connector: Connector) -> Face | None:
    """Return a connector's face as seen from the wire side; None where there is none or it can't be read."""
    if not connector.face:
        return None
    own = dict(job.faces).get(connector.face)
    if own is not None:
        return _own(connector.face, own)
    try:
        return face(connector.face)
    except OutOfRange:
        return None


@lru_cache(maxsize=256)
def _own(name: str, text: str) -> Face | None:
    try:
        found = parse_faces(text, f"face {name}")
    except LoomwrightError:
        return None
    return found[0] if found else None
