"""Make the manual's pictures of the desk from its real screens: python3 docs/make_screens.py [folder]."""

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from loomwright.demos import demo_folder

PORT = 8699
PICTURES = Path(__file__).parent / "pictures"
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
SCREENS = (
    ("desk-devices", "devices/INJ1:2"),
    ("desk-rope", "rope"),
    ("desk-run", "run"),
    ("desk-findings", "findings"),
    ("desk-plan", "plan"),
    ("desk-bundles", "bundles"),
)


def main(to: Path) -> None:
    """Open a copy of the six-device demo and take one picture a screen."""
    to.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "six"
        job.mkdir()
        shutil.copyfile(demo_folder("six") / "job.toml", job / "job.toml")
        words = [sys.executable, "-m", "loomwright", "open", folder, "--no-browser", "--port", str(PORT)]
        server = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
        try:
            assert server.stdout is not None
            server.stdout.readline()
            take(to)
        finally:
            server.terminate()
            server.wait(10)


def take(to: Path) -> None:
    """Take the pictures."""
    path = next(found for name in CHROMIUM if (found := shutil.which(name)))
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport={"width": 1280, "height": 760}, reduced_motion="reduce")
        for name, screen in SCREENS:
            shoot(page, screen, to / f"{name}.png")
        browser.close()


def shoot(page: Page, screen: str, file: Path) -> None:
    """Go to a screen, wait until it stands still, take its picture."""
    page.goto("about:blank")
    page.goto(f"http://127.0.0.1:{PORT}/job/six#{screen}")
    page.wait_for_timeout(1200)  # the page waits for changes as long as it is open, so it is never idle
    page.screenshot(path=str(file))


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else PICTURES)
