"""The HTTP interface of one job: snapshot, edits, preview, undo, redo, waiting for changes, photos."""

import asyncio
from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Query, Request, Response
from starlette.concurrency import run_in_threadpool

from loomwright.edits import Edit
from loomwright.jobfile.edit_log import edits_as_json
from loomwright.jobfile.take_in import take_in
from loomwright.web.answers import changed, raw_json, snapshot
from loomwright.web.desk import Desk, State
from loomwright.web.jobs import Jobs
from loomwright.web.learnt import learnt_view, take_minutes, take_minutes_back
from loomwright.web.messages import EditMessage, EditsMessage, MinutesMessage, Said, StepMessage, TableMessage
from loomwright.web.photos import NoPhoto, look_through, photo, save_photo
from loomwright.web.previews import preview
from loomwright.web.slices import json_of
from loomwright.web.table_upload import sheets_of

Want = Annotated[list[str] | None, Query(max_length=40)]
WAIT_S = 20.0
LOOK_EVERY_S = 0.4
SETTLE_S = 0.1  # an editor that empties a file before it writes has written by then


def job_router(jobs: Jobs) -> APIRouter:
    """Return the routes of one job.

    Args:
        jobs: the folder that is served
    """
    router = APIRouter(prefix="/api/job/{job}")

    @router.get("")
    def whole(job: str, want: Want = None) -> Response:
        """Return the job as it is now, in slices."""
        return snapshot(jobs.desk(job).state(), want)

    @router.post("/edits")
    def edits(job: str, said: EditsMessage) -> Response:
        """Carry out edits, all or none."""
        desk = jobs.desk(job)
        state = desk.edit(said.base, _edits(said.edits), said.words)
        return changed(state, desk.known(said.base), said.want)

    @router.post("/preview")
    def previewed(job: str, said: EditsMessage) -> Response:
        """Say what edits would change; nothing is written."""
        desk = jobs.desk(job)
        return raw_json(json_of(preview(*desk.preview(said.base, _edits(said.edits)))))

    @router.post("/undo")
    def undo(job: str, said: StepMessage) -> Response:
        """Take the last step back, whichever window did it."""
        desk = jobs.desk(job)
        return changed(desk.undo(said.base), desk.known(said.base), said.want)

    @router.post("/redo")
    def redo(job: str, said: StepMessage) -> Response:
        """Bring back the step taken back last."""
        desk = jobs.desk(job)
        return changed(desk.redo(said.base), desk.known(said.base), said.want)

    @router.get("/since/{digest}")
    async def since(job: str, digest: str, request: Request, want: Want = None) -> Response:
        """Wait until the job is other than at a state, at most 20 s; 204 = nothing changed."""
        desk = await run_in_threadpool(jobs.desk, job)
        state = await _other_state(desk, digest, request)
        if state is None:
            return Response(status_code=204)
        return await run_in_threadpool(changed, state, desk.known(digest), want)

    @router.post("/take-in")
    def take_table_in(job: str, said: TableMessage) -> Response:
        """Say what a table would change, as edits; nothing is written."""
        device, _, connector = said.device.partition(".")
        values = jobs.desk(job).state().done.read.document.values
        raw = said.text.encode("utf-8", "replace")
        found = take_in(values, "table.csv", raw, device=device, connector=connector)
        rows = [
            {"row": x.row, "outcome": str(x.outcome), "what": x.what, "reason": x.reason} for x in found.rows
        ]
        return raw_json(json_of({"edits": edits_as_json(found.edits), "rows": rows}))

    @router.post("/sheets")
    async def look_into(job: str, request: Request) -> Response:
        """Return the rows of a table, CSV or XLSX, to look at; nothing is kept."""
        raw = await request.body()
        await run_in_threadpool(jobs.desk, job)
        return raw_json(json_of({"sheets": await run_in_threadpool(sheets_of, raw)}))

    @router.post("/shop-minutes")
    def minutes_taken(job: str, said: MinutesMessage) -> Response:
        """Take minutes the bench taught over into stock.toml."""
        desk = jobs.desk(job)
        take_minutes(desk, said.base, said.keys)
        return raw_json(json_of(learnt_view(desk)))

    @router.post("/shop-minutes/undo")
    def minutes_taken_back(job: str, said: Said) -> Response:
        """Take the last step on stock.toml back."""
        desk = jobs.desk(job)
        take_minutes_back(desk)
        return raw_json(json_of(learnt_view(desk)))

    @router.post("/photo")
    async def take_photo(job: str, request: Request) -> Response:
        """Keep a photo, PNG or JPEG, and return its name."""
        raw = await request.body()
        desk = await run_in_threadpool(jobs.desk, job)
        name = await run_in_threadpool(save_photo, desk.folder, raw)
        return raw_json(json_of({"photo": name}))

    @router.post("/photo/look")
    async def look_at_photo(job: str, request: Request) -> Response:
        """Say whether a photo is whole; nothing is kept."""
        raw = await request.body()
        await run_in_threadpool(jobs.desk, job)
        await run_in_threadpool(look_through, raw)
        return raw_json(json_of({"whole": True}))

    @router.get("/photo/{name}")
    def show_photo(job: str, name: str) -> Response:
        """Return a photo."""
        raw, kind = photo(jobs.desk(job).folder, name)
        return Response(raw, media_type=kind, headers={"cache-control": "private, max-age=31536000"})

    @router.get("/run-photo/{name}")
    def show_run(job: str, name: str) -> Response:
        """Return a photo of the run by its name in the job."""
        found = next((x for x in jobs.desk(job).state().done.read.job.photos if x.name == name), None)
        if found is None or not found.data:
            raise NoPhoto("There is no photo of that name, or it can't be shown.")
        return Response(found.data, media_type=found.media, headers={"cache-control": "no-cache"})

    return router


def _edits(said: Sequence[EditMessage]) -> tuple[Edit, ...]:
    return tuple(one.edit() for one in said)


async def _other_state(desk: Desk, digest: str, request: Request) -> State | None:
    waited = 0.0
    while True:
        state = await run_in_threadpool(desk.state)
        if state.digest != digest:
            return state
        while not await run_in_threadpool(desk.changed_outside) and desk.last_digest == digest:
            if waited >= WAIT_S or await request.is_disconnected():
                return None
            await asyncio.sleep(LOOK_EVERY_S)
            waited += LOOK_EVERY_S
        await asyncio.sleep(SETTLE_S)
