"""The HTTP interface of the drawn editors: faces, cuts, tiles, and steps of the tree as edits."""

from typing import Literal

from fastapi import APIRouter, Response
from pydantic import Field

from loomwright.errors import RefusedEdit
from loomwright.job import WorkedJob
from loomwright.jobfile.edit_log import edits_as_json
from loomwright.planning import moves_steps
from loomwright.planning.moves_steps import Step
from loomwright.web.answers import raw_json
from loomwright.web.jobs import Jobs
from loomwright.web.messages import STEP, Said
from loomwright.web.slices import json_of
from loomwright.web.views.board import tiles_view
from loomwright.web.views.cut import cut_view
from loomwright.web.views.faces import ends_view, face_view


class StepOnTree(Said):
    """A change of the tree, as the plan asks for it.

    Attributes:
        does: what to do
        section: key of the section it is about, "engine/B1-B2"
        point: branch point it is about
        mm: length, way or place on the section [mm]
        name: of a new point
        take: names of sections that shall leave from it
        reason: why, in the builder's words
    """

    does: Literal["length", "measured", "shift", "insert", "split", "merge"]
    section: str = Field(max_length=STEP)
    point: str = Field("", max_length=STEP)
    mm: float = Field(0.0, ge=0.0, le=moves_steps.MOST_MM, allow_inf_nan=False)
    name: str = Field("", max_length=STEP)
    take: list[str] = Field([], max_length=200)
    reason: str = Field("", max_length=STEP)


def view_router(jobs: Jobs) -> APIRouter:
    """Return the routes of the drawn editors.

    Args:
        jobs: the folder that is served
    """
    router = APIRouter(prefix="/api/job/{job}")

    @router.get("/faces")
    def faces(job: str) -> Response:
        """List the plugs that have faces to look at."""
        return raw_json(json_of(ends_view(jobs.desk(job).state().done)))

    @router.get("/face/{end}")
    def face(job: str, end: str) -> Response:
        """Return both faces of a plug."""
        return _found(face_view(jobs.desk(job).state().done, end), f"There is no plug {end} any more.")

    @router.get("/cut/{loom}/{section}")
    def cut(job: str, loom: str, section: str) -> Response:
        """Return a cut through a section."""
        found = cut_view(jobs.desk(job).state().done, f"{loom}/{section}")
        return _found(found, f"There is no section {section} any more.")

    @router.get("/tiles/{loom}")
    def tiles(job: str, loom: str, paper: str = "") -> Response:
        """Return the sheets a board prints on."""
        return _found(tiles_view(jobs.desk(job).state().done, loom, paper), f"There is no board of {loom}.")

    @router.post("/tree-step")
    def tree_step(job: str, said: StepOnTree) -> Response:
        """Return a change of the tree as edits; nothing is written."""
        step = step_of(jobs.desk(job).state().done, said)
        again = list(step.again)
        return raw_json(json_of({"edits": edits_as_json(step.edits), "words": step.words, "again": again}))

    return router


def step_of(done: WorkedJob, said: StepOnTree) -> Step:
    """Return a change of the tree.

    Raises:
        RefusedEdit: it can't be done, in words.
    """
    match said.does:
        case "length":
            return moves_steps.set_length(done, said.section, said.mm, said.reason)
        case "measured":
            return moves_steps.as_measured(done, said.section)
        case "shift":
            return moves_steps.shift(done, said.point, said.section, said.mm, said.reason)
        case "insert":
            return moves_steps.insert(done, said.section, said.mm, said.name, said.reason)
        case "split":
            take = tuple(said.take)
            return moves_steps.split(done, said.point, said.section, said.mm, said.name, take)
        case "merge":
            return moves_steps.merge(done, said.point, said.section)


def _found(view: object, otherwise: str) -> Response:
    if view is None:
        raise RefusedEdit(otherwise)
    return raw_json(json_of(view))
