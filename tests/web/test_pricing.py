"""Pricing alternatives: in a process of its own, stopped when told to, gone with the server."""

import json
import time
import urllib.request
from collections.abc import Callable
from multiprocessing import Pipe, Process
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Page, expect
from tests.web.conftest import Server, copy_demo, start, wait_for
from tests.web.hands import Hands

from loomwright.demos import demo_folder
from loomwright.job import work_out, work_out_read, work_out_tried
from loomwright.jobfile.edit_log import edits_from_json
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.read import ReadJob, job_of_text
from loomwright.planning.alternatives import alternatives
from loomwright.planning.alternatives_rows import row
from loomwright.planning.price import price
from loomwright.web.pricing import ENDED, NO_PROCESS, Pricing, Told, begin_process
from loomwright.web.views.alternatives import alternatives_view

JOB = "/api/job/six"
EDIT_S = 1.0


def ended(told: Callable[[], dict]) -> dict:
    found = wait_for(lambda: one if (one := told())["stands"] != "running" else None, 60)
    assert isinstance(found, dict)
    return found


def test_alternatives_carry_the_price_of_what_they_would_build(client: TestClient) -> None:
    """The price shown is that of the job worked out anew from the edited file, read by its own entry."""
    number = client.post(f"{JOB}/pricing", json={"exact": 3}).json()["number"]
    found = ended(lambda: client.get(f"{JOB}/pricing/{number}").json())["found"]
    done = work_out(demo_folder("six"))
    assert found["present"]["money"] == pytest.approx(price(done.worked).money)
    assert len(found["exact"]) >= 3
    for one in found["exact"][:2]:
        text = apply(done.read.document, edits_from_json(one["edits"])).text
        then = price(work_out_read(job_of_text(text, "", done.read.folder)).worked)
        assert one["price"]["money"] == pytest.approx(then.money)
        assert one["price"]["wire_mm"] == pytest.approx(then.mm_of("wire", "cable"))
        assert one["price"]["branch_points"] == then.branch_points


def asked(server: Server, path: str, said: object = None) -> dict:
    body = None if said is None else json.dumps(said).encode()
    ask = urllib.request.Request(server.address + path, body, {"content-type": "application/json"})
    with urllib.request.urlopen(ask, timeout=20) as answer:
        return dict(json.load(answer))


def children(of: int) -> set[int]:
    """Processes that a process began and that still run, from /proc."""
    found = set()
    for one in Path("/proc").glob("[0-9]*/stat"):
        try:
            text = one.read_text()
        except OSError:
            continue
        state, parent = text.rpartition(")")[2].split()[:2]
        if int(parent) == of and state != "Z":
            found.add(int(one.parent.name))
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are read from /proc")
def test_an_edit_on_the_v8_meanwhile_keeps_its_speed_and_a_killed_server_leaves_none(tmp_path: Path) -> None:
    copy_demo("v8", tmp_path / "jobs")
    server = start(tmp_path / "jobs")
    base = asked(server, "/api/job/v8")["digest"]
    number = asked(server, "/api/job/v8/pricing", {"exact": 40})["number"]

    def far() -> dict:
        return asked(server, f"/api/job/v8/pricing/{number}")

    wait_for(lambda: far()["worked"] >= 1, 30)
    took = []
    for word in ("one", "two", "three"):
        edit = {"verb": "set", "path": ["device", "ECU", "note"], "value": word}
        began = time.monotonic()
        base = asked(server, "/api/job/v8/edits", {"base": base, "edits": [edit]})["digest"]
        took.append(time.monotonic() - began)
    assert far()["stands"] == "running", "the edits were not made meanwhile"
    assert sorted(took)[1] < EDIT_S, took
    began_by_it = children(server.process.pid)
    assert began_by_it
    server.kill()
    wait_for(lambda: not any(Path(f"/proc/{one}").exists() for one in began_by_it), 20)


def read() -> ReadJob:
    return work_out(demo_folder("six")).read


def told_at_last(pricing: Pricing) -> Told:
    found = wait_for(lambda: one if (one := pricing.told("six", 1)).stands != "running" else None, 60)
    assert isinstance(found, Told)
    return found


def test_stopped_it_ends_and_is_cleared_away() -> None:
    begun: list[BaseProcess] = []

    def begin(job: ReadJob, exact: int) -> tuple[Connection, BaseProcess]:
        heard, process = begin_process(job, exact)
        begun.append(process)
        return heard, process

    pricing = Pricing(begin)
    pricing.start("six", "d", read(), 40)
    assert pricing.stop("six", 1).stands == "stopped"
    wait_for(lambda: begun[0].exitcode is not None, 10)
    assert pricing.start("six", "d", read(), 1).number == 2
    assert pricing.start("six", "d", read(), 1).number == 3
    assert pricing.told("six", 2).words.startswith("Stopped: pricing was begun anew")
    wait_for(lambda: pricing.told("six", 3).stands == "done", 30)


def refused(_: ReadJob, __: int) -> tuple[Connection, Process]:
    raise OSError


def _quits(told: Connection, words: int) -> None:
    for _ in range(words):
        told.send(("progress", (0, 1)))


def quitting(words: int) -> Callable[[ReadJob, int], tuple[Connection, Process]]:
    """Begin a process that says so many words and is gone."""

    def begin(_: ReadJob, __: int) -> tuple[Connection, Process]:
        heard, told = Pipe(duplex=False)
        process = Process(target=_quits, args=(told, words))
        process.start()
        told.close()
        return heard, process

    return begin


@pytest.mark.parametrize("begin", [refused, quitting(0)])
def test_without_a_second_process_the_program_prices_them_itself_and_says_so(begin) -> None:
    pricing = Pricing(begin)
    pricing.start("six", "d", read(), 1)
    told = told_at_last(pricing)
    assert told.stands == "done"
    assert told.words == NO_PROCESS
    assert json.loads(told.found)["exact"]


def test_a_process_that_ends_half_way_is_said() -> None:
    pricing = Pricing(quitting(1))
    pricing.start("six", "d", read(), 1)
    assert told_at_last(pricing).words == ENDED


def test_it_is_stopped_on_the_screen(page: Page, root: Path) -> None:
    copy_demo("v8", root)
    server = start(root)
    try:
        Hands(page, server.address).open("v8", "plan")
        page.get_by_role("button", name="Price alternatives").click()
        expect(page.get_by_role("progressbar", name="Alternatives worked out")).to_be_visible()
        expect(page.get_by_text("worked out.", exact=False).first).to_contain_text("of", timeout=20_000)
        page.get_by_role("button", name="Stop pricing").click()
        expect(page.get_by_text("Stopped; nothing was changed.")).to_be_visible()
        expect(page.get_by_role("button", name="Price alternatives")).to_be_enabled()
    finally:
        server.kill()


def test_the_screen_prices_the_tree_as_the_command_does() -> None:
    shown = alternatives_view(read(), 1)["present"]
    assert isinstance(shown, dict)
    present = row("", alternatives(lambda edits: work_out_tried(read(), edits), 1).present)
    assert (shown["sheath_mm"] / 1000, shown["wire_mm"] / 1000) == (present.sheath_m, present.wire_m)
    assert (shown["money"], shown["branch_points"]) == (present.money, present.branch_points)
