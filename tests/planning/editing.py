"""Random edits of random jobs, and whole states worked out from them."""

from dataclasses import replace

from hypothesis import strategies as st

from loomwright.building.build import build
from loomwright.checks.worked import Worked
from loomwright.model.job import Job
from loomwright.model.tree import Tree
from loomwright.pack.cut_list import cut_list
from loomwright.pack.view import View
from loomwright.records.issued_done import Done
from loomwright.routing import kept_from, route
from loomwright.sizing.size import size_up
from loomwright.sources import BUILDER, Figure


def state(job, trees):
    """A job worked out, without its findings."""
    routed = route(job, trees)
    sized = size_up(job, routed)
    return Worked(job, routed, sized, build(job, routed, sized))


def kept(before: Worked):
    """What is kept of a state for the next one."""
    sizes = tuple(sorted((row.wire, row.size.label) for row in before.sized.conductors))
    return replace(kept_from(before.routed, before.job.kept), sizes=sizes)


def printed(one: Worked):
    """The cut list as printed, by wire."""
    tables = cut_list(View(one, ())).blocks
    return {row[0]: row for table in tables for row in table.rows}


@st.composite
def edited(draw, job: Job, trees: tuple[Tree, ...]):
    """A job and its trees after one to three late changes."""
    for _ in range(draw(st.integers(1, 3))):
        job, trees = draw(st.sampled_from(EDITS))(draw, job, trees)
    return job, trees


def _without_device(draw, job, trees):
    if not job.devices:  # an edit before took the last one
        return job, trees
    gone = draw(st.sampled_from([d.name for d in job.devices]))
    devices = tuple(d for d in job.devices if d.name != gone)
    left = {p.circuit for d in devices for p in d.pins}
    return replace(job, devices=devices, circuits=tuple(c for c in job.circuits if c.name in left)), trees


def _other_length(draw, job, trees):
    tree = draw(st.sampled_from([t for t in trees if t.sections]))
    one = draw(st.sampled_from(tree.sections))
    longer = replace(one, length_mm=max(20.0, one.length_mm + draw(st.integers(-120, 120))))
    sections = tuple(longer if s is one else s for s in tree.sections)
    return job, tuple(replace(tree, sections=sections) if t is tree else t for t in trees)


def _other_shop(draw, job, trees):
    trim, step = draw(st.integers(0, 150)), draw(st.sampled_from([1.0, 5.0, 10.0]))
    shop = replace(job.shop, trim_mm=Figure(float(trim), BUILDER), cut_step_mm=Figure(step, BUILDER))
    return replace(job, shop=shop), trees


def _other_size(draw, job, trees):
    if not job.circuits:
        return job, trees
    name = draw(st.sampled_from([c.name for c in job.circuits]))
    size = draw(st.sampled_from(["1", "1.5", "2.5"]))
    circuits = tuple(replace(c, size=size, reason="told") if c.name == name else c for c in job.circuits)
    return replace(job, circuits=circuits), trees


def _other_cavity(draw, job, trees):
    rich = [d for d in job.devices if d.connectors[0].pins]
    if not rich:
        return job, trees
    one = draw(st.sampled_from(rich))
    plug = one.connectors[0]
    moved = draw(st.sampled_from(plug.pins))
    pins = tuple(replace(p, cavity="77") if p is moved else p for p in plug.pins)
    other = replace(one, connectors=(replace(plug, pins=pins), *one.connectors[1:]))
    return replace(job, devices=tuple(other if d is one else d for d in job.devices)), trees


def _other_name(draw, job, trees):
    if not job.circuits:
        return job, trees
    name = draw(st.sampled_from([c.name for c in job.circuits]))

    def called(text):
        return f"{name} anew" if text == name else text

    devices = tuple(
        replace(
            d,
            connectors=tuple(
                replace(c, pins=tuple(replace(p, circuit=called(p.circuit)) for p in c.pins))
                for c in d.connectors
            ),
        )
        for d in job.devices
    )
    circuits = tuple(replace(c, name=called(c.name)) for c in job.circuits)
    cables = tuple(replace(c, circuits=tuple(map(called, c.circuits))) for c in job.cables)
    return replace(job, devices=devices, circuits=circuits, cables=cables), trees


EDITS = (_without_device, _other_length, _other_shop, _other_size, _other_cavity, _other_name)


@st.composite
def ticked(draw, before: Worked):
    """Anything of a state done already."""

    def some(names):
        return frozenset(draw(st.lists(st.sampled_from(names), unique=True))) if names else frozenset()

    trees = before.routed.trees
    return Done(
        cut=some([w.label for w in before.routed.wires]),
        spliced=some([s.name for s in before.routed.splices]),
        sheathed=some([f"{t.loom}/{s.name}" for t in trees for s in t.sections]),
        closed=some([f"{t.loom}/{p}" for t in trees for p in t.branch_points]),
    )
