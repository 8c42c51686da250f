"""Jobs for the sizing tests: told by their text, worked out as far as sizes."""

from dataclasses import dataclass

from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees
from loomwright.model.job import Job
from loomwright.routing.route import route
from loomwright.routing.routed import Routed, Wire
from loomwright.sizing.size import size_up
from loomwright.sizing.sized import Conductor, Sized, WireLength

HEAD = """format = 1
[job]
title = "invented"
[throttle]
linkage = "none"
[area.bay]
air_c = 60
[loom.engine]
datum = "D"
area = "bay"
"""


@dataclass(frozen=True)
class Made:
    """A job, its wires and their sizes."""

    job: Job
    routed: Routed
    sized: Sized

    def wire(self, *ends: str) -> Wire:
        """Return the one wire at all of these pins or splices."""
        (found,) = (w for w in self.routed.wires if set(ends) <= {w.a.name, w.b.name})
        return found

    def conductor(self, *ends: str) -> Conductor:
        return self.sized.conductor[self.wire(*ends).identity]

    def length(self, *ends: str) -> WireLength:
        return self.sized.length[self.wire(*ends).identity]


def made(text: str, kept_words: str = "") -> Made:
    """Return the job of a text below the head; a fault of reading or of the rope fails the test."""
    read = job_of_text(HEAD + text, kept_words)
    assert not read.findings, read.findings
    looms, faults = trees(read.job)
    assert not faults, faults
    routed = route(read.job, looms)
    return Made(read.job, routed, size_up(read.job, routed))


def pin(cavity: str, circuit: str, kind: str, side: str, **more: object) -> str:
    """Return one cavity's line."""
    said = "".join(
        f', {name} = "{v}"' if isinstance(v, str) else f", {name} = {v}" for name, v in more.items()
    )
    return f'cavity."{cavity}" = {{ circuit = "{circuit}", kind = "{kind}", side = "{side}"{said} }}\n'


def device(name: str, family: str, *pins: str, more: str = "") -> str:
    """Return one device's table."""
    return f'[device.{name}]\nfamily = "{family}"\n{more}{"".join(pins)}'


def section(inner: str, outer: str, mm: float) -> str:
    """Return a section measured by itself."""
    return f'[section."{inner}-{outer}"]\nloom = "engine"\nmm = {mm}\n'
