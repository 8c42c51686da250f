"""The HTTP interface: snapshot, edits, undo, clashes, preview, jobs, papers."""

from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.jobfile.test_read_photo import png

from loomwright.web.slices import HEAVY, LIGHT

JOB = "/api/job/six"


def set_one(path: list[str], value: object) -> dict[str, object]:
    return {"verb": "set", "path": path, "value": value}


def snapshot(client: TestClient) -> dict[str, object]:
    found = client.get(JOB)
    assert found.status_code == 200
    return found.json()


def test_snapshot_has_every_light_slice(client: TestClient) -> None:
    found = snapshot(client)
    assert set(found["slices"]) == set(LIGHT)
    assert found["slices"]["job"]["title"] == "Bench single, six devices"
    assert {x["label"] for x in found["slices"]["wires"]}
    heavy = client.get(JOB, params={"want": list(HEAVY)}).json()["slices"]
    assert set(heavy) == set(HEAVY)


def test_an_edit_is_saved_and_only_what_changed_comes_back(client: TestClient, root: Path) -> None:
    base = snapshot(client)["digest"]
    said = {"base": base, "edits": [set_one(["job", "title"], "Other <b>title</b>")], "words": "title"}
    found = client.post(f"{JOB}/edits", json=said).json()
    assert "job" in found["changed"]
    assert "tree" not in found["changed"]
    assert 'title = "Other <b>title</b>"' in (root / "six/job.toml").read_text("utf-8")
    assert found["can_undo"]
    undone = client.post(f"{JOB}/undo", json={"base": found["digest"]}).json()
    assert undone["digest"] == base
    assert undone["can_redo"]
    assert undone["changed"]["job"]["title"] == "Bench single, six devices"
    redone = client.post(f"{JOB}/redo", json={"base": base}).json()
    assert redone["digest"] == found["digest"]


def test_edits_that_do_not_touch_are_merged_and_others_clash(client: TestClient, root: Path) -> None:
    base = snapshot(client)["digest"]
    file = root / "six/job.toml"
    file.write_text(file.read_text("utf-8").replace('words = "injector"', 'words = "the injector"'), "utf-8")
    title = {"base": base, "edits": [set_one(["job", "title"], "mine")]}
    found = client.post(f"{JOB}/edits", json=title)
    assert found.status_code == 200
    text = file.read_text("utf-8")
    assert "the injector" in text
    assert '"mine"' in text
    words = {"base": base, "edits": [set_one(["device", "INJ1", "words"], "my injector")]}
    clash = client.post(f"{JOB}/edits", json=words)
    assert clash.status_code == 409
    one = clash.json()["clashes"][0]
    assert (one["was"], one["now"], one["wanted"]) == ("injector", "the injector", "my injector")
    assert "my injector" not in file.read_text("utf-8")


def test_preview_tells_findings_and_writes_nothing(client: TestClient, root: Path) -> None:
    before = (root / "six/job.toml").read_bytes()
    base = snapshot(client)["digest"]
    said = {"base": base, "edits": [{"verb": "remove", "path": ["fuse", "F1"]}]}
    found = client.post(f"{JOB}/preview", json=said).json()
    assert found["come"]
    assert (root / "six/job.toml").read_bytes() == before
    longer = {"base": base, "edits": [set_one(["section", "B3-K1", "mm"], 270)]}
    wires = client.post(f"{JOB}/preview", json=longer).json()["wires"]
    assert wires
    assert all(x["then"]["cut_mm"] - x["now"]["cut_mm"] >= 100 for x in wires)


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ([{"verb": "remove", "path": ["device", "NOBODY"]}], "nothing to remove"),
        ([{"verb": "set", "path": ["job", "title"], "value": None}], "can't stand"),
        ([{"verb": "rename", "path": ["device", "INJ1"], "value": "MAP"}], "there already"),
        ([{"verb": "burn", "path": ["job"]}], "can't be taken"),
    ],
)
def test_a_refused_edit_says_so_in_a_sentence(
    client: TestClient, root: Path, edits: list[object], words: str
) -> None:
    before = (root / "six/job.toml").read_bytes()
    found = client.post(f"{JOB}/edits", json={"base": snapshot(client)["digest"], "edits": edits})
    assert found.status_code == 422
    assert words in found.json()["say"]
    assert (root / "six/job.toml").read_bytes() == before


def test_since_answers_at_once_when_the_job_is_another(client: TestClient) -> None:
    base = snapshot(client)["digest"]
    client.post(f"{JOB}/edits", json={"base": base, "edits": [set_one(["job", "car"], "a car")]})
    found = client.get(f"{JOB}/since/{base}")
    assert set(found.json()["changed"]) == {"job", "file"}


def test_new_jobs_from_starter_demo_copy_and_file(client: TestClient, root: Path) -> None:
    def new(source: str, text: str = "", name: str = "My <loom>/../x") -> str:
        found = client.post("/api/jobs", json={"name": name, "from": source, "text": text})
        assert found.status_code == 201, found.text
        return found.json()["id"]

    assert new("starter:bare") == "my-loom-x"
    assert new("demo:hillclimb") == "my-loom-x-2"
    client.post(f"{JOB}/pack", json={})
    copy = new("copy:six")
    assert not (root / copy / "kept.toml").exists()
    assert new("import", (root / "six/job.toml").read_text("utf-8"), "") == "job"
    rows = client.get("/api/jobs").json()["jobs"]
    assert {x["title"] for x in rows} == {"Bench single, six devices", "My <loom>/../x"}
    assert client.post("/api/jobs", json={"name": "x", "from": "copy:none"}).status_code == 404
    assert client.post("/api/jobs", json={"name": "x", "from": "starter:none"}).status_code == 422
    assert sorted(x.name for x in root.iterdir()) == ["job", "my-loom-x", "my-loom-x-2", "my-loom-x-3", "six"]


def test_numbers_are_given_for_good_with_the_pack_and_not_before(client: TestClient, root: Path) -> None:
    base = snapshot(client)["digest"]
    client.post(f"{JOB}/edits", json={"base": base, "edits": [set_one(["job", "car"], "a car")]})
    assert not (root / "six/kept.toml").exists()
    found = client.post(f"{JOB}/pack", json={}).json()
    assert (root / "six/kept.toml").exists()
    assert {"build-pack.pdf", "tables.xlsx"} <= {x["file"] for x in found["files"]}
    assert client.get(f"{JOB}/pack/build-pack.pdf").content.startswith(b"%PDF")
    assert client.get(f"{JOB}/paper/cut-list.pdf").content.startswith(b"%PDF")
    for name in ("../job.toml", "..%2fjob.toml", "%2e%2e/job.toml", "nothing.pdf"):
        assert client.get(f"{JOB}/pack/{name}").status_code in (404, 422)


def test_issue_freezes_a_revision_once(client: TestClient, root: Path) -> None:
    found = client.post(f"{JOB}/issue", json={"rev": "B"})
    assert found.status_code == 201, found.text
    assert (root / "six/issued/B/pack/build-pack.pdf").exists()
    assert client.post(f"{JOB}/issue", json={"rev": "b"}).status_code == 422
    rows = client.get(JOB, params={"want": ["revisions"]}).json()["slices"]["revisions"]
    assert [(x["revision"], x["touched"]) for x in rows] == [("B", [])]


def test_photos_are_kept_by_digest_and_typed_by_content(client: TestClient, root: Path) -> None:
    sound = png(300, 200)
    found = client.post(f"{JOB}/photo", content=sound, headers={"content-type": "image/png"})
    name = found.json()["photo"]
    assert client.get(f"{JOB}/photo/{name}").content == sound
    damaged = sound[:60] + bytes(20) + sound[80:]
    refused = client.post(f"{JOB}/photo", content=damaged, headers={"content-type": "image/png"})
    assert refused.status_code == 422
    assert "damaged inside" in refused.json()["say"]
    assert len(list((root / "six" / "photos").iterdir())) == 1
    html = b"<script>alert(1)</script>" * 20
    assert client.post(f"{JOB}/photo", content=html, headers={"content-type": "image/png"}).status_code == 422
    assert client.get(f"{JOB}/photo/..%2fjob.toml").status_code == 404
