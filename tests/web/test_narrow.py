"""Every screen fits its window: phones don't scroll sideways, tables at the desk are not clipped."""

from pathlib import Path

from playwright.sync_api import Browser
from tests.web.conftest import Server
from tests.web.hands import Hands
from tests.web.test_access import SCREENS

WIDTH = 360
BENCH = ("cut", "build", "test", "find", "more")
SIDEWAYS = "document.documentElement.scrollWidth - window.innerWidth"
CLIPPED = """() => [...document.querySelectorAll("main .scroll")]
    .filter((x) => x.scrollWidth > x.clientWidth + 1)
    .map((x) => x.querySelector("table").getAttribute("aria-label") || "")"""


def test_no_screen_scrolls_sideways_on_a_phone(server: Server, browser: Browser) -> None:
    empty = server.root / "empty"
    empty.mkdir()
    Path(empty / "job.toml").write_text('format = 1\n[job]\ntitle = "Empty"\n', "utf-8")
    page = browser.new_page(viewport={"width": WIDTH, "height": 740})
    over = {}
    for job in ("six", "empty"):
        Hands(page, server.address).open(job, "job")
        for name in SCREENS:
            page.evaluate("name => { location.hash = name; }", name)
            page.locator(f'.rail a[href="#{name}"][aria-current="page"]').wait_for()
            page.wait_for_timeout(150)
            over[job, name] = page.evaluate(SIDEWAYS)
            left, right = page.evaluate(
                "() => { const x = document.querySelector('.rail [aria-current]').getBoundingClientRect();"
                " return [x.left, x.right]; }"
            )
            assert left >= 0, f"the station {name} is out of sight"
            assert right <= WIDTH, f"the station {name} is out of sight"
        for name in BENCH:
            page.goto(f"{server.address}/bench/{job}#{name}")
            page.locator("main h1").wait_for()
            over[job, f"bench {name}"] = page.evaluate(SIDEWAYS)
    page.close()
    assert {one: by for one, by in over.items() if by > 0} == {}


def test_no_table_at_the_desk_is_clipped_at_1280(server: Server, browser: Browser) -> None:
    page = browser.new_page(viewport={"width": 1280, "height": 720})
    hands = Hands(page, server.address)
    clipped = {}
    hands.open("six", "job")
    for name in SCREENS:
        page.evaluate("name => { location.hash = name; }", name)
        page.locator(f'.rail a[href="#{name}"][aria-current="page"]').wait_for()
        page.wait_for_timeout(200)
        clipped[name] = page.evaluate(CLIPPED)
    page.close()
    assert {name: tables for name, tables in clipped.items() if tables} == {}
