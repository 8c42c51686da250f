"""Only this server's own pages may read and write; shared devices see the bench alone."""

from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from tests.web.conftest import HOST

from loomwright.web.app import make_app
from loomwright.web.entry_kept import Entry

LAN = "192.0.2.7:8642"
JOB = "/api/job/six"
EDIT = {"base": "x", "edits": [{"verb": "set", "path": ["job", "title"], "value": "taken over"}]}


def device(root: Path, phrase: str = "rope felt brass oak") -> TestClient:
    app = make_app(root, frozenset({HOST, LAN}), Entry(phrase, "t" * 43 if phrase else ""))
    return TestClient(app, base_url=f"http://{LAN}", client=("192.0.2.50", 50000))


def test_a_foreign_host_name_is_refused(client: TestClient) -> None:
    for host in ("evil.example", "evil.example:8642", "127.0.0.1:80", "", "localhost"):
        assert client.get("/api/jobs", headers={"host": host}).status_code == 421
    assert client.get("/api/jobs").status_code == 200


@pytest.mark.parametrize(
    "heads",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": f"https://{HOST}"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_writing_from_another_page_is_refused(client: TestClient, root: Path, heads: dict[str, str]) -> None:
    before = (root / "six/job.toml").read_bytes()
    for path in ("/edits", "/undo", "/pack", "/issue"):
        assert client.post(f"{JOB}{path}", json=EDIT, headers=heads).status_code == 403
    assert (root / "six/job.toml").read_bytes() == before


def test_forms_of_other_pages_and_big_bodies_are_refused(client: TestClient) -> None:
    form = {"content-type": "application/x-www-form-urlencoded"}
    assert client.post(f"{JOB}/edits", content=b"{}", headers=form).status_code == 415
    text = {"content-type": "text/plain"}
    assert client.post(f"{JOB}/edits", content=b"{}", headers=text).status_code == 415
    big = {"content-type": "application/json"}
    assert client.post(f"{JOB}/edits", content=b" " * 2_000_001, headers=big).status_code == 413
    deep = b'{"base":"x","edits":[{"verb":"set","path":["a"],"value":' + b"[" * 200_000
    assert client.post(f"{JOB}/edits", content=deep, headers=big).status_code in (400, 422)


def test_pages_carry_a_strict_policy(client: TestClient) -> None:
    for path in ("/", "/job/six", "/static/desk/main.js", JOB):
        heads = client.get(path).headers
        assert "default-src 'self'" in heads["content-security-policy"]
        assert "unsafe-inline" not in heads["content-security-policy"]
        assert heads["x-content-type-options"] == "nosniff"


def test_a_shared_device_sees_nothing_before_it_logs_in(root: Path) -> None:
    one = device(root)
    assert one.get("/api/jobs").status_code == 403
    assert one.get(JOB).status_code == 403
    assert one.get(f"{JOB}/records").status_code == 401
    assert one.get("/login").status_code == 200
    assert one.post("/api/login", json={"phrase": "wrong"}).status_code == 403
    assert one.post("/api/login", json={"phrase": " Rope  felt brass OAK "}).status_code == 200
    assert one.get(f"{JOB}/paper/cut-list.pdf").status_code == 200
    assert one.post(f"{JOB}/edits", json=EDIT).status_code == 403
    assert one.post(f"{JOB}/pack", json={}).status_code == 403
    assert one.get("/api/jobs").status_code == 403


def test_a_code_scanned_before_the_login_leads_back_to_its_page(root: Path) -> None:
    one = device(root)
    page = {"accept": "text/html,*/*"}
    answer = one.get("/d/W12 x", headers=page, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == "/login?to=/d/W12%20x"
    assert one.get(f"{JOB}/records").status_code == 401


def test_guessing_the_phrase_is_slowed_down(root: Path) -> None:
    one = device(root)
    for _ in range(10):
        assert one.post("/api/login", json={"phrase": "guess"}).status_code == 403
    assert one.post("/api/login", json={"phrase": "rope felt brass oak"}).status_code == 429


def test_without_sharing_no_phrase_opens_the_door(root: Path) -> None:
    one = device(root, phrase="")
    assert one.post("/api/login", json={"phrase": ""}).status_code == 403
    assert one.get(f"{JOB}/records").status_code == 401
