"""Memory and traffic stay level over many edits and reloads; an edit sends only what changed."""

import json
import re
import urllib.request
from pathlib import Path

import pytest
from tests.web.conftest import Server

EDITS = 200
RELOADS = 50
GROWTH_MB = 12


def memory_mb(server: Server) -> float:
    text = Path(f"/proc/{server.process.pid}/status").read_text()
    found = re.search(r"VmRSS:\s+(\d+) kB", text)
    assert found
    return int(found[1]) / 1024


def ask(server: Server, path: str, said: object = None) -> bytes:
    heads = {"content-type": "application/json"}
    body = None if said is None else json.dumps(said).encode()
    with urllib.request.urlopen(urllib.request.Request(server.address + path, body, heads)) as answer:
        return bytes(answer.read())


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_the_server_does_not_grow(server: Server) -> None:
    base = json.loads(ask(server, "/api/job/six"))["digest"]

    def edit(number: int) -> None:
        nonlocal base
        one = {"verb": "set", "path": ["section", "B3-K1", "mm"], "value": 170 + number % 7}
        base = json.loads(ask(server, "/api/job/six/edits", {"base": base, "edits": [one]}))["digest"]

    for number in range(40):
        edit(number)
    before = memory_mb(server)
    for number in range(EDITS):
        edit(number)
    for _ in range(RELOADS):
        ask(server, "/api/job/six?want=plan&want=board&want=file&want=findings")
    assert memory_mb(server) - before < GROWTH_MB
