"""The server on a free port over copies of the demos, and pages of the system's Chromium."""

import os
import shutil
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, Page, sync_playwright

from loomwright.demos import demo_folder
from loomwright.web.app import make_app

CHROMIUM = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
HOST = "127.0.0.1:8642"


def copy_demo(name: str, root: Path, folder: str = "") -> Path:
    """Copy a demo job into a folder of jobs."""
    to = root / (folder or name)
    to.mkdir(parents=True)
    for file in demo_folder(name).iterdir():
        if file.suffix in (".toml", ".csv"):
            shutil.copyfile(file, to / file.name)
    return to


@dataclass
class Server:
    """A server that runs in a process of its own."""

    root: Path
    port: int
    process: subprocess.Popen[str]
    said: str = ""

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def kill(self) -> None:
        """Kill it as a power cut would."""
        self.process.kill()
        self.process.wait(10)


def start(root: Path, port: int = 0, *more: str) -> Server:
    """Start a server and wait until it answers; port 0 takes a free one."""
    words = [
        sys.executable,
        "-m",
        "loomwright",
        "open",
        str(root),
        "--no-browser",
        "--port",
        str(port),
        *more,
    ]
    env = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(words, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    assert process.stdout is not None
    said = ""
    for line in process.stdout:
        said += line
        if "http://127.0.0.1:" in line:
            break
    assert "http://127.0.0.1:" in said, said
    server = Server(
        root, int(said.rpartition("http://127.0.0.1:")[2].split()[0].split("/")[0]), process, said
    )
    wait_for(lambda: urllib.request.urlopen(f"{server.address}/api/jobs", timeout=2).status == 200)
    return server


def wait_for(told: Callable[[], object], seconds: float = 10.0) -> object:
    """Ask until the answer is true."""
    until = time.monotonic() + seconds
    while True:
        try:
            found = told()
        except Exception:
            if time.monotonic() > until:
                raise
        else:
            if found:
                return found
            assert time.monotonic() < until, "it did not come true in time"
        time.sleep(0.05)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A folder of jobs with the small demo in it."""
    copy_demo("six", tmp_path / "jobs")
    return tmp_path / "jobs"


@pytest.fixture
def client(root: Path) -> TestClient:
    """The app without a socket, asked from this computer."""
    app = make_app(root, frozenset({HOST}))
    return TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 50000))


@pytest.fixture
def server(root: Path) -> Iterator[Server]:
    """A server over the small demo."""
    one = start(root)
    yield one
    one.kill()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for all tests; every page has a profile of its own."""
    found = next((path for name in CHROMIUM if (path := shutil.which(name))), None)
    assert found, "no Chromium found; on Debian: apt install chromium"
    with sync_playwright() as play:
        one = play.chromium.launch(executable_path=found, args=list(FLAGS))
        yield one
        one.close()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page at desk size; what its scripts throw fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    one = context.new_page()
    thrown: list[str] = []
    one.on("pageerror", lambda fault: thrown.append(str(fault)))
    yield one
    context.close()
    assert thrown == []
