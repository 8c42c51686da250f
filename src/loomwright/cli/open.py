"""The open command: serve a folder of jobs and show it in the browser."""

import webbrowser
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING

from loomwright.errors import LoomwrightError
from loomwright.jobfile.read import JOB_FILE

if TYPE_CHECKING:
    from loomwright.web.entry_kept import Entry


def open_desk(folder: Path, port: int | None, show: bool, share: bool, new_phrase: bool) -> int:
    """Serve a folder until the program is stopped.

    Args:
        folder: a job's folder, or a folder of jobs; made where it is missing
        port: port to listen at; None = the usual one or the next free one
        show: open the browser
        share: let bench devices in the local network in, under a pass phrase
        new_phrase: let them in under a new one; every device has to log in again

    Returns:
        0 when it was stopped.
    """
    from loomwright.web.entry_kept import kept_entry
    from loomwright.web.serve import bound, serve

    root, first = _root(folder)
    if new_phrase and not share:
        raise LoomwrightError("--new-phrase goes with --share.")
    served = bound(port, kept_entry(root, new_phrase) if share else None)
    address = served.address + (f"/job/{first}" if first else "/")

    def ready() -> None:
        print(f"The desk is open at {address}", flush=True)
        if share:
            _tell_share(served.lan, served.port, served.entry)
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


def _tell_share(lan: str, port: int, entry: "Entry") -> None:
    if not lan:
        print("This computer is in no network; no other device can reach it.", flush=True)
        return
    print(f"Bench devices: http://{lan}:{port}/bench  pass phrase: {entry.phrase}", flush=True)
    print("Anyone in this network who knows the phrase can tick and enter readings.", flush=True)
    if entry.kept:
        print("A device stays logged in when this is started again; --new-phrase logs all out.", flush=True)
    else:
        print("It holds until this is stopped; nothing can be kept in your state folder.", flush=True)
