"""Alternatives priced in a process of their own, one at a time, so that edits keep their speed meanwhile.

The process tells how far it is through a pipe and ends by itself with the first word it can't pass on: a
server that is killed leaves none behind. Where no process can be begun the program prices them itself.
"""

import multiprocessing
import signal
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from threading import Lock, Thread
from typing import Any, Final, Literal

from loomwright.errors import LoomwrightError
from loomwright.jobfile.read import ReadJob
from loomwright.web.slices import json_of
from loomwright.web.views.alternatives import alternatives_view

Stands = Literal["running", "done", "stopped", "failed"]
Tell = Callable[[str, Any], None]
_NICE: Final = 5  # steps behind what answers edits; ours
_END_S: Final = 5.0
NO_PROCESS: Final = (
    "No second process could be begun; the program prices them itself and edits are slower meanwhile."
)
ENDED: Final = "The process that priced them ended before it was done. Nothing is lost; price them again."
BEGUN_ANEW: Final = "Stopped: pricing was begun anew."
STOPPED: Final = "Stopped; nothing was changed."


@dataclass(frozen=True, slots=True)
class Told:
    """How a pricing stands.

    Attributes:
        number: names it as long as the program runs
        job: id of its job
        digest: state of the job it is priced for
        stands: whether it runs, is done, was stopped or failed
        worked, of: how many of how many are worked out
        words: what went otherwise than it should
        found: the answer, JSON
    """

    number: int
    job: str
    digest: str
    stands: Stands = "running"
    worked: int = 0
    of: int = 0
    words: str = ""
    found: bytes = b"null"


class _Halted(Exception):
    """The pricing in the program itself was stopped."""


class Pricing:
    """The one pricing under way, and how the last ones stand.

    Args:
        begin: begins a process that is given a pipe, a job and how many to work out
    """

    def __init__(self, begin: "Begin | None" = None) -> None:
        self._begin = begin or begin_process
        self._lock = Lock()
        self._last: Told | None = None
        self._number = 0
        self._process: BaseProcess | None = None

    def start(self, job: str, digest: str, read: ReadJob, exact: int) -> Told:
        """Begin to price a job; one that still runs is stopped.

        Args:
            job, digest: id and state of the job
            read: the job
            exact: how many of the promising ones are worked out
        """
        with self._lock:
            self._end("stopped", BEGUN_ANEW)
            self._number += 1
            self._last = told = Told(self._number, job, digest)
            ask = (read, exact)
            try:
                heard, self._process = self._begin(*ask)
            except OSError:
                self._last = told = replace(told, words=NO_PROCESS)
                thread = Thread(target=self._here, args=(told.number, *ask), daemon=True)
            else:
                thread = Thread(
                    target=self._listen, args=(told.number, heard, self._process, ask), daemon=True
                )
            thread.start()
            return told

    def told(self, job: str, number: int) -> Told:
        """Return how a pricing stands.

        Raises:
            LoomwrightError: it is not known any more.
        """
        with self._lock:
            last = self._last
        if last is None or job != last.job or not 0 < number <= last.number:
            raise LoomwrightError("That pricing is not known any more. Price them again.")
        return last if number == last.number else Told(number, job, "", "stopped", words=BEGUN_ANEW)

    def stop(self, job: str, number: int) -> Told:
        """Stop a pricing where it still runs, and return how it stands. Errors as `told`."""
        self.told(job, number)
        with self._lock:
            if self._last is not None and self._last.number == number:
                self._end("stopped", STOPPED)
        return self.told(job, number)

    def _end(self, stands: Stands, words: str) -> None:
        if self._last is not None and self._last.stands == "running":
            self._last = replace(self._last, stands=stands, words=words)
        if self._process is not None:
            self._process.kill()  # it writes nothing; the listening thread sees its end and clears it away
            self._process = None

    def _take(self, number: int, what: str, held: Any) -> bool:
        """Take in what is told of a pricing; False = nobody wants to know any more."""
        with self._lock:
            last = self._last
            if last is None or last.number != number or last.stands != "running":
                return False
            if what == "progress":
                self._last = replace(last, worked=held[0], of=held[1])
            elif what == "words":
                self._last = replace(last, words=held)
            elif what == "found":
                self._last = replace(last, stands="done", found=held)
            else:
                self._last = replace(last, stands="failed", words=held)
            return True

    def _listen(self, number: int, heard: Connection, process: BaseProcess, ask: tuple[ReadJob, int]) -> None:
        begun = False
        with heard:
            try:
                while self._take(number, *heard.recv()):
                    begun = True
            except (EOFError, OSError):
                if begun:
                    self._take(number, "failed", ENDED)
        process.join(_END_S)
        if process.exitcode is None:
            process.kill()
            process.join()
        if not begun and self._take(number, "words", NO_PROCESS):
            self._here(number, *ask)

    def _here(self, number: int, read: ReadJob, exact: int) -> None:
        def tell(what: str, held: Any) -> None:
            if not self._take(number, what, held):
                raise _Halted

        with suppress(_Halted):
            _price(read, exact, tell)


Begin = Callable[[ReadJob, int], tuple[Connection, BaseProcess]]


def begin_process(read: ReadJob, exact: int) -> tuple[Connection, BaseProcess]:
    """Begin a process that prices a job; return where it is heard, and it.

    Args:
        read: the job
        exact: how many of the promising ones are worked out
    Raises:
        OSError: none can be begun.
    """
    fresh = multiprocessing.get_context("spawn")
    heard, told = fresh.Pipe(duplex=False)
    process = fresh.Process(target=_run, args=(told, read, exact), daemon=True)
    try:
        process.start()
    except OSError:
        heard.close()
        raise
    finally:
        told.close()
    return heard, process


def _run(told: Connection, read: ReadJob, exact: int) -> None:
    """Price a job in a process of its own."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the server's
    _behind_edits()
    with suppress(OSError), told:  # nobody listens any more
        told.send(("progress", (0, 0)))
        _price(read, exact, lambda what, held: told.send((what, held)))


def _behind_edits() -> None:
    import os

    if hasattr(os, "nice"):
        os.nice(_NICE)


def _price(read: ReadJob, exact: int, tell: Tell) -> None:
    try:
        found = json_of(alternatives_view(read, exact, lambda worked, of: tell("progress", (worked, of))))
    except LoomwrightError as fault:
        tell("failed", str(fault))
    else:
        tell("found", found)
