"""A second process beside this one: two cores draw boards and set sheets at the same time."""

import gc
import os
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context


@contextmanager
def second_process() -> Iterator[Executor | None]:
    """Give a process that is loading what draws boards; None where there is one core or none can start.

    It is started afresh and not forked, so that threads of this process can't stop it. A script of its own
    that uses it needs the usual `if __name__ == "__main__"`.
    """
    if (os.cpu_count() or 1) < 2:
        yield None
        return
    try:
        pool = ProcessPoolExecutor(1, get_context("spawn"))
        pool.submit(load)
    except (OSError, NotImplementedError, ImportError):
        yield None
        return
    with pool:
        yield pool


@contextmanager
def unswept() -> Iterator[None]:
    """Look for no unreachable rings of objects meanwhile: a command ends soon, and looking takes a fifth."""
    swept = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if swept:
            gc.enable()


def load() -> None:
    """Load what boards are drawn and written with, in a process that ends with its work."""
    gc.disable()
    from loomwright.sheets import dxf, write_boards, write_more  # noqa: F401
