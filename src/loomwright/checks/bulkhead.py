"""Through the bulkhead: what has to pass the hole, and in which order."""

from collections.abc import Iterator
from typing import Final

from loomwright.checks.entry import CAUTION, FAULT, NOTE, Entry
from loomwright.checks.looking import cited, many, named
from loomwright.checks.worked import Worked
from loomwright.edits import Edit, Verb
from loomwright.findings import Finding
from loomwright.model.job import Job, Loom
from loomwright.model.tree import Tree
from loomwright.sizing.sized import Grommet
from loomwright.sources import MEMORY, PRACTICE, Mark, Source

HOLE_01: Final = Entry(
    "HOLE-01",
    "Does not pass the bulkhead hole",
    FAULT,
    "Found on the day of fitting, it costs a cut plug or a bigger hole.",
    Source(Mark.PRACTICE, "diagonal of the housing and 3 mm; bare contacts 1.3 x the bundle"),
    ("build order", "route"),
)
HOLE_02: Final = Entry(
    "HOLE-02",
    "No grommet suits hole and loom",
    NOTE,
    "The list knows none with this hole and bore.",
    MEMORY,
    ("parts",),
)
HOLE_03: Final = Entry(
    "HOLE-03",
    "Not told which ends go through the hole",
    NOTE,
    "The build order can't say which housings wait until the loom is through.",
    PRACTICE,
    ("build order",),
)
HOLE_04: Final = Entry(
    "HOLE-04",
    "Housing through the hole, size not told",
    CAUTION,
    "Nobody can say whether it passes.",
    PRACTICE,
    ("build order",),
)
ENTRIES: Final = (HOLE_01, HOLE_02, HOLE_03, HOLE_04)


def through_the_hole(worked: Worked) -> Iterator[Finding]:
    """HOLE-01, HOLE-02: the biggest thing against the hole; a grommet for it."""
    looms = {loom.name: loom for loom in worked.job.looms}
    for one in worked.sized.grommets:
        loom = looms.get(one.loom)
        if loom is None:
            continue
        if not one.passes:
            yield _too_big(worked.job, loom, one)
        elif "no grommet" in one.words and one.od_mm > 0:
            yield HOLE_02.at(
                loom.datum,
                loom.path,
                f"No grommet on the list fits a {one.hole_mm:.0f} mm hole and a loom of {one.od_mm:.1f} mm.",
                f"Its bore is 0.5 to 1.5 mm smaller than the loom, about {one.inside_mm:.1f} mm [common "
                f"practice].",
                "Take a cone or two-part grommet cut to the loom, or another hole.",
                subject=loom.name,
            )


def _too_big(job: Job, loom: Loom, one: Grommet) -> Finding:
    end = one.biggest.removeprefix("housing of ")
    connector = job.connector.get(end)
    mends = (
        (Edit(Verb.SET, (*connector.path, "through_bulkhead"), "after", "housing does not pass the hole"),)
        if connector is not None
        else ()
    )
    remedy = (
        f"Fit the housing of {end} after the loom is through: bare contacts pass."
        if connector is not None
        else "Make the hole bigger, or split the loom there with a plug."
    )
    return HOLE_01.at(
        loom.datum,
        loom.path,
        f"The hole is {one.hole_mm:.0f} mm, and {one.biggest} needs {one.biggest_mm:.0f} mm.",
        f"Everything fitted before passes the hole {cited(one.source)}.",
        remedy,
        subject=loom.name,
        mends=mends,
    )


def _sides(job: Job, tree: Tree) -> dict[str, list[str]]:
    """The loom's plugs by the side of the bulkhead their device lies on."""
    found: dict[str, list[str]] = {"bay": [], "cabin": []}
    for end in tree.ends:
        connector = job.connector.get(end)
        area = job.area.get(job.device[connector.device].area) if connector else None
        if area is not None and area.side in found:
            found[area.side].append(end)
    return found


def ends_not_told(worked: Worked) -> Iterator[Finding]:
    """HOLE-03: a loom with plugs on both sides of its hole and none said to go through."""
    job = worked.job
    for loom in job.looms:
        tree = worked.routed.tree.get(loom.name)
        if loom.hole_mm is None or tree is None:
            continue
        told = [e for e in tree.ends if e in job.connector and job.connector[e].through_bulkhead]
        sides = _sides(job, tree)
        if told or not (sides["bay"] and sides["cabin"]):
            continue
        fewer = min(sides.values(), key=len)
        yield HOLE_03.at(
            loom.datum,
            loom.path,
            f"{loom.name} has {many(len(sides['bay']), 'plug')} in the bay and {len(sides['cabin'])} in the "
            "cabin, and none says whether it goes through the hole.",
            "Each end that is pulled through says: housing fitted before or after [common practice].",
            f"Write through_bulkhead at the ends you pull through, {named(fewer)} perhaps.",
            subject=loom.name,
        )


def housing_size_not_told(worked: Worked) -> Iterator[Finding]:
    """HOLE-04: a housing goes through the hole fitted, and its size isn't given."""
    job = worked.job
    for loom in job.looms:
        tree = worked.routed.tree.get(loom.name)
        if loom.hole_mm is None or tree is None:
            continue
        for end in tree.ends:
            connector = job.connector.get(end)
            if connector is None or connector.through_bulkhead != "before":
                continue
            if not (connector.width_mm and connector.height_mm):
                yield HOLE_04.at(
                    end,
                    connector.path,
                    f"{end} goes through the {loom.hole_mm:.0f} mm hole with its housing, and its size "
                    f"isn't told.",
                    "Its diagonal and 3 mm pass the hole [common practice].",
                    'Measure width and height, or write through_bulkhead = "after".',
                    subject=end,
                    mends=(Edit(Verb.SET, (*connector.path, "through_bulkhead"), "after", "size not told"),),
                )
