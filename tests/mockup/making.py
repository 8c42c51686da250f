"""Small jobs of rope, written out."""

from loomwright.jobfile.read import job_of_text
from loomwright.model.job import Job

HEAD = '[job]\ntitle = "t"\n[loom.e]\ndatum = "D"\n'


def job(rope: str, ends: str = "", more: str = "") -> Job:
    """Return a job of one loom: its rope tables and ends by name, each with one pin."""
    devices = "".join(f'[device.{name}]\ncavity."1" = "c {name}"\n' for name in ends.split())
    return job_of_text(HEAD + devices + rope + "\n" + more).job
