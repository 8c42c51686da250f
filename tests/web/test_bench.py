"""The bench over HTTP: what it shows, records in and out, codes of labels."""

import io
import tomllib
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from PIL import Image
from tests.pack.worked_jobs import worked
from tests.records.bench_made import WHEN
from tests.web.conftest import copy_demo

from loomwright.pack.label_codes import code_text, job_mark
from loomwright.records.bench_reading import limits_of
from loomwright.records.bench_store import all_records
from loomwright.web.app import make_app
from loomwright.web.entry_kept import Entry


def jpeg() -> bytes:
    """A small picture."""
    out = io.BytesIO()
    Image.linear_gradient("L").save(out, "JPEG")
    return out.getvalue()


JPEG = jpeg()


def record(number: int, **more: str) -> dict[str, str]:
    told = {
        "id": f"device-{number:06d}",
        "who": "AB",
        "when": WHEN,
        "what": "cut",
        "of": "W1",
        "value": "done",
    }
    return {**told, **more}


def test_the_bench_shows_every_wire_step_and_test_once(client: TestClient) -> None:
    found = client.get("/api/job/six/bench").json()
    done = worked("six").worked
    wires = [row["wire"] for reel in found["cut_list"] for row in reel["rows"]]
    assert sorted(wires) == sorted(w.label for w in done.routed.wires)
    assert [s["number"] for s in found["steps"]] == [s.number for s in done.built.steps]
    keys = [s["key"] for s in found["steps"]]
    assert len(set(keys)) == len(keys)
    tests = [t["of"] for g in found["groups"] for t in g["tests"]]
    assert len(set(tests)) == len(tests)
    assert found["demo"] is True


def test_every_wire_is_cut_marked_laid_and_crimped_somewhere(client: TestClient) -> None:
    found = client.get("/api/job/six/bench").json()
    ticks = {(t["what"], t["of"]) for s in found["steps"] for t in s["ticks"]}
    for wire in worked("six").worked.routed.wires:
        assert {("cut", wire.label), ("marked", wire.label), ("laid", wire.label)} <= ticks
        for end in (wire.a, wire.b):
            if end.kind == "pin":
                of = f"{wire.label} at {end.name}"
                assert {("crimped", of), ("inserted", of)} <= ticks


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_cautions_stand_at_the_steps_of_the_build_order_they_belong_to(name: str, tmp_path: Path) -> None:
    from loomwright.building.cautions import CAUTIONS
    from loomwright.web.bench_view import bench_view

    words = {c.key: c.words for c in CAUTIONS}
    done = worked(name)
    shown = {s["key"]: list(s["cautions"]) for s in bench_view(done)["steps"]}
    for step in done.worked.built.steps:
        assert shown[f"{step.loom}/{step.name}"] == [words[key] for key in step.cautions]
    assert any(shown.values())


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_what_is_measured_on_the_bench_has_limits_a_page_can_judge(name: str) -> None:
    from loomwright.web.bench_view import bench_view

    groups = bench_view(worked(name))["groups"]
    bench = [t for g in groups if g["stage"] == "bench test" for t in g["tests"]]
    assert bench
    for one in bench:
        assert one["limits"] == "yes" or limits_of(one["limits"]) is not None, one
        assert one["should"]
    assert {t["limits"] for t in bench if t["kind"] == "short"} == {"at least 1 MOhm"}


def test_records_are_stored_once_and_given_with_numbers(client: TestClient, root: Path) -> None:
    sent = {"records": [record(1), record(2, of="W2")]}
    first = client.post("/api/job/six/records", json=sent).json()
    assert first == {
        "accepted": [{"id": "device-000001", "number": 1}, {"id": "device-000002", "number": 2}],
        "refused": [],
    }
    assert client.post("/api/job/six/records", json=sent).json() == first
    found = client.get("/api/job/six/records?after=1").json()
    assert [(r["number"], r["of"]) for r in found["records"]] == [(2, "W2")]
    assert found["last"] == 2
    assert len(all_records(root / "six")) == 2


def test_one_bad_record_holds_up_no_other(client: TestClient) -> None:
    sent = {"records": [record(1, what="painted"), record(2), record(3, who="")]}
    said = client.post("/api/job/six/records", json=sent).json()
    assert [one["id"] for one in said["accepted"]] == ["device-000002"]
    assert [one["id"] for one in said["refused"]] == ["device-000001", "device-000003"]
    assert "painted" in said["refused"][0]["why"]


@pytest.mark.parametrize(
    "sent",
    [{}, {"records": 3}, {"records": [{"id": 3}]}, {"records": [], "more": 1}, {"records": [{}] * 501}],
)
def test_what_is_no_message_is_refused_in_words(client: TestClient, sent: dict) -> None:
    answer = client.post("/api/job/six/records", json=sent)
    assert answer.status_code == 422
    assert answer.json()["say"]


def test_a_photo_is_named_by_its_digest_and_shown_again(client: TestClient, root: Path) -> None:
    head = {"content-type": "image/jpeg"}
    name = client.post("/api/job/six/photo", content=JPEG, headers=head).json()["photo"]
    digest = name.split(".")[0]
    client.post(
        "/api/job/six/records", json={"records": [record(1, what="note", value="photo", photo=digest)]}
    )
    found = client.get(f"/api/job/six/records/photo/{digest}")
    assert found.content == JPEG
    assert found.headers["content-type"] == "image/jpeg"
    assert client.get("/api/job/six/records/photo/..%2F..%2Fjob.toml").status_code == 404


def test_a_label_leads_to_its_job_and_part(client: TestClient, root: Path) -> None:
    copy_demo("hillclimb", root)
    job = worked("hillclimb").worked.job
    found = client.get(f"/d/{code_text(job, 'INJ1')}", follow_redirects=False)
    assert found.status_code == 303
    assert found.headers["location"] == "/bench/hillclimb#find=INJ1"
    assert client.get("/d/LW1:000000:INJ1").status_code == 404
    assert client.get("/d/what").status_code == 404
    assert client.get("/api/job/hillclimb/bench").json()["mark"] == job_mark(job)


def test_a_device_page_shows_faces_and_what_to_read(client: TestClient) -> None:
    name = client.get("/api/job/six/bench").json()["devices"][0]["name"]
    page = client.get(f"/api/job/six/device/{name}").json()
    assert {b["kind"] for b in page["blocks"]} >= {"facts", "figures", "table"}
    assert client.get("/api/job/six/device/NONE").status_code == 404


def test_times_become_own_minutes_and_sizes_become_edits(client: TestClient) -> None:
    steps = client.get("/api/job/six/bench").json()["steps"]
    crimps = [s for s in steps if s["key"].split("/")[1].startswith("crimp ")][:2]
    slide = next(e for s in steps for e in s["entries"] if e["what"] == "size")
    ends = sum(len(s["items"]) for s in crimps)
    records = [record(n, what="time", of=s["key"], value="6,5") for n, s in enumerate(crimps)]
    records.append(record(9, what="size", of=slide["of"], value="5.4 mm"))
    client.post("/api/job/six/records", json={"records": records})
    said = client.get("/api/job/six/bench/learnt").json()
    (one,) = said["minutes"]
    assert one["key"] == "per_wire_end"
    assert one["number"] == ends
    assert one["minutes"] == pytest.approx(13 / ends, abs=0.051)
    assert said["stock_edits"][0]["path"] == ["minutes", "per_wire_end"]
    section = slide["of"].split("/")[1]
    (size,) = said["sizes"]
    assert size["edit"]["path"] == ["passes", section, "measured_od_mm"]
    assert size["value"] == 5.4
    assert not size["taken"]
    state = client.get("/api/job/six").json()
    answer = client.post("/api/job/six/edits", json={"base": state["digest"], "edits": [size["edit"]]})
    assert answer.status_code == 200, answer.text
    assert client.get("/api/job/six/bench/learnt").json()["sizes"][0]["taken"]


def test_minutes_are_taken_over_into_the_shop_and_taken_back(client: TestClient, root: Path) -> None:
    steps = client.get("/api/job/six/bench").json()["steps"]
    crimps = [s for s in steps if s["key"].split("/")[1].startswith("crimp ")][:2]
    records = [record(n, what="time", of=s["key"], value="6,5") for n, s in enumerate(crimps)]
    client.post("/api/job/six/records", json={"records": records})
    said = client.get("/api/job/six/bench/learnt").json()
    minutes = said["minutes"][0]["minutes"]
    assert [one["of"] for one in said["minutes"][0]["from"]] == [s["key"] for s in crimps]
    take = {"base": said["stock_digest"], "keys": ["per_wire_end"]}
    now = client.post("/api/job/six/shop-minutes", json=take).json()
    assert now["minutes"][0]["taken"]
    assert now["hours"]["now"] == said["hours"]["then"] != said["hours"]["now"]
    stock = root / "six" / "stock.toml"
    assert tomllib.loads(stock.read_text("utf-8"))["minutes"] == {"per_wire_end": minutes}
    late = client.post("/api/job/six/shop-minutes", json=take)
    assert late.status_code == 422
    assert "changed meanwhile" in late.json()["say"]
    back = client.post("/api/job/six/shop-minutes/undo", json={}).json()
    assert not back["can_undo"]
    assert back["hours"] == said["hours"]
    assert client.post("/api/job/six/shop-minutes/undo", json={}).status_code == 422


def test_the_page_is_served_and_an_unknown_job_is_told(client: TestClient) -> None:
    assert "bench.js" in client.get("/bench/six").text
    assert client.get("/bench/none").status_code == 404
    assert [j["id"] for j in client.get("/bench/-/jobs").json()["jobs"]] == ["six"]
    assert client.get("/static/bench/bench.css").content


def test_a_shared_device_gets_the_page_to_log_in_on_and_nothing_else_before(root: Path) -> None:
    host, phrase = "192.0.2.7:8642", "rope felt brass oak"
    app = make_app(root, frozenset({host}), Entry(phrase, "t" * 43))
    phone = TestClient(app, base_url=f"http://{host}", client=("192.0.2.50", 50000))
    assert "bench.js" in phone.get("/bench").text
    for path in ("/bench/-/jobs", "/bench/six", "/api/job/six/bench", "/api/job/six/records", "/d/x"):
        assert phone.get(path).status_code == 401, path
    assert phone.post("/api/job/six/records", json={"records": [record(1)]}).status_code == 401
    assert phone.post("/api/login", json={"phrase": phrase}).status_code == 200
    assert [one["id"] for one in phone.get("/bench/-/jobs").json()["jobs"]] == ["six"]
    assert phone.post("/api/job/six/records", json={"records": [record(1)]}).json()["accepted"]
    assert phone.get("/api/job/six/device").status_code == 200
