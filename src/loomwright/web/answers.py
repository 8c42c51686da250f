"""Answers of the HTTP interface: a state in slices, what changed between two states, what can't be done."""

from collections.abc import Iterable

from fastapi import Response

from loomwright.web.desk import Clash, Clashing, State
from loomwright.web.slices import HEAVY, LIGHT, json_of

JSON = "application/json"


def raw_json(body: bytes, status: int = 200) -> Response:
    """Return JSON that is made already."""
    return Response(body, status, media_type=JSON)


def snapshot(state: State, names: Iterable[str] | None = None) -> Response:
    """Return a state with slices, the light ones where none are named; unknown names are passed over."""
    return raw_json(_body(state, "slices", _known(names)))


def changed(state: State, before: State | None, want: Iterable[str] | None) -> Response:
    """Return a state with those slices that are other than at a state before, and which may have grown old.

    Args:
        state: the state now
        before: the state the page has; None = not known any more, all are sent
        want: slices the page shows; None = the light ones
    """
    names = _known(want)
    if before is not None:
        names = [x for x in names if before.slices.made(x) != state.slices.text(x)]
    return raw_json(_body(state, "changed", names, sorted({*LIGHT, *HEAVY} - set(_known(want)))))


def clash_answer(fault: Clashing) -> Response:
    """Return what was changed meanwhile beside what was wanted: 409, nothing was written."""
    said = {
        "say": str(fault),
        "digest": fault.state.digest,
        "clashes": [_clash(one) for one in fault.clashes],
    }
    return raw_json(json_of(said), 409)


def _clash(one: Clash) -> dict[str, object]:
    return {"path": list(one.path), "was": one.was, "now": one.now, "wanted": one.wanted}


def _known(names: Iterable[str] | None) -> list[str]:
    return list(LIGHT) if names is None else [x for x in dict.fromkeys(names) if x in LIGHT or x in HEAVY]


def _body(state: State, key: str, names: Iterable[str], stale: list[str] | None = None) -> bytes:
    head: dict[str, object] = {"digest": state.digest, "can_undo": state.can_undo, "can_redo": state.can_redo}
    if stale is not None:
        head["stale"] = stale
    parts = b",".join(b'"%s":%s' % (name.encode(), state.slices.text(name)) for name in names)
    return json_of(head)[:-1] + b',"%s":{%s}}' % (key.encode(), parts)
