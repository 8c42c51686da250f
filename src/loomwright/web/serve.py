"""The server on a port of this computer: loopback alone, or shared with bench devices under a pass phrase."""

import socket
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Final

from loomwright.errors import LoomwrightError
from loomwright.web.entry_kept import Entry

if TYPE_CHECKING:
    from loomwright.web.jobs import Jobs

PORT: Final = 8642
TRIES: Final = 20
SWEEP_AFTER: Final = 100_000  # new objects; one working out makes as many, none of them in rings (ours)


@dataclass(frozen=True, slots=True)
class Served:
    """Where the server listens.

    Attributes:
        socket: bound already, so that no other program takes the port meanwhile
        port: its port
        hosts: "address:port" under which it may be asked for
        entry: phrase and ticket of shared devices, empty = not shared
        lan: address of this computer in the local network, "" = not shared or none
    """

    socket: socket.socket
    port: int
    hosts: frozenset[str]
    entry: Entry
    lan: str

    @property
    def address(self) -> str:
        """The address for a browser on this computer."""
        return f"http://127.0.0.1:{self.port}"


def bound(port: int | None, entry: Entry | None) -> Served:
    """Take a port.

    Args:
        port: the port asked for; None = the usual one or the next that is free
        entry: what lets bench devices in; None = the local network is not listened to
    Raises:
        LoomwrightError: the port is in use or none is free.
    """
    ports = range(PORT, PORT + TRIES) if port is None else (port,)
    for one in ports:
        taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            taken.bind(("0.0.0.0" if entry else "127.0.0.1", one))
        except (OSError, OverflowError):
            taken.close()
            continue
        return _served(taken, entry)
    what = f"Port {port} is in use" if port is not None else "No port is free"
    raise LoomwrightError(f"{what}. Name another one: --port 9000.")


def _served(taken: socket.socket, entry: Entry | None) -> Served:
    port = int(taken.getsockname()[1])
    lan = _lan_address() if entry else ""
    names = ["127.0.0.1", "localhost", *([lan] if lan else [])]
    hosts = frozenset(f"{name}:{port}" for name in names)
    return Served(taken, port, hosts, entry or Entry("", ""), lan)


def _lan_address() -> str:
    """This computer's address in the local network, as the system would choose it; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address kept for documents
            return str(probe.getsockname()[0])
        except OSError:
            return ""


def serve(served: Served, root: Path, first: str, ready: Callable[[], None]) -> None:
    """Serve a folder of jobs until the program is stopped.

    Args:
        served: where to listen
        root: folder whose folders are jobs
        first: id of the job that will be looked at first, "" = not known
        ready: called once the server answers
    """
    import gc

    import uvicorn

    from loomwright.web.app import make_inner_app
    from loomwright.web.guard import Guard
    from loomwright.web.jobs import Jobs
    from loomwright.web.share import Share

    jobs = Jobs(root)
    share = Share(f"http://{served.lan}:{served.port}/bench", served.entry.phrase) if served.lan else None

    class _Server(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets)
            gc.freeze()  # what was loaded stays; looking through it at every sweep costs tenths of a second
            gc.set_threshold(SWEEP_AFTER)
            Thread(target=_warm, args=(jobs, first), daemon=True).start()
            ready()

    config = uvicorn.Config(
        Guard(make_inner_app(jobs, share), served.hosts, served.entry),
        log_level="warning",
        access_log=False,
        proxy_headers=False,
        server_header=False,
        timeout_graceful_shutdown=1,
        lifespan="off",
    )
    _Server(config).run(sockets=[served.socket])


def _warm(jobs: "Jobs", first: str) -> None:
    """Load what working out needs while the browser opens: the job itself, else the smallest demo."""
    from loomwright.demos import demo_folder
    from loomwright.job import work_out
    from loomwright.web.slices import LIGHT

    with suppress(LoomwrightError, OSError):
        if first:
            slices = jobs.desk(first).state().slices
            for name in LIGHT:
                slices.text(name)
        else:
            work_out(demo_folder("six"))
