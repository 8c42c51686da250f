"""Alternatives to the tree with their prices, side by side, for the plan's page."""

from collections.abc import Sequence
from typing import Final

from loomwright.edits import Edit
from loomwright.job import WorkedJob, work_out_tried
from loomwright.jobfile.edit_log import edits_as_json
from loomwright.jobfile.read import ReadJob
from loomwright.planning.alternatives import Alternative, Progress, alternatives
from loomwright.planning.price import Price
from loomwright.web.views.drawn import Plain

EXACT: Final = 8
MOST_EXACT: Final = 40
MOST_ROUGH: Final = 20  # of those with a quick figure alone; ours
GRAMS: Final = 1000.0


def alternatives_view(read: ReadJob, exact: int = EXACT, progress: Progress | None = None) -> Plain:
    """Return the present tree's price and what could be built instead, the best first.

    Args:
        read: the job
        exact: how many of the promising ones are worked out, 1 to 40
        progress: told how far it is
    """

    def work(edits: Sequence[Edit]) -> WorkedJob:
        return work_out_tried(read, edits)

    found = alternatives(work, max(1, min(exact, MOST_EXACT)), progress)
    rough = [one for one in found.found if one.price is None and not one.lost]
    return {
        "present": _price(found.present),
        "exact": [_alternative(one) for one in found.exact],
        "rough": [_alternative(one) for one in rough[:MOST_ROUGH]],
        "more_rough": max(0, len(rough) - MOST_ROUGH),
        "unpriced": list(found.present.unpriced),
    }


def _alternative(one: Alternative) -> Plain:
    return {
        "name": one.name,
        "words": one.words,
        "about": one.about,
        "price": _price(one.price) if one.price is not None else None,
        "again": [key.partition("/")[2] for key in one.again],
        "faults": list(one.faults),
        "sound": one.sound,
        "edits": edits_as_json(one.edits),
    }


def _price(one: Price) -> Plain:
    return {
        "money": one.money,
        "goods": one.goods_money,
        "wire_mm": one.mm_of("wire", "cable"),
        "sheath_mm": one.sheath_mm,
        "branch_points": one.branch_points,
        "hours": one.minutes / 60.0,
        "kg": one.mass.total_g / GRAMS,
    }
