"""The web app: pages, static files and the HTTP interface over a folder of jobs."""

import sys
import traceback
from pathlib import Path
from typing import Final

from fastapi import FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import FileResponse
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException

from loomwright import VERSION
from loomwright.errors import LoomwrightError
from loomwright.web.answers import clash_answer, raw_json
from loomwright.web.bench_routes import bench_router
from loomwright.web.desk import Clashing
from loomwright.web.entry_kept import Entry
from loomwright.web.guard import App, Guard
from loomwright.web.job_routes import job_router
from loomwright.web.jobs import Jobs, UnknownJob
from loomwright.web.list_routes import list_router
from loomwright.web.paper_routes import paper_router
from loomwright.web.photos import NoPhoto
from loomwright.web.pricing import Pricing
from loomwright.web.pricing_routes import pricing_router
from loomwright.web.share import Share, share_router
from loomwright.web.slices import json_of
from loomwright.web.views.routes import view_router

STATIC: Final = Path(__file__).parent / "static"


def make_app(root: Path, hosts: frozenset[str], entry: Entry | None = None) -> App:
    """Return the whole app, guarded.

    Args:
        root: folder whose folders are jobs
        hosts: "address:port" under which the server is known
        entry: phrase and ticket of shared devices; None = this computer alone
    """
    return Guard(make_inner_app(Jobs(root)), hosts, entry or Entry("", ""))


def make_inner_app(jobs: Jobs, share: Share | None = None) -> FastAPI:
    """Return the app without its guard.

    Args:
        jobs: the folder that is served
        share: how bench devices reach it; None = they don't
    """
    app = FastAPI(
        title="loomwright", version=VERSION, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json"
    )
    app.include_router(list_router(jobs))
    app.include_router(share_router(share))
    app.include_router(job_router(jobs))
    app.include_router(paper_router(jobs))
    app.include_router(view_router(jobs))
    app.include_router(pricing_router(jobs, Pricing()))
    app.include_router(bench_router(jobs))
    _add_pages(app)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    _add_faults(app)
    return app


def _add_pages(app: FastAPI) -> None:
    @app.get("/", include_in_schema=False)
    def first() -> Response:
        return FileResponse(STATIC / "jobs.html")

    @app.get("/job/{job}", include_in_schema=False)
    def desk(job: str) -> Response:
        return FileResponse(STATIC / "desk.html")

    @app.get("/login", include_in_schema=False)
    def login() -> Response:
        return FileResponse(STATIC / "login.html")


def _add_faults(app: FastAPI) -> None:
    """Every fault is a sentence; what nobody thought of is told on the console and stays the server's."""

    @app.exception_handler(Clashing)
    def clashing(_: Request, fault: Clashing) -> Response:
        return clash_answer(fault)

    @app.exception_handler(UnknownJob)
    def unknown(_: Request, fault: UnknownJob) -> Response:
        return said(404, str(fault))

    @app.exception_handler(NoPhoto)
    def no_photo(_: Request, fault: NoPhoto) -> Response:
        return said(404 if "name" in str(fault) else 422, str(fault))

    @app.exception_handler(LoomwrightError)
    def refused(_: Request, fault: LoomwrightError) -> Response:
        return said(422, str(fault))

    @app.exception_handler(RequestValidationError)
    def misshapen(_: Request, fault: RequestValidationError) -> Response:
        one = fault.errors()[0]
        where = ".".join(str(x) for x in one["loc"][1:])[:200]
        return said(422, f"The page sent something that can't be taken ({where}: {one['msg']}).")

    @app.exception_handler(HTTPException)
    def plain(_: Request, fault: HTTPException) -> Response:
        return said(fault.status_code, str(fault.detail))

    @app.exception_handler(OSError)
    def disk(_: Request, fault: OSError) -> Response:
        return said(507, f"A file can't be used: {fault.strerror or 'no reason told'}.")

    @app.exception_handler(Exception)
    def unforeseen(_: Request, fault: Exception) -> Response:
        traceback.print_exception(fault, file=sys.stderr)
        return said(500, "Something went wrong in the program; the job is as it was.")


def said(status: int, words: str) -> Response:
    """Return a fault as a sentence."""
    return raw_json(json_of({"say": words.encode("utf-8", "replace").decode()}), status)
