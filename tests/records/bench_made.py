"""Records of invented work, for tests."""

from loomwright.records.bench import Record, record_of

WHEN = "2026-05-04T17:20:31+02:00"


def made(number: int, what: str = "cut", of: str = "W1", value: str = "done", **more: str) -> Record:
    """A record with an id of its own."""
    raw = {"id": f"device-{number:06d}", "who": "AB", "when": WHEN, "what": what, "of": of, "value": value}
    return record_of({**raw, **more})
