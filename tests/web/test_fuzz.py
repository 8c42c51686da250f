"""Whatever is sent, the server answers with a sentence and never with an error of its own."""

import json
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import schemathesis
from fastapi.testclient import TestClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.web.conftest import HOST, copy_demo

from loomwright.job import work_out
from loomwright.web.app import make_app, make_inner_app
from loomwright.web.jobs import Jobs

SLOW = "/(pack|issue|since|paper)"
FEW = settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck), database=None)


def test_no_request_makes_the_server_fail(tmp_path: Path) -> None:
    copy_demo("six", tmp_path)
    schema = schemathesis.openapi.from_asgi("/api/openapi.json", make_inner_app(Jobs(tmp_path)))
    asked: Counter[int] = Counter()
    for operation in schema.exclude(path_regex=SLOW).get_all_operations():

        @given(case=operation.ok().as_strategy())
        @FEW
        def ask(case: Any) -> None:
            if "job" in (case.path_parameters or {}) and len(str(case.path_parameters["job"])) % 3:
                case.path_parameters["job"] = "six"  # most requests reach a job
            answer = case.call()
            asked[answer.status_code] += 1
            assert answer.status_code < 500, answer.text

        ask()
    assert asked[200] > 20, asked
    assert asked[422] > 20, asked


KEYS = (
    "job title device INJ1 cavity 1 circuit rope trunk reads fuse F1 passes B1-B2 near exit accept "
    "section loom engine datum area air_c mm from shop connector is a.b .."
)
ODD = ("", "é\u202e", "<b>", '"', "=1+1", "\u0000", "\ud800", "x" * 300)
NAMES = st.sampled_from((*KEYS.split(), *ODD))
STEPS = st.one_of(NAMES, st.integers(-2, 5))
VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), NAMES, st.text(max_size=20)),
    lambda inner: st.one_of(st.lists(inner, max_size=4), st.dictionaries(NAMES, inner, max_size=4)),
    max_leaves=8,
)
EDITS = st.lists(
    st.fixed_dictionaries(
        {
            "verb": st.sampled_from(["set", "remove", "rename"]),
            "path": st.lists(STEPS, min_size=1, max_size=6),
        },
        optional={"value": VALUES},
    ),
    min_size=1,
    max_size=4,
)


@pytest.fixture(scope="module")
def job() -> Iterator[tuple[TestClient, Path]]:
    with TemporaryDirectory() as folder:
        copy_demo("six", Path(folder))
        app = make_app(Path(folder), frozenset({HOST}))
        yield TestClient(app, base_url=f"http://{HOST}", client=("127.0.0.1", 1)), Path(folder) / "six"


@given(edits=EDITS)
@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck), database=None)
def test_odd_edits_are_carried_out_whole_or_refused_in_words(
    job: tuple[TestClient, Path], edits: list[dict[str, object]]
) -> None:
    client, folder = job
    before = (folder / "job.toml").read_bytes()
    base = client.get("/api/job/six").json()["digest"]
    body = json.dumps({"base": base, "edits": edits}).encode()
    heads = {"content-type": "application/json"}
    shown = client.post("/api/job/six/preview", content=body, headers=heads)
    done = client.post("/api/job/six/edits", content=body, headers=heads)
    assert shown.status_code == done.status_code
    assert done.status_code in (200, 400, 422), done.text
    if done.status_code == 200:
        work_out(folder)
        digest = done.json()["digest"]
        if digest != base:
            assert client.post("/api/job/six/undo", json={"base": digest}).status_code == 200
    else:
        assert done.json()["say"]
    assert (folder / "job.toml").read_bytes() == before
