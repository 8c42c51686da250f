"""The desk in a real browser: a whole loom entered from nothing, undo across screens, conflicts, search."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.web.conftest import Server, start, wait_for
from tests.web.hands import Hands

from loomwright.job import work_out

DEVICES = [
    ["FB", "fuse box 4", "bay", "", "", "yes"],
    ["K1", "relay, 4 pins", "bay", "main relay", "", "yes"],
    ["G1", "block ground stud", "block", "", "", "yes"],
    ["INJ1", "injector, high impedance", "block", "injector", "", "yes"],
    ["MAP", "MAP sensor", "bay", "", "", "yes"],
    ["ECU", "controller 26", "cabin", "", "", "yes"],
]
FACES = {
    "FB": "fuse box 4",
    "K1": "relay socket 4",
    "G1": "stud M8",
    "INJ1": "one row 2",
    "MAP": "one row 3",
    "ECU": "header 26",
}
CAVITIES = {
    "BAT": [["+", "battery feed"]],
    "FB": [["IN", "battery feed"], ["F1", "relay feed"], ["F2", "permanent feed"]],
    "K1": [["30", "relay feed"], ["87", "switched feed"], ["86", "permanent feed"], ["85", "main relay"]],
    "G1": [["stud", "engine ground"]],
    "INJ1": [["1", "switched feed"], ["2", "inj 1"]],
    "MAP": [["1", "sensor 5 V"], ["2", "sensor 0 V"], ["3", "manifold pressure"]],
    "ECU": [
        ["1", "switched feed", 0.7],
        ["2", "permanent feed", 0.01],
        ["13", "engine ground"],
        ["26", "engine ground"],
        ["5", "inj 1"],
        ["6", "main relay"],
        ["14", "sensor 5 V"],
        ["15", "sensor 0 V"],
        ["16", "manifold pressure"],
    ],
}


def put(file: Path, text: str) -> None:
    """Write a file whole, as careful editors do."""
    part = file.with_suffix(".part")
    part.write_text(text, "utf-8")
    part.replace(file)


@pytest.fixture
def hands(server: Server, browser: Browser) -> Iterator[Hands]:
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    context.grant_permissions(["clipboard-read", "clipboard-write"], origin=server.address)
    context.set_default_timeout(6000)
    page = context.new_page()
    thrown: list[str] = []
    page.on("pageerror", lambda fault: thrown.append(str(fault)))
    yield Hands(page, server.address)
    context.close()
    assert thrown == []


def test_six_devices_from_nothing_to_the_printed_pack(hands: Hands, server: Server) -> None:
    page = hands.page
    page.goto(server.address)
    page.get_by_role("button", name="New job …").click()
    page.get_by_label("Name").fill("Bench single")
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/job/bench-single")
    expect(page.locator("main .hint").first).to_contain_text("Nothing is entered yet")
    enter_devices(hands)
    enter_circuits(hands)
    enter_rope(hands)
    enter_run(hands)
    hands.station("Job & shop")
    hands.fill_field("min mm2", "0.5")
    hands.choose("sleeve", "polyolefin 2:1")
    findings = {(x.severity, x.key) for x in work_out(server.root / "bench-single").findings}
    assert not [x for x in findings if x[0] != "note"], findings
    hands.station("Findings")
    expect(page.locator("main")).to_contain_text("No fault stands in the way")
    hands.station("Pack")
    hands.saved(lambda: page.get_by_role("button", name="Write the pack").click(), "/pack")
    expect(page.get_by_role("link", name="build-pack.pdf")).to_be_visible()
    pdf = page.request.get(f"{server.address}/api/job/bench-single/pack/build-pack.pdf").body()
    assert pdf.startswith(b"%PDF")
    assert len(work_out(server.root / "bench-single").worked.routed.wires) == 15


def enter_devices(hands: Hands) -> None:
    page = hands.page
    hands.new_cell("Devices").click()
    page.keyboard.type("BAT")
    page.keyboard.press("Tab")
    page.keyboard.type("battery")
    hands.saved(lambda: page.keyboard.press("Enter"))
    hands.type_into("Devices", "BAT", 2, "bay")
    hands.cell("Devices", "BAT", 5).click()
    hands.saved(lambda: page.keyboard.press("Space"))
    hands.paste("Devices", DEVICES)
    for device, rows in CAVITIES.items():
        hands.cell("Devices", device, 0).click()
        if device in FACES:
            hands.fill_field(f"Face of {device}", FACES[device])
            box = page.get_by_label("checked against the numbers in the plug")
            if device != "G1":
                hands.saved(box.click)
        grid = f"Cavities of {device}"
        first = rows[0]
        hands.type_into(grid, str(first[0]), 1, str(first[1]))
        for row in rows[1:]:
            hands.type_into(grid, str(row[0]), 1, str(row[1]))
        for row in (x for x in rows if len(x) > 2):
            hands.type_into(grid, str(row[0]), 3, str(row[2]))


def enter_circuits(hands: Hands) -> None:
    hands.station("Circuits")
    fuses = [["F1", "blade fuse", 5, "battery feed", "relay feed", "FB", 150]]
    fuses += [["F2", "blade fuse", 5, "battery feed", "permanent feed", "FB", 150]]
    hands.paste("Fuses", fuses)
    hands.type_into("Circuits", "battery feed", 5, "6")
    hands.type_into("Circuits", "battery feed", 7, "the stud of the box takes a 6 mm2 ring; fused at 5 A")


def enter_rope(hands: Hands) -> None:
    page = hands.page
    hands.station("Rope")
    hands.type_into("Areas", "bay", 1, "70")
    hands.type_into("Areas", "block", 1, "100")
    hands.type_into("Areas", "block", 2, "5")
    hands.type_into("Looms", "engine", 2, "38")
    tapes = {
        "trunk": ("bulkhead", [["B1", 320], ["B2", 690, "", 5], ["INJ1", 910]]),
        "battery": ("B1", [["B3", 210], ["BAT", 300]]),
        "cabin": ("bulkhead", [["ECU", 540]]),
    }
    for name, (start_at, reads) in tapes.items():
        page.get_by_label("Name of the tape").fill(name)
        page.get_by_label("Where its zero lies").fill(start_at)
        hands.saved(page.get_by_role("button", name="Add the tape").click)
        hands.paste(f"Readings of {name}", reads)
    hands.paste("Co-runs of trunk", [["MAP", 760, 46, "wire exit"]])
    hands.paste("Sections measured alone", [["B3-FB", 60], ["B3-K1", 170], ["B2-G1", 180]])
    exits = [
        ["bulkhead", "B1", "front"],
        ["bulkhead", "ECU", "back"],
        ["B1", "B2", "front"],
        ["B1", "B3", "left"],
        ["B2", "INJ1", "front"],
        ["B2", "MAP", "front up"],
        ["B2", "G1", "down"],
        ["B3", "BAT", "left"],
        ["B3", "FB", "up"],
        ["B3", "K1", "front"],
    ]
    hands.paste("Exits", exits)


def enter_run(hands: Hands) -> None:
    page = hands.page
    hands.station("Run")
    hands.choose("linkage", "cable")
    hands.fill_field("loom stays clear by, mm", "60")
    page.get_by_role("button", name="bulkhead-B1", exact=True).click()
    hands.fill_field("goes via", "along the left inner wing")
    hands.paste("Ties and clips", [[60, "bracket"], [220, "bracket"]])
    page.get_by_role("button", name="B1-B2", exact=True).click()
    hands.paste("What it passes", [["hot part", 240, "", "", 350, "", "", "", "exhaust collector"]])
    hands.paste("Bends", [[120, 60, 60, 50]])
    hands.paste("Ties and clips", [[60, "bracket"], [190, "bracket"], [320, "bracket"]])
    hands.fill_field("free loop, mm", "30")


def test_undo_and_redo_across_screens(hands: Hands, server: Server) -> None:
    page = hands.page
    before = (server.root / "six/job.toml").read_bytes()
    hands.open("six", "devices")
    hands.type_into("Devices", "INJ1", 3, "first injector")
    hands.station("Rope")
    hands.type_into("Areas", "bay", 1, "80")
    hands.station("Findings")
    page.locator("main").click()
    hands.saved(lambda: page.keyboard.press("Control+z"), "/undo")
    hands.saved(page.get_by_role("button", name="Undo").click, "/undo")
    assert (server.root / "six/job.toml").read_bytes() == before
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()
    hands.saved(lambda: page.keyboard.press("Control+y"), "/redo")
    hands.station("Devices & cavities")
    expect(hands.cell("Devices", "INJ1", 3)).to_have_text("first injector")


def test_two_windows_see_each_other(hands: Hands, server: Server) -> None:
    hands.open("six", "devices")
    other = Hands(hands.page.context.new_page(), server.address)
    other.open("six", "devices")
    hands.type_into("Devices", "MAP", 3, "from the first window")
    expect(other.cell("Devices", "MAP", 3)).to_have_text("from the first window", timeout=3000)
    other.saved(other.page.get_by_role("button", name="Undo").click, "/undo")
    expect(hands.cell("Devices", "MAP", 3)).not_to_have_text("from the first window", timeout=3000)


def test_a_file_changed_on_disk_is_shown_and_nothing_is_lost(hands: Hands, server: Server) -> None:
    page, file = hands.page, server.root / "six/job.toml"
    hands.open("six", "devices")
    hands.cell("Devices", "INJ1", 3).click()
    page.keyboard.type("mine")
    page.route("**/since/**", lambda route: route.abort())
    text = file.read_text("utf-8").replace('words = "injector"', 'words = "theirs"')
    put(file, text)
    page.keyboard.press("Enter")
    box = page.get_by_role("dialog")
    expect(box).to_contain_text("theirs")
    expect(box).to_contain_text("mine")
    assert '"mine"' not in file.read_text("utf-8")
    hands.saved(box.get_by_role("button", name="Write mine").click)
    wait_for(lambda: '"mine"' in file.read_text("utf-8"))


def test_an_outside_edit_of_something_else_is_merged(hands: Hands, server: Server) -> None:
    file = server.root / "six/job.toml"
    hands.open("six", "devices")
    put(file, file.read_text("utf-8").replace("air_c = 70", "air_c = 71"))
    hands.type_into("Devices", "INJ1", 3, "merged")
    text = file.read_text("utf-8")
    assert "air_c = 71" in text
    assert '"merged"' in text


def test_search_lights_a_wire_in_every_view(hands: Hands, page: Page) -> None:
    hands.open("six")
    page = hands.page
    page.keyboard.press("/")
    page.keyboard.type("manifold")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.locator(".lit-chip")).to_be_visible()
    hands.station("Circuits")
    expect(page.locator("tr.lit").first).to_be_visible()


def test_names_with_markup_do_no_harm(hands: Hands, server: Server) -> None:
    page = hands.page
    evil = '<img src=x onerror="window.hurt=1">'
    hands.open("six", "devices")
    hands.type_into("Devices", "INJ1", 3, evil)
    hands.station("Job & shop")
    hands.fill_field("Title, on every sheet", evil)
    for words in (
        "Circuits",
        "Rope",
        "Loom plan",
        "Findings",
        "Bundles",
        "Forming board",
        "Pack",
        "Records & revisions",
    ):
        hands.station(words)
    page.wait_for_timeout(200)
    assert page.evaluate("window.hurt") is None
    assert page.locator("img[src=x]").count() == 0
    page.goto(server.address)
    expect(page.locator(".job-list")).to_contain_text(evil)
    assert page.evaluate("window.hurt") is None


def test_accept_and_mend_a_finding(hands: Hands, server: Server) -> None:
    page, file = hands.page, server.root / "six/job.toml"
    text = file.read_text("utf-8").replace('face = "one row 3"\nface_checked = true', 'face = "one row 3"')
    put(file, text)
    hands.open("six", "findings")
    page.get_by_role("button", name="Notes").click()
    card = (
        page.locator("main .finding", has_text="MAP")
        .filter(has=page.get_by_role("button", name="Mend …"))
        .first
    )
    card.get_by_role("button", name="Mend …").click()
    box = page.get_by_role("dialog")
    expect(box).to_contain_text("goes:")
    hands.saved(box.get_by_role("button", name="Carry it out").click)
    assert text != file.read_text("utf-8")
    put(file, file.read_text("utf-8").replace("mm = 240, temperature_c", "mm = 20, temperature_c"))
    card = (
        page.locator("main .finding.fault, main .finding.caution")
        .filter(has=page.get_by_role("button", name="Accept …"))
        .first
    )
    card.get_by_role("button", name="Accept …").click()
    page.get_by_label("Reason").fill("shield on order")
    page.get_by_label("Initials").fill("AB")
    hands.saved(page.get_by_role("dialog").get_by_role("button", name="Accept").click)
    assert any("shield on order (AB)" in x.accepted for x in work_out(server.root / "six").findings)


@pytest.mark.parametrize(
    ("cut", "station"),
    [
        ("**/api/library", "Circuits"),
        ("**/api/job/six?want=papers", "Pack"),
        ("**/api/job/six?want=plan", "Loom plan"),
    ],
)
def test_answer_cut_off_is_told_and_comes_once_the_program_answers(
    hands: Hands, server: Server, cut: str, station: str
) -> None:
    page = hands.page
    page.route(cut, lambda route: route.fulfill(body='{"slices": {"pap', content_type="application/json"))
    hands.open("six", "devices")
    hands.station(station)
    page.wait_for_timeout(300)
    page.unroute(cut)
    server.kill()
    again = start(server.root, server.port)
    try:
        place = {"Pack": "main table a", "Loom plan": "main svg .point", "Circuits": "main .grid td"}[station]
        expect(page.locator(place).first).to_be_visible(timeout=15000)
    finally:
        again.kill()


def test_killed_server_is_told_and_nothing_typed_is_taken_for_saved(hands: Hands, server: Server) -> None:
    hands.open("six", "devices")
    server.kill()
    hands.cell("Devices", "INJ1", 3).click()
    hands.page.keyboard.type("lost?")
    hands.page.keyboard.press("Enter")
    expect(hands.page.locator(".words")).to_contain_text("not saved")
    again = start(server.root, server.port)
    try:
        hands.type_into("Devices", "INJ1", 3, "kept")
        assert '"kept"' in Path(server.root / "six/job.toml").read_text("utf-8")
    finally:
        again.kill()
