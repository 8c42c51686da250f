"""The open command: serve a folder of jobs and show it in the browser."""

import webbrowser
from pathlib import Path
from threading import Thread

from loomwright.errors import LoomwrightError
from loomwright.jobfile.read import JOB_FILE


def open_desk(folder: Path, port: int | None, show: bool, share: bool) -> int:
    """Serve a folder until the program is stopped.

    Args:
        folder: a job's folder, or a folder of jobs; made where it is missing
        port: port to listen at; None = the usual one or the next free one
        show: open the browser
        share: let bench devices in the local network in, under a pass phrase

    Returns:
        0 when it was stopped.
    """
    from loomwright.web.serve import bound, serve

    root, first = _root(folder)
    served = bound(port, share)
    address = served.address + (f"/job/{first}" if first else "/")

    def ready() -> None:
        print(f"The desk is open at {address}", flush=True)
        if share:
            _tell_share(served.lan, served.port, served.phrase)
        print("Stop it with Ctrl+C.", flush=True)
        if show:
            Thread(target=webbrowser.open, args=(address,), daemon=True).start()

    serve(served, root, first, ready)
    return 0


def _root(folder: Path) -> tuple[Path, str]:
    """The folder of jobs, and the id of the job to show first."""
    from loomwright.web.jobs import Jobs

    place = folder.resolve()
    if place.name == JOB_FILE:
        place = place.parent
    if (place / JOB_FILE).is_file():
        jobs = Jobs(place.parent)
        return place.parent, next((one.id for one in jobs.listed() if one.folder == place), "")
    if place.exists() and not place.is_dir():
        raise LoomwrightError(f"{folder} is a file. Name a folder.")
    place.mkdir(parents=True, exist_ok=True)
    return place, ""


def _tell_share(lan: str, port: int, phrase: str) -> None:
    if not lan:
        print("This computer is in no network; no other device can reach it.", flush=True)
        return
    print(f"Bench devices: http://{lan}:{port}/bench  pass phrase: {phrase}", flush=True)
    print("Anyone in this network who knows the phrase can tick and enter readings.", flush=True)
