"""The face of a plug: the builder's own, or the library's generic one."""

from loomwright.library.faces import Face, face_named
from loomwright.model.device import Connector
from loomwright.model.job import Job


def face_of(job: Job, connector: Connector) -> Face | None:
    """Return a connector's face as seen from the wire side; None where there is none or it can't be read."""
    return face_named(connector.face, job.faces)
