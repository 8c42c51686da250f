"""The run on a photo of the bay: put in, tapped, drawn, dragged, typed; then on the route sheet."""

import tomllib
from pathlib import Path

from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect
from tests.jobfile.test_read_photo import png
from tests.web.conftest import Server
from tests.web.hands import Hands

from loomwright.job import work_out


def test_points_are_tapped_and_ways_drawn_over_a_photo(server: Server, page: Page):
    hands = Hands(page, server.address)
    hands.open("six", "run")
    place = page.get_by_role("region", name="Run on a photo")
    photo = {"name": "IMG 1.png", "mimeType": "image/png", "buffer": png(400, 200)}
    hands.saved(lambda: place.get_by_label("put a photo in").set_input_files(photo))
    over = place.locator(".run-photo svg")
    expect(over).to_have_attribute("viewBox", "0 0 1000 500")
    over.scroll_into_view_if_needed()

    def spot(x: float, y: float) -> dict[str, float]:
        box = over.bounding_box()
        assert box
        return {"x": box["width"] * x, "y": box["height"] * y}

    def job() -> dict:
        return tomllib.loads((server.root / "six" / "job.toml").read_text("utf-8"))["photo"]["bay"]

    tap = place.get_by_label("tap", exact=True)
    tap.select_option("point B1")
    hands.saved(lambda: over.click(position=spot(0.25, 0.5)))
    tap.select_option("point B2")
    hands.saved(lambda: over.click(position=spot(0.75, 0.5)))
    tap.select_option(label="way of B1-B2")
    hands.saved(lambda: over.click(position=spot(0.5, 0.2)))
    expect(over.locator('polyline[data-section="B1-B2"]')).to_have_class("way chosen")
    held = job()
    assert held["file"].startswith("photos/")
    assert [round(x, 2) for x in held["points"]["B1"]] == [0.25, 0.5]
    assert [[round(x, 2) for x in one] for one in held["lines"]["B1-B2"]] == [[0.5, 0.2]]

    corner = over.locator("circle.corner").bounding_box()
    assert corner
    page.mouse.move(corner["x"] + corner["width"] / 2, corner["y"] + corner["height"] / 2)
    page.mouse.down()
    page.mouse.move(corner["x"] + 40, corner["y"] + 60, steps=3)
    hands.saved(page.mouse.up)
    assert job()["lines"]["B1-B2"][0][1] > 0.22

    typed = place.get_by_label("B1, from left, %")
    typed.fill("30")
    hands.saved(lambda: typed.press("Tab"))
    assert job()["points"]["B1"][0] == 0.3
    hands.saved(lambda: place.get_by_role("button", name="add a corner").press("Enter"))
    assert len(job()["lines"]["B1-B2"]) == 2

    done = work_out(server.root / "six")
    assert done.read.job.photos[0].media == "image/jpeg"
    assert [x.code for x in done.findings if x.code in ("FILE-04", "FILE-10")] == []


def test_a_copy_of_a_job_takes_its_photos_along(client: TestClient, root: Path):
    photo = client.post("/api/job/six/photo", content=png(800, 600), headers={"content-type": "image/png"})
    file = f"photos/{photo.json()['photo']}"
    job = root / "six" / "job.toml"
    job.write_text(job.read_text("utf-8") + f'\n[photo.bay]\nfile = "{file}"\n', "utf-8")
    assert client.get("/api/job/six/run-photo/bay").content == png(800, 600)
    assert client.get("/api/job/six/run-photo/none").status_code == 404
    made = client.post("/api/jobs", json={"name": "second", "from": "copy:six"})
    assert made.status_code in (200, 201), made.text
    assert client.get("/api/job/second/run-photo/bay").content == png(800, 600)
