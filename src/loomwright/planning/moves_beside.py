"""Branch or co-run: a section that leaves earlier and runs beside the loom, or later and inside it."""

from loomwright.errors import RefusedEdit
from loomwright.planning.known import Known
from loomwright.planning.moves_change import LEAST_MM, Change, Step, check_branch, section_of, until_mm
from loomwright.planning.moves_notes import Piece


def leave_earlier(done: Known, section: str) -> Step:
    """Return the step that makes a co-run of a branch: it leaves one point earlier, in its own sheath.

    Its new length is the sum of what was measured on the same way, so nothing has to be measured again.

    Args:
        done: the job worked out
        section: key of the section, "engine/B1-INJ1"
    Raises:
        RefusedEdit: there is no such section, or its point is the datum.
    """
    tree, one = section_of(done, section)
    check_branch(tree, one.inner)
    before = tree.into[one.inner]
    change = Change(done, tree, f"{one.outer} runs beside {before.name}")
    change.gone.append(one)
    new = change.length(before.inner, one.outer, before.length_mm + one.length_mm)
    key = (before.inner, one.outer)
    change.run_beside(key, before.name, before.length_mm)
    for other in tree.out_of[before.inner]:
        change.run_beside(key, other.name, until_mm(before, other))
    for other in tree.out_of[one.inner]:
        change.run_beside(key, other.name, until_mm(one, other))
    change.pieces[one.name] = (Piece(0.0, one.length_mm, new, before.length_mm),)
    words = (
        f"{one.outer} leaves at {before.inner} already and runs beside {before.name}, instead of branching"
    )
    return change.step(f"{words} off at {one.inner}")


def leave_later(done: Known, section: str, beside: str) -> Step:
    """Return the step that makes a branch of a co-run: it runs inside the other section to that one's end.

    Args:
        done: the job worked out
        section: key of the co-run, "engine/B1-INJ1"
        beside: name of the section it runs beside all along; its outer point is no end
    Raises:
        RefusedEdit: there are no such sections, or they don't run together to a point.
    """
    tree, one = section_of(done, section)
    along = tree.by_name.get(beside)
    if along is None or along.outer not in tree.out_of or until_mm(one, along) < along.length_mm - LEAST_MM:
        raise RefusedEdit(f"{one.name} does not run beside {beside} up to a point where others go on.")
    change = Change(done, tree, f"{one.outer} branches off at {along.outer}")
    change.gone.append(one)
    new = change.length(along.outer, one.outer, one.length_mm - along.length_mm)
    change.pieces[one.name] = (
        Piece(0.0, along.length_mm, along.name, 0.0),
        Piece(along.length_mm, one.length_mm, new, -along.length_mm),
    )
    return change.step(f"{one.outer} branches off at {along.outer} instead of running beside {along.name}")
