"""The command line. Heavy parts are imported by the command that needs them, so that --help is quick."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # bundles are small sums; more threads only get in their way

from loomwright.cli.app import main  # noqa: E402

__all__ = ["main"]
