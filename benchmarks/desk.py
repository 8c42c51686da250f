"""How fast the desk answers in a real browser: first paint, and keystroke to findings on the screen.

    python -m benchmarks.desk [--demo v8] [--edits 20] [--json]

Needs a Chromium and the test dependencies. A demo job (invented data) is copied, served by a program of its
own and opened as its first page after the start. Every edit types a current into a cavity's cell and presses
Enter; the time runs from that key to the frame in which the new state with its findings is shown.
"""

import argparse
import json
import shutil
from dataclasses import asdict, dataclass
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, Page, sync_playwright
from tests.web.conftest import CHROMIUM, FLAGS, Server, copy_demo, start
from tests.web.hands import Hands

TARGETS = {"first_paint_ms": 1500.0, "edit_median_ms": 150.0}
WATCH = """() => {
    let pressed = 0;
    window.took = [];
    addEventListener("keydown", (event) => { if (event.key === "Enter") pressed = event.timeStamp; }, true);
    new MutationObserver(() => {
        if (!pressed) return;
        const from = pressed;
        pressed = 0;
        requestAnimationFrame(() => requestAnimationFrame(() => window.took.push(performance.now() - from)));
    }).observe(document.querySelector("footer.block"), { childList: true });
}"""
PAINT = """() => performance.getEntriesByName("first-contentful-paint")[0].startTime"""


@dataclass(frozen=True, slots=True)
class Times:
    """What was measured [ms]; the fixed wait for two frames (about 33 ms) is in the edits."""

    demo: str
    first_paint_ms: float
    rows_ms: float
    edit_median_ms: float
    edit_slowest_ms: float
    edits: int


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description="How fast the desk answers in a real browser.")
    asked.add_argument("--demo", default="v8")
    asked.add_argument("--edits", type=int, default=20)
    asked.add_argument("--json", action="store_true")
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        copy_demo(said.demo, Path(folder))
        server = start(Path(folder))
        try:
            with sync_playwright() as play:
                path = next(found for name in CHROMIUM if (found := shutil.which(name)))
                browser = play.chromium.launch(executable_path=path, args=list(FLAGS))
                times = measured(browser, server, said.demo, said.edits)
                browser.close()
        finally:
            server.kill()
    if said.json:
        print(json.dumps(asdict(times), indent=1))
        return
    print(f"{times.demo}: first paint {times.first_paint_ms:.0f} ms (target {TARGETS['first_paint_ms']:.0f})")
    print(f"{times.demo}: devices listed after {times.rows_ms:.0f} ms")
    print(
        f"{times.demo}: keystroke to findings, {times.edits} edits: median {times.edit_median_ms:.0f} ms "
        f"(target {TARGETS['edit_median_ms']:.0f}), slowest {times.edit_slowest_ms:.0f} ms"
    )


def measured(browser: Browser, server: Server, demo: str, edits: int) -> Times:
    """Return the times of one job.

    Args:
        edits: how many edits to time, from 1
    """
    page = browser.new_context(viewport={"width": 1400, "height": 900}).new_page()
    hands = Hands(page, server.address)
    hands.open(demo, "devices")
    page.locator("main .grid tbody tr").nth(3).wait_for()
    rows = page.evaluate("performance.now()")
    paint = page.evaluate(PAINT)
    hands.cell("Devices", "INJ1", 0).click()
    page.evaluate(WATCH)
    for number in range(edits + 2):
        type_current(page, hands, number)
    took = page.evaluate("window.took")[2:]  # the first two warm up
    return Times(demo, paint, rows, median(took), max(took), len(took))


def type_current(page: Page, hands: Hands, number: int) -> None:
    """Type another current of the first injector's first cavity."""
    cell = page.locator('[role=grid][aria-label="Cavities of INJ1"] tbody tr td[data-column="3"]').first
    cell.click()
    page.keyboard.type(f"{1 + number / 100:.2f}")
    hands.saved(lambda: page.keyboard.press("Enter"))
    page.wait_for_function("n => window.took.length > n", arg=number)


if __name__ == "__main__":
    main()
