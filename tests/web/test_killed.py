"""A server killed in the middle of its saves: the file is whole, the log agrees, no accepted edit is lost."""

import json
import random
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.web.conftest import Server, start, wait_for

from loomwright.jobfile.edit_log import read_log, steps_of
from loomwright.jobfile.read import read_job

SAVES = 300
KILLS = 5


def post(server: Server, path: str, said: object) -> dict[str, object]:
    heads = {"content-type": "application/json"}
    ask = urllib.request.Request(f"{server.address}/api/job/six{path}", json.dumps(said).encode(), heads)
    with urllib.request.urlopen(ask, timeout=10) as answer:
        return dict(json.load(answer))


def save_until_killed(server: Server, first: int, accepted: list[int]) -> None:
    """Give devices numbered words until nobody answers; what was answered is accepted."""
    with urllib.request.urlopen(f"{server.address}/api/job/six", timeout=10) as answer:
        base = json.load(answer)["digest"]
    for number in range(first, first + SAVES // KILLS):
        edit = {"verb": "set", "path": ["device", "INJ1", "words"], "value": f"injector {number}"}
        note = {"verb": "set", "path": ["device", "MAP", "note"], "value": f"note {number}"}
        try:
            base = post(server, "/edits", {"base": base, "edits": [edit, note], "want": []})["digest"]
        except (urllib.error.URLError, OSError, ValueError):
            return
        accepted.append(number)


def test_no_accepted_edit_is_lost_when_the_server_is_killed(root: Path) -> None:
    chance = random.Random(7)
    accepted: list[int] = []
    for turn in range(KILLS):
        server = start(root)
        worker = threading.Thread(target=save_until_killed, args=(server, turn * 1000, accepted))
        worker.start()
        enough = len(accepted) + chance.randrange(3, 20)
        wait_for(lambda enough=enough: len(accepted) >= enough, 60)
        time.sleep(chance.random() / 20)  # anywhere in the one that is under way
        server.kill()
        worker.join(20)
        read = read_job(root / "six")
        assert not read.document.problems
        held = dict(read.document.values["device"])
        number = int(str(held["INJ1"]["words"]).removeprefix("injector "))
        assert held["MAP"]["note"] == f"note {number}", "both or none"
        assert number in (accepted[-1], accepted[-1] + 1), "the last accepted one, or one not answered yet"
        log = read_log(root / "six")
        steps = steps_of(log, read.document.digest)
        assert not steps.changed_outside
    sweep_up(root)


def sweep_up(root: Path) -> None:
    """A killed save can leave its half-written file beside the job; the next save takes it away."""
    (root / "six" / ".job.toml.dead.tmp").write_text("half a jo", "utf-8")
    server = start(root)
    try:
        with urllib.request.urlopen(f"{server.address}/api/job/six", timeout=10) as answer:
            base = json.load(answer)["digest"]
        edit = {"verb": "set", "path": ["device", "INJ1", "words"], "value": "swept"}
        post(server, "/edits", {"base": base, "edits": [edit], "want": []})
        assert not list((root / "six").glob("*.tmp"))
    finally:
        server.kill()
