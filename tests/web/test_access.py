"""For everybody: an accessibility scan of every screen, light and dark; a pass with the keyboard alone."""

import json
import urllib.request
from collections.abc import Iterator
from typing import Any, Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect
from tests.records.bench_made import WHEN
from tests.web.conftest import Server, copy_demo
from tests.web.hands import Hands
from tests.web.test_records_screen import send_records

SCREENS = (
    "job",
    "devices",
    "circuits",
    "rope",
    "plan",
    "run",
    "findings",
    "bundles",
    "board",
    "pack",
    "records",
)
SERIOUS = ("serious", "critical")


@pytest.fixture
def wide(server: Server, browser: Browser) -> Iterator[Page]:
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    context.set_default_timeout(8000)
    yield context.new_page()
    context.close()


def faults_of(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{one['id']}: {node['html'][:160]}"
        for one in found
        if one["impact"] in SERIOUS
        for node in one["nodes"][:3]
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_fault_on_any_screen(server: Server, wide: Page, scheme: str) -> None:
    copy_demo("hillclimb-faults", server.root)
    wide.emulate_media(color_scheme=scheme)
    wide.goto(server.address)
    expect(wide.locator("h1")).to_have_text("Jobs")
    told = {"list": faults_of(wide)}
    hands = Hands(wide, server.address)
    hands.open("hillclimb-faults", "job")
    for name in SCREENS:
        wide.evaluate("name => { location.hash = name; }", name)
        wide.locator(f'.rail a[href="#{name}"][aria-current="page"]').wait_for()
        wide.wait_for_timeout(400)
        told[name] = faults_of(wide)
    assert {name: faults for name, faults in told.items() if faults} == {}
    wide.evaluate("() => document.querySelector('main').append(document.createElement('img'))")
    assert any(one.startswith("image-alt") for one in faults_of(wide)), "the scan finds what is planted"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_fault_on_any_bench_screen(
    server: Server, browser: Browser, scheme: Literal["light", "dark"]
) -> None:
    first = {"who": "AB", "when": WHEN, "what": "cut", "value": "done"}
    wires = [row["wire"] for reel in bench_of(server)["cut_list"] for row in reel["rows"]][:2]
    other = {**first, "id": "device-000009", "of": wires[0], "value": "taken back", "who": "CD"}
    made = [{**first, "id": f"device-00000{n}", "of": wire} for n, wire in enumerate(wires)]
    send_records(server, "six", [*made, other])
    page = browser.new_page(viewport={"width": 390, "height": 844}, color_scheme=scheme)
    told = {}
    step = bench_of(server)["steps"][3]["key"]
    group = bench_of(server)["groups"][1]["key"]
    for name in ("cut", "build", f"step={step}", "test", f"group={group}", "find", "find=INJ1", "more"):
        page.goto(f"{server.address}/bench/six")
        page.evaluate("name => { location.hash = `#${encodeURIComponent(name)}`; }", name)
        page.locator("main h1").first.wait_for()
        expect(page.locator("#head .differ")).to_be_visible()
        page.evaluate("document.querySelectorAll('details').forEach((x) => { x.open = true; })")
        told[name] = faults_of(page)
    assert page.locator(".apart:visible").count(), "what is told differently was looked at, too"
    page.goto(f"{server.address}/login")
    told["login"] = faults_of(page)
    page.close()
    assert {name: faults for name, faults in told.items() if faults} == {}


def bench_of(server: Server) -> dict[str, Any]:
    with urllib.request.urlopen(f"{server.address}/api/job/six/bench", timeout=10) as answer:
        return dict(json.load(answer))


def test_the_keyboard_alone_gets_everywhere(server: Server, wide: Page) -> None:
    hands = Hands(wide, server.address)
    hands.open("six", "devices")
    reached: set[str] = set()
    for _ in range(60):
        wide.keyboard.press("Tab")
        reached.add(
            wide.evaluate(
                "() => { const x = document.activeElement; return x.getAttribute('href')"
                " || x.getAttribute('aria-label') || x.getAttribute('role') || x.textContent.trim(); }"
            )
        )
    assert {f"#{name}" for name in SCREENS} <= reached
    assert "gridcell" in reached
    wide.keyboard.press("/")
    wide.keyboard.type("INJ1")
    wide.keyboard.press("Enter")
    wide.wait_for_function("() => document.activeElement.textContent === 'INJ1'")
    for key in ("ArrowRight", "ArrowRight", "ArrowRight"):
        wide.keyboard.press(key)
    wide.keyboard.type("by keys")
    hands.saved(lambda: wide.keyboard.press("Enter"))
    hands.saved(lambda: wide.keyboard.press("Control+z"), "/undo")


def test_what_has_the_focus_is_seen(server: Server, wide: Page) -> None:
    Hands(wide, server.address).open("six", "devices")
    for _ in range(12):
        wide.keyboard.press("Tab")
        line, width = wide.evaluate(
            "() => { const x = getComputedStyle(document.activeElement);"
            " return [x.outlineStyle, x.outlineWidth]; }"
        )
        assert line != "none", wide.evaluate("() => document.activeElement.outerHTML.slice(0, 200)")
        assert float(width.removesuffix("px")) >= 2
