"""The bench over HTTP: its page, what it shows, records in and out, device pages, codes of labels."""

from pathlib import Path
from typing import Annotated, Final
from urllib.parse import quote

from fastapi import APIRouter, Query, Response
from fastapi.responses import FileResponse, RedirectResponse
from pydantic import Field

from loomwright.errors import LoomwrightError
from loomwright.pack.label_codes import job_mark, read_code
from loomwright.records.bench import Record, RefusedRecord, plain, record_of
from loomwright.records.bench_photos import photo_file
from loomwright.records.bench_store import MOST, add_records, records_after
from loomwright.web.answers import raw_json
from loomwright.web.bench_view import bench_view, device_data, device_page
from loomwright.web.jobs import Jobs, UnknownJob
from loomwright.web.learnt import learnt_view
from loomwright.web.messages import Said
from loomwright.web.slices import json_of

PAGE: Final = Path(__file__).parent / "static" / "bench" / "bench.html"
MOST_SENT: Final = 500
MOST_NUMBER: Final = 2**53
After = Annotated[int, Query(ge=0, le=MOST_NUMBER)]


class RecordsMessage(Said):
    """Records as a device sends them; each is looked at by itself, so that one bad one holds up no other."""

    records: list[dict[str, str]] = Field(max_length=MOST_SENT)


def bench_router(jobs: Jobs) -> APIRouter:
    """Return the routes of the bench.

    Args:
        jobs: the folder that is served
    """
    router = APIRouter()
    _add_pages(router, jobs)

    @router.get("/api/job/{job}/bench")
    def bench(job: str) -> Response:
        """Return cut list, build order, tests and devices."""
        return raw_json(json_of(bench_view(jobs.desk(job).state().done)))

    @router.get("/api/job/{job}/bench/learnt")
    def learnt(job: str) -> Response:
        """Return what the records say about the shop's minutes and the bundles, to look at."""
        return raw_json(json_of(learnt_view(jobs.desk(job))))

    @router.get("/api/job/{job}/records")
    def given(job: str, after: After = 0) -> Response:
        """Return the records stored after a number."""
        found = records_after(jobs.desk(job).folder, after)
        last = found[-1].number if found else after
        said = {"records": [plain(one) for one in found], "last": last, "more": len(found) == MOST}
        return raw_json(json_of(said))

    @router.post("/api/job/{job}/records")
    def taken(job: str, said: RecordsMessage) -> Response:
        """Store records; what is named as accepted lies on the disk. Sending again does no harm."""
        sound, refused = _sorted(said.records)
        taken = add_records(jobs.desk(job).folder, sound)
        refused += [{"id": one, "why": "Another record has this id."} for one in taken.differing]
        accepted = [{"id": one.id, "number": one.number} for one in taken.stored]
        return raw_json(json_of({"accepted": accepted, "refused": refused}))

    @router.get("/api/job/{job}/device")
    def devices(job: str) -> Response:
        """Return the pages of all devices as data, by name."""
        return raw_json(json_of({"pages": device_data(jobs.desk(job).state().done)}))

    @router.get("/api/job/{job}/device/{name}")
    def device(job: str, name: str) -> Response:
        """Return a device's page as data."""
        found = device_page(jobs.desk(job).state().done, name)
        if found is None:
            raise UnknownJob("There is no device of that name in this job.")
        return raw_json(json_of(found))

    @router.get("/api/job/{job}/records/photo/{digest}", include_in_schema=False)
    def photo_of(job: str, digest: str) -> Response:
        """Return a photo of a record by its digest."""
        file = photo_file(jobs.desk(job).folder, digest)
        if file is None:
            raise UnknownJob("There is no such photo.")
        return FileResponse(file, headers={"cache-control": "private, max-age=31536000"})

    return router


def _add_pages(router: APIRouter, jobs: Jobs) -> None:
    @router.get("/bench/{job}", include_in_schema=False)
    def page(job: str) -> Response:
        jobs.desk(job)
        return FileResponse(PAGE)

    @router.get("/bench", include_in_schema=False)
    def which() -> Response:
        return FileResponse(PAGE)

    @router.get("/bench/-/jobs", include_in_schema=False)
    def listed() -> Response:
        """Return the jobs a bench device may choose from."""
        return raw_json(json_of({"jobs": [{"id": x.id, "folder": x.folder.name} for x in jobs.listed()]}))

    @router.get("/d/{code}", include_in_schema=False)
    def resolved(code: str) -> Response:
        """Go from the code on a label to its page at the bench of its job."""
        job, name = _resolved(jobs, code)
        return RedirectResponse(f"/bench/{quote(job)}#find={quote(name, safe='')}", 303)


def _resolved(jobs: Jobs, text: str) -> tuple[str, str]:
    code = read_code(text)
    if code is None:
        raise UnknownJob("That is no code of a label: it begins with LW1 and names a job and a part.")
    for one in jobs.listed():
        try:
            mark = job_mark(jobs.desk(one.id).state().done.worked.job)
        except LoomwrightError:
            continue
        if mark == code.mark:
            return one.id, code.name
    raise UnknownJob("The label belongs to a job that is not in this folder.")


def _sorted(raws: list[dict[str, str]]) -> tuple[list[Record], list[dict[str, str]]]:
    sound: list[Record] = []
    refused: list[dict[str, str]] = []
    for raw in raws:
        try:
            sound.append(record_of(raw))
        except RefusedRecord as fault:
            refused.append({"id": str(raw.get("id", ""))[:64], "why": str(fault)})
    return sound, refused
