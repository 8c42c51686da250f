"""The HTTP interface of the list of jobs and of what the library knows."""

from fastapi import APIRouter, Response

from loomwright import VERSION
from loomwright.demos import names as demo_names
from loomwright.errors import LoomwrightError
from loomwright.jobfile.read import JOB_FILE
from loomwright.jobfile.toml_text import read_text
from loomwright.starters import names as starter_names
from loomwright.web.answers import raw_json
from loomwright.web.jobs import JobFolder, Jobs
from loomwright.web.library_view import library_view
from loomwright.web.messages import NewJobMessage
from loomwright.web.slices import json_of


def list_router(jobs: Jobs) -> APIRouter:
    """Return the routes of the list of jobs.

    Args:
        jobs: the folder that is served
    """
    router = APIRouter(prefix="/api")

    @router.get("/jobs")
    def listed() -> Response:
        """List the jobs of the folder, and what a new one can begin from."""
        said = {
            "folder": str(jobs.root),
            "jobs": [_row(one) for one in jobs.listed()],
            "starters": list(starter_names()),
            "demos": list(demo_names()),
            "version": VERSION,
        }
        return raw_json(json_of(said))

    @router.post("/jobs")
    def begin(said: NewJobMessage) -> Response:
        """Make a new job."""
        return raw_json(json_of({"id": jobs.begin(said.name, said.source, said.text)}), 201)

    @router.get("/library")
    def library() -> Response:
        """Return what the library knows, for lists to choose from."""
        return raw_json(json_of(library_view()))

    return router


def _row(one: JobFolder) -> dict[str, object]:
    head: dict[str, object] = {}
    fault = ""
    try:
        found = read_text((one.folder / JOB_FILE).read_text("utf-8")).values.get("job")
        head = dict(found) if isinstance(found, dict) else {}
    except (OSError, UnicodeDecodeError, LoomwrightError):
        fault = f"{JOB_FILE} can't be read. Save it again as UTF-8."
    told = {key: str(head.get(key, "")) for key in ("title", "car", "customer", "revision")}
    return {"id": one.id, "folder": one.folder.name, "demo": head.get("demo") is True, "fault": fault, **told}
