"""Records & revisions on the desk: what the bench teaches is shown first, taken over, taken back."""

import json
import tomllib
import urllib.request

from playwright.sync_api import Page, expect
from tests.web.conftest import Server, wait_for
from tests.web.hands import Hands
from tests.web.test_bench import record


def send_records(server: Server, job: str, records: list[dict[str, str]]) -> None:
    """Store records as a bench device does."""
    body = json.dumps({"records": records}).encode()
    heads = {"content-type": "application/json"}
    ask = urllib.request.Request(f"{server.address}/api/job/{job}/records", body, heads)
    with urllib.request.urlopen(ask, timeout=10) as answer:
        assert not json.load(answer)["refused"]


def steps_of(server: Server, job: str) -> list[dict]:
    with urllib.request.urlopen(f"{server.address}/api/job/{job}/bench", timeout=10) as answer:
        return list(json.load(answer)["steps"])


def test_what_the_bench_teaches_is_shown_taken_over_and_taken_back(page: Page, server: Server) -> None:
    steps = steps_of(server, "six")
    crimps = [s for s in steps if s["key"].split("/")[1].startswith("crimp ")][:2]
    slide = next(e for s in steps for e in s["entries"] if e["what"] == "size")
    records = [record(n, what="time", of=s["key"], value="6.5") for n, s in enumerate(crimps)]
    send_records(
        server, "six", [*records, record(9, what="size", of=slide["of"], value="5.4", who="<b>CD</b>")]
    )
    hands = Hands(page, server.address)
    hands.open("six", "records")
    place = page.get_by_role("region", name="What the bench teaches")
    expect(place).to_contain_text("a wire end crimped")
    place.locator("summary").click()
    expect(place).to_contain_text(f"{crimps[0]['key']}: 6.5 min, AB")
    expect(place).to_contain_text("<b>CD</b>")

    stock = server.root / "six" / "stock.toml"
    place.get_by_role("button", name="Minutes: show first").click()
    expect(page.get_by_role("dialog")).to_contain_text("hours of this job:")
    assert not stock.exists()
    hands.saved(lambda: page.get_by_role("button", name="Carry it out").click(), "/shop-minutes")
    expect(place).to_contain_text("✓ taken over")
    assert tomllib.loads(stock.read_text("utf-8"))["minutes"]["per_wire_end"] > 0
    hands.saved(lambda: place.get_by_role("button", name="Take back").click(), "/shop-minutes/undo")
    expect(place).not_to_contain_text("✓ taken over")
    assert "minutes" not in tomllib.loads(stock.read_text("utf-8"))

    section = slide["of"].split("/")[1]

    def measured() -> object:
        job = tomllib.loads((server.root / "six" / "job.toml").read_text("utf-8"))
        return job.get("passes", {}).get(section, {}).get("measured_od_mm")

    place.get_by_role("button", name="Bundles: show first").click()
    expect(page.get_by_role("dialog")).to_contain_text("measured_od_mm = 5.4")
    assert measured() is None
    hands.saved(lambda: page.get_by_role("button", name="Carry it out").click())
    expect(place).to_contain_text("✓ taken over")
    assert measured() == 5.4
    hands.saved(lambda: page.get_by_role("button", name="Undo").click(), "/undo")
    expect(place).not_to_contain_text("✓ taken over")
    wait_for(lambda: measured() is None)
