"""Types and style hold over the whole source: the same tools anyone can run by hand."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parent.parent


def said_by(*words: str) -> str:
    command = [sys.executable, "-m", *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    return "" if done.returncode == 0 else done.stdout + done.stderr


def test_everything_is_typed() -> None:
    assert said_by("mypy", "--strict") == ""


def test_style_is_clean() -> None:
    assert said_by("ruff", "check", "src", "tests", "benchmarks", "start.py") == ""
