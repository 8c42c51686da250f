"""The bench in a browser at phone size: network gone, server killed, tab closed, two devices, retests."""

import json
import time
import urllib.request
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
import segno
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.records.bench_made import WHEN
from tests.records.readings import JUDGED, READ
from tests.web.conftest import Server, start, wait_for

from loomwright.records.bench_photos import photo_file
from loomwright.records.bench_reading import judged
from loomwright.records.bench_store import all_records

PHONE = {"width": 390, "height": 844}


@pytest.fixture
def device(browser: Browser) -> Iterator[Callable[[], BrowserContext]]:
    """Makes phones, each with a profile of its own; what a script throws fails the test."""
    made: list[BrowserContext] = []
    thrown: list[str] = []

    def make() -> BrowserContext:
        context = browser.new_context(viewport=PHONE, has_touch=True, is_mobile=True)
        context.on("weberror", lambda fault: thrown.append(str(fault.error)))
        made.append(context)
        return context

    yield make
    for context in made:
        context.close()
    assert thrown == []


def opened(context: BrowserContext, server: Server, screen: str) -> Page:
    """A bench page with initials told."""
    page = context.new_page()
    page.goto(f"{server.address}/bench/six#more")
    page.get_by_label("Initials").fill("AB")
    page.get_by_label("Initials").blur()
    page.goto(f"{server.address}/bench/six#{screen}")
    if screen == "cut":
        page.locator("details.reel").first.wait_for()
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true })")
    return page


def ticks(page: Page) -> list:
    return page.locator(".wire .tick:first-child").all()


def stored(server: Server, job: str = "six") -> list:
    return list(all_records(server.root / job))


def pressed(page: Page, number: int) -> None:
    expect(page.locator(".wire .tick:first-child").nth(number)).to_have_attribute("aria-pressed", "true")


def test_ticks_made_without_network_are_kept_shown_and_sent_once(server: Server, device) -> None:
    phone = device()
    page = opened(phone, server, "cut")
    ticks(page)[0].click()
    wait_for(lambda: len(stored(server)) == 1)
    phone.set_offline(True)
    for one in ticks(page)[1:5]:
        one.click()
    for number in range(5):
        pressed(page, number)
    expect(page.locator("#line")).to_contain_text("4 kept here, not sent yet")
    expect(page.locator("#line")).to_contain_text("keep this page open")
    page.locator("#tabs").get_by_text("Build").click()  # goes on working
    expect(page.get_by_role("heading", name="Build order")).to_be_visible()
    assert len(stored(server)) == 1
    phone.set_offline(False)
    expect(page.locator("#line")).to_contain_text("all sent", timeout=10000)
    found = stored(server)
    assert len(found) == 5
    assert len({r.of for r in found}) == 5
    time.sleep(3.5)  # the next poll
    assert len(stored(server)) == 5


def test_screens_change_while_the_program_is_slow_to_answer(server: Server, device) -> None:
    phone = device()
    page = opened(phone, server, "cut")
    expect(page.locator("#line")).to_contain_text("all sent")
    waiting: list[object] = []
    phone.route("**/api/job/six/bench", lambda route: waiting.append(route))  # never answered
    page.reload()
    expect(page.locator("main h1")).to_have_text("Cut list")
    wait_for(lambda: waiting)
    page.locator("#tabs").get_by_text("Test").click()
    expect(page.locator("main h1")).to_have_text("Tests")


def test_server_killed_and_started_again_in_the_middle(root: Path, device) -> None:
    server = start(root)
    page = opened(device(), server, "cut")
    ticks(page)[0].click()
    wait_for(lambda: len(stored(server)) == 1)
    server.kill()
    for one in ticks(page)[1:4]:
        one.click()
    pressed(page, 3)
    expect(page.locator("#line")).to_contain_text("kept here, not sent yet")
    again = start(root, server.port)
    try:
        expect(page.locator("#line")).to_contain_text("all sent", timeout=15000)
        assert len({r.of for r in stored(again)}) == 4
        assert len(stored(again)) == 4
    finally:
        again.kill()


def test_a_tab_closed_without_network_loses_nothing(server: Server, device) -> None:
    phone = device()
    page = opened(phone, server, "cut")
    expect(page.locator("#line")).to_contain_text("all sent")
    phone.set_offline(True)
    for one in ticks(page)[:3]:
        one.click()
    pressed(page, 2)
    page.close(run_before_unload=False)
    assert stored(server) == []
    phone.set_offline(False)
    page = phone.new_page()
    page.goto(f"{server.address}/bench/six#cut")
    expect(page.locator("#line")).to_contain_text("all sent")
    wait_for(lambda: len(stored(server)) == 3)
    page.locator("details.reel").first.wait_for()
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true })")
    pressed(page, 2)


def test_two_devices_see_each_others_ticks_and_taking_back(server: Server, device) -> None:
    one, other = (opened(device(), server, "cut") for _ in "ab")
    ticks(one)[0].click()
    expect(other.locator(".wire .tick:first-child").first).to_have_attribute(
        "aria-pressed", "true", timeout=8000
    )
    ticks(other)[0].click()
    expect(one.locator(".wire .tick:first-child").first).to_have_attribute(
        "aria-pressed", "false", timeout=8000
    )
    found = stored(server)
    assert [r.value for r in found] == ["done", "taken back"]
    assert found[1].replaces == found[0].id


def test_two_devices_that_tell_different_things_are_marked_and_settled_by_one_tap(
    server: Server, device
) -> None:
    phone, other = device(), device()
    one, two = opened(phone, server, "cut"), opened(other, server, "cut")
    phone.set_offline(True)
    ticks(one)[0].click()  # knows nothing of the other's
    pressed(one, 0)
    ticks(two)[0].click()
    pressed(two, 0)
    ticks(two)[0].click()
    wait_for(lambda: [r.value for r in stored(server)] == ["done", "taken back"])
    expect(one.locator(".apart:visible")).to_have_count(0)
    phone.set_offline(False)
    for page in (one, two):
        expect(page.locator("#head")).to_contain_text("≠ 1 told differently", timeout=10_000)
        mark = page.locator(".apart:visible")
        expect(mark).to_have_count(1)
        for words in ("done AB, ", "taken back AB, ", "; counts"):
            expect(mark).to_contain_text(words)
        expect(mark.locator(".told").first).to_contain_text("counts")
    expect(one.locator(".wire .tick:first-child").first).to_have_attribute("aria-pressed", "true")
    desk = other.new_page()
    desk.goto(f"{server.address}/job/six#records")
    expect(desk.get_by_role("region", name="Records")).to_contain_text("tell different things of 1 piece")
    two.locator(".apart:visible").get_by_role("button", name="taken back holds").click()
    for page in (two, one):
        expect(page.locator(".apart:visible")).to_have_count(0, timeout=10_000)
        expect(page.locator(".wire .tick:first-child").first).to_have_attribute("aria-pressed", "false")
    found = stored(server)
    assert [r.value for r in found] == ["done", "taken back", "done", "taken back"]
    assert set(found[3].replaces.split()) == {found[1].id, found[2].id}
    assert found[3].note == "settled between done (AB), taken back (AB)"


SAID = [
    ([("a", "5.4", "", ""), ("b", "5,40 mm", "", "")], []),
    ([("a", "5.4", "", ""), ("b", "5.6", "", "")], ["b", "a"]),
    ([("a", "5.4", "", ""), ("b", "5.6", "", "a")], []),
    ([("a", "0.1", "at most 1 ohm", ""), ("b", "0.2", "at most 1 ohm", "")], []),
    ([("a", "0.1", "at most 1 ohm", ""), ("b", "2", "at most 1 ohm", "")], ["b", "a"]),
    ([("a", "1", "", ""), ("b", "2", "", "a"), ("c", "3", "", "a"), ("d", "4", "", "c")], ["d", "b"]),
    ([("a", "1", "", ""), ("b", "2", "", ""), ("c", "1", "", "a b")], []),
]


def test_what_counts_as_told_differently(server: Server, device) -> None:
    page = opened(device(), server, "more")
    script = """async (several) => {
        const m = await import("/static/bench/apart.js");
        const records = several.map(([id, value, limits, replaces]) => ({id, value, limits, replaces}));
        return m.apart(records).map((r) => r.id);
    }"""
    for several, told in SAID:
        assert page.evaluate(script, several) == told, several


def test_readings_sent_by_a_meter_are_judged_and_retests_kept(server: Server, device) -> None:
    page = opened(device(), server, "test")
    page.locator("#place .rows a").first.click()
    fields = page.locator(".entry input.value")
    fields.first.click()
    for typed in ("+3.21E+01", "+1.05E-01"):
        page.keyboard.type(typed)
        page.keyboard.press("Enter")  # the cursor goes on by itself
        page.wait_for_timeout(150)
    entries = page.locator(".entry:has(input.value)")
    expect(entries.nth(0)).to_contain_text("✕ outside")
    expect(entries.nth(1)).to_contain_text("✓ good")
    fields.first.fill("0,1")
    fields.first.press("Enter")
    expect(entries.nth(0)).to_contain_text("✓ good")
    expect(entries.nth(0)).to_contain_text("Before: +3.21E+01 (out)")
    wait_for(lambda: len(stored(server)) == 3)
    found = stored(server)
    assert [judged(r.value, r.limits) for r in found] == ["out", "good", "good"]
    assert found[2].of == found[0].of
    assert found[2].replaces == found[0].id


def test_page_and_program_judge_alike(server: Server, device) -> None:
    page = opened(device(), server, "more")
    script = """async ([read, judge]) => {
        const m = await import("/static/bench/reading.js");
        return [read.map(([t, u]) => String(m.readingOf(t, u))), judge.map(([v, l]) => m.judged(v, l))];
    }"""
    read, judge = page.evaluate(script, [[row[:2] for row in READ], [row[:2] for row in JUDGED]])
    for (text, unit, value), told in zip(READ, read, strict=True):
        if value is None:
            assert told == "null", text
        else:
            assert float(told.replace("Infinity", "inf")) == pytest.approx(value, rel=1e-12), (text, unit)
    assert judge == [row[2] for row in JUDGED]


def test_a_step_is_ticked_with_its_wires_by_the_thumb(server: Server, device) -> None:
    page = opened(device(), server, "build")
    page.locator("a.next").click()
    while not page.locator(".ticks").count():
        page.locator(".thumb .side").last.click()
        page.wait_for_timeout(50)
    words = page.locator("h1").inner_text()
    page.locator(".thumb .done").click()
    page.get_by_role("button", name="Tick them, too").click()
    expect(page.locator("h1")).not_to_have_text(words)  # goes on to the next step
    wait_for(lambda: any(r.what == "step" for r in stored(server)))
    found = stored(server)
    assert {r.what for r in found} == {"step", "cut", "marked"}


def test_a_photo_taken_without_network_comes_after(server: Server, device, tmp_path: Path) -> None:
    phone = device()
    page = opened(phone, server, "build")
    page.locator("a.next").click()
    expect(page.locator(".thumb .done")).to_be_visible()
    picture = tmp_path / "bench.png"
    segno.make("an invented photo").save(str(picture), scale=12)
    phone.set_offline(True)
    page.locator("input[type=file]").first.set_input_files(picture)
    page.get_by_label("What it shows").fill("splice before the cover")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator(".note")).to_contain_text("not sent yet")
    phone.set_offline(False)
    (one,) = wait_for(lambda: stored(server), 12)
    assert one.note == "splice before the cover"
    file = photo_file(server.root / "six", one.photo)
    assert file is not None
    assert file.read_bytes().startswith(b"\xff\xd8\xff")
    expect(page.locator(".note img")).to_be_visible()


def test_a_code_on_a_photo_opens_the_device(server: Server, device, tmp_path: Path) -> None:
    page = opened(device(), server, "find")
    name = page.locator("#place .rows a").first.inner_text().split()[0]
    mark = page.evaluate("fetch('/api/job/six/bench').then((a) => a.json()).then((j) => j.mark)")
    picture = tmp_path / "code.png"
    segno.make(f"LW1:{mark}:{name}", error="m", micro=False).save(str(picture), scale=8, border=6)
    page.locator("input[type=file]").set_input_files(picture)
    expect(page.locator(".found h2").first).to_contain_text(name)
    expect(page.locator(".found img").first).to_be_visible()


def test_device_pages_open_without_network(server: Server, device) -> None:
    phone = device()
    page = opened(phone, server, "find")
    kept = """() => new Promise((good) => {
        const asked = indexedDB.open("loomwright-bench");
        asked.onsuccess = () => {
            const got = asked.result.transaction("settings").objectStore("settings").get(["six", "devices"]);
            got.onsuccess = () => { asked.result.close(); good(Boolean(got.result)); };
        };
    })"""
    wait_for(lambda: page.evaluate(kept))
    phone.set_offline(True)
    page.locator("#place .rows a").first.click()
    expect(page.locator(".found table").first).to_be_visible()
    expect(page.locator(".found")).to_contain_text("As last fetched by this device")


def test_a_browser_that_keeps_nothing_says_so_and_ticks_only_what_is_stored(server: Server, device) -> None:
    phone = device()
    phone.add_init_script("indexedDB.open = () => { throw new Error('private window'); };")
    page = opened(phone, server, "cut")
    expect(page.locator("#line")).to_contain_text("this browser keeps nothing")
    page.evaluate("location.hash = '#more'")
    expect(page.locator("details[open]")).to_contain_text("without network nothing can be ticked")
    page.get_by_label("Initials").fill("AB")
    page.get_by_label("Initials").blur()
    page.evaluate("location.hash = '#cut'")
    page.locator("details.reel").first.wait_for()
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true })")
    ticks(page)[0].click()
    pressed(page, 0)
    assert len(stored(server)) == 1
    phone.set_offline(True)
    ticks(page)[1].click()
    expect(page.locator("#say")).to_contain_text("Not ticked")
    expect(page.locator(".wire .tick:first-child").nth(1)).to_have_attribute("aria-pressed", "false")


def test_the_timer_shows_minutes_before_they_are_kept(server: Server, device) -> None:
    page = opened(device(), server, "build")
    page.locator("a.next").click()
    page.get_by_role("button", name="Start the timer").click()
    expect(page.locator("#head .clock")).to_be_visible()  # kept by now
    page.reload()
    page.locator("#head .clock").click()  # it went on over the reload
    page.get_by_label("Minutes of work").fill("7,5")
    page.get_by_role("button", name="Keep", exact=True).click()
    (one,) = wait_for(lambda: stored(server))
    assert (one.what, one.value) == ("time", "7.5")


def test_names_with_markup_are_text(server: Server, device) -> None:
    page = opened(device(), server, "build")
    page.locator("a.next").click()
    page.get_by_role("button", name="Note", exact=True).click()
    odd = '<img src=x onerror="document.title=1">=HYPERLINK("x")'
    page.get_by_label("What the next one").fill(odd)
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.locator(".note")).to_contain_text(odd)
    page.goto(f"{server.address}/bench/six#more")
    expect(page.locator(".log")).to_contain_text(odd)
    assert page.locator(".log img, .note img").count() == 0


def test_killed_in_the_middle_of_300_ticks_over_http(root: Path) -> None:
    server = start(root)

    def send(number: int) -> int:
        one = {"id": f"tick-{number:06d}", "who": "AB", "when": WHEN, "what": "cut", "of": f"W{number}"}
        body = json.dumps({"records": [{**one, "value": "done"}]}).encode()
        head = {"content-type": "application/json"}
        asked = urllib.request.Request(f"{server.address}/api/job/six/records", body, head)
        with urllib.request.urlopen(asked, timeout=5) as answer:
            said = json.loads(answer.read())
        if number == 120:
            server.kill()
        return number if said["accepted"] else -1

    with ThreadPoolExecutor(3) as pool:
        going = [pool.submit(send, number) for number in range(300)]
    accepted = {one.result() for one in going if one.exception() is None}
    assert 100 < len(accepted) < 300
    there = {int(r.of[1:]) for r in stored(server)}
    assert accepted <= there
    again = start(root, server.port)
    try:
        with urllib.request.urlopen(f"{again.address}/api/job/six/records", timeout=5) as answer:
            assert len(json.loads(answer.read())["records"]) == len(there)
    finally:
        again.kill()
