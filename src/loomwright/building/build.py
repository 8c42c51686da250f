"""Everything the bench needs besides sizes, in one call."""

from loomwright.building.board import board
from loomwright.building.build_order import build_order
from loomwright.building.built import Built
from loomwright.building.ends import ends_of
from loomwright.building.exit_paths import loom_exits
from loomwright.building.grouping import exit_groups
from loomwright.building.grouping_lie import section_lies
from loomwright.building.labels import labels
from loomwright.building.slide_on import slide_on
from loomwright.model.job import Job
from loomwright.routing.routed import Routed
from loomwright.sizing.sized import Sized


def build(job: Job, routed: Routed, sized: Sized, boards: bool = True) -> Built:
    """Return forming boards, slide-on order, build order, labels and exits of a sized job.

    Args:
        job: choices and kept board angles
        routed: trees and wires
        sized: lengths, sleeves, splices
        boards: whether forming boards are laid out, too; they take longest, and cost nothing that is counted
    """
    exits = tuple(loom_exits(job, tree) for tree in routed.trees)
    leaving = {one.loom: one.leaving for one in exits}
    groups = exit_groups(routed, leaving)
    ends = {tree.loom: ends_of(job, tree, routed, sized) for tree in routed.trees}
    texts = labels(job, routed, ends)
    steps, findings = build_order(job, routed, sized, ends, groups)
    return Built(
        exits=exits,
        boards=tuple(
            board(job, tree, routed, sized, leaving[tree.loom])
            for tree in routed.trees
            if tree.sections and boards
        ),
        slide_on=slide_on(routed, sized, ends, texts),
        steps=steps,
        labels=texts,
        exit_groups=groups,
        findings=findings,
        lies=section_lies(routed, exits),
    )
