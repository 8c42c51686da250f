"""The command line. Heavy parts are imported by the command that needs them, so that --help is quick."""

from loomwright.cli.app import main

__all__ = ["main"]
