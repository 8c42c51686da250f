"""Changes of the tree that the plan's page asks for; the planner prices the same ones."""

from loomwright.planning.moves_steps import (
    Step,
    as_measured,
    check_free,
    insert,
    merge,
    section_of,
    set_length,
    shift,
    split,
)

__all__ = [
    "Step",
    "as_measured",
    "check_free",
    "insert",
    "merge",
    "section_of",
    "set_length",
    "shift",
    "split",
]
