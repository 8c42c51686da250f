"""The command line. Heavy parts are imported by the command that needs them, so that --help is quick."""

import os

# Bundles are small sums; more threads only get in each other's way.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from loomwright.cli.app import main

__all__ = ["main"]
