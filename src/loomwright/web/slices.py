"""What the pages show of a worked-out job, in slices: each made once, when asked for, as JSON.

A window asks for the slices on its screen; after an edit it gets those whose text changed. Light slices come
with the first snapshot, heavy ones are fetched when a screen needs them.
"""

from collections.abc import Callable, Mapping
from threading import Lock
from types import MappingProxyType
from typing import Final

from loomwright.job import WorkedJob
from loomwright.web.slice_devices import circuits_slice, devices_slice
from loomwright.web.slice_entry import exits_slice, file_slice, job_slice, passes_slice, rope_slice
from loomwright.web.slice_findings import findings_slice
from loomwright.web.slice_loom import bundles_slice, splices_slice, tree_slice, wires_slice
from loomwright.web.slice_papers import papers_slice, revisions_slice
from loomwright.web.views.board import board_view
from loomwright.web.views.plan import plan_view

Make = Callable[[WorkedJob], object]
LIGHT: Final[Mapping[str, Make]] = MappingProxyType(
    {
        "job": job_slice,
        "file": file_slice,
        "devices": devices_slice,
        "circuits": circuits_slice,
        "rope": rope_slice,
        "exits": exits_slice,
        "passes": passes_slice,
        "tree": tree_slice,
        "wires": wires_slice,
        "splices": splices_slice,
        "bundles": bundles_slice,
        "findings": findings_slice,
    }
)
HEAVY: Final[Mapping[str, Make]] = MappingProxyType(
    {
        "papers": papers_slice,
        "revisions": revisions_slice,
        "plan": plan_view,
        "board": board_view,
    }
)


class Slices:
    """The slices of one state; each is made at most once.

    Args:
        done: the job worked out
    """

    def __init__(self, done: WorkedJob) -> None:
        self._done = done
        self._made: dict[str, bytes] = {}
        self._lock = Lock()

    def text(self, name: str) -> bytes:
        """Return a slice as JSON.

        Raises:
            KeyError: there is no slice of that name.
        """
        make = LIGHT.get(name) or HEAVY[name]
        with self._lock:
            if name not in self._made:
                self._made[name] = json_of(make(self._done))
            return self._made[name]

    def made(self, name: str) -> bytes | None:
        """Return a slice as JSON where it was made already."""
        return self._made.get(name)


def json_of(value: object) -> bytes:
    """Return a value of plain types as JSON; what is no number becomes null."""
    from pydantic_core import to_json

    return to_json(value, inf_nan_mode="null")
