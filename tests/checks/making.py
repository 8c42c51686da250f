"""Jobs for the checks' tests: a clean base job, changed in a line or two, worked out; all invented."""

from dataclasses import replace
from pathlib import Path

from loomwright.building.build import build
from loomwright.checks.run import run
from loomwright.checks.worked import Worked
from loomwright.jobfile.read import job_of_text
from loomwright.mockup.trees import trees
from loomwright.routing.route import route
from loomwright.sizing.size import size_up

BASE = (Path(__file__).parent / "base.toml").read_text("utf-8")


def changed(*swaps, add=""):
    """The base job's text with some of it replaced and more added; every swap must hit."""
    text = BASE
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new, 1)
    return f"{text}\n{add}"


def worked(text=BASE):
    """A text worked out, with the findings of the rungs before the checks."""
    read = job_of_text(text)
    looms, from_rope = trees(read.job)
    routed = route(read.job, looms)
    sized = size_up(read.job, routed)
    built = build(read.job, routed, sized)
    earlier = (*read.findings, *from_rope, *routed.findings, *sized.findings, *built.findings)
    return Worked(read.job, routed, sized, built), earlier


def findings(text=BASE):
    """All findings of a text."""
    return run(*worked(text))


def codes(text=BASE):
    return {one.code for one in findings(text)}


def found(text, code):
    """The findings of one code; there is at least one."""
    rows = [one for one in findings(text) if one.code == code]
    assert rows, f"{code} not raised; raised: {sorted(codes(text))}"
    return rows


def with_conductors(one, **changes):
    """The same worked job with every conductor changed."""
    rows = tuple(replace(row, **changes) for row in one.sized.conductors)
    return replace(one, sized=replace(one.sized, conductors=rows))


def with_sized(one, **changes):
    return replace(one, sized=replace(one.sized, **changes))


def device(name, kind, section, cavities, **more):
    """A device and its section from B2, as TOML."""
    lines = [f"[device.{name}]", f'is = "{kind}"', 'area = "bay"', "settled = true"]
    lines += [f"{key} = {value}" for key, value in more.items()]
    lines += [f'cavity."{cavity}" = {text}' for cavity, text in cavities.items()]
    return "\n".join([*lines, f'[section."B2-{section or name}"]', "mm = 200", ""])
