"""A word on the screen for anything that takes over a second."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def working(words: str, quiet: bool = False) -> Iterator[None]:
    """Show `words` with a turning mark on a terminal while the block runs; nothing elsewhere."""
    if quiet or not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    with Console(stderr=True).status(words):
        yield
