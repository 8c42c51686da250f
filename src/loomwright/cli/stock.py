"""What the library knows, listed with its marks."""

import difflib
import json as json_words
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, is_dataclass
from typing import Any, Final

from loomwright.errors import OutOfRange

KINDS: Final = (
    "wires",
    "cables",
    "kinds",
    "contacts",
    "faces",
    "sleeves",
    "covers",
    "splices",
    "fuses",
    "colours",
)


def list_stock(kind: str, name: str, json: bool) -> int:
    """Print the names of a kind of stock, or all figures of one item; 2 if there is none of that name."""
    if kind not in KINDS:
        if kind:
            near = difflib.get_close_matches(kind.strip().lower(), KINDS, n=2, cutoff=0.5)
            hint = f" Near it: {', '.join(near)}." if near else ""
            print(f"There is no stock called {kind}.{hint}", file=sys.stderr)
        print(f"Stock: {', '.join(KINDS)}. For one of them: loomwright stock wires")
        return 2 if kind else 0
    shelf = _shelf(kind)
    if not name:
        _list(shelf, json)
        return 0
    try:
        item = _pick(kind, name, shelf)
    except OutOfRange as no:
        print(no, file=sys.stderr)
        return 2
    if json:
        print(json_words.dumps(_plain(item), indent=1, ensure_ascii=False, default=str))
    else:
        print("\n".join(_lines(name, item)))
    return 0


def _shelf(kind: str) -> Mapping[str, Any]:
    from loomwright.library import colours, contacts, coverings, faces, fuses, kinds, splices, wires

    doors: dict[str, Callable[[], Mapping[str, Any]]] = {
        "wires": wires.families,
        "cables": wires.cables,
        "kinds": kinds.kinds,
        "contacts": contacts.contacts,
        "faces": faces.faces,
        "sleeves": coverings.sleeves,
        "covers": coverings.covers,
        "splices": splices.splices,
        "fuses": fuses.fuse_types,
        "colours": colours.colours,
    }
    return doors[kind]()


def _pick(kind: str, name: str, shelf: Mapping[str, Any]) -> Any:
    from loomwright.library.tables import pick

    return pick(kind, name, shelf)


def _list(shelf: Mapping[str, Any], json: bool) -> None:
    if json:
        print(
            json_words.dumps(
                {name: _words(item) for name, item in shelf.items()}, indent=1, ensure_ascii=False
            )
        )
        return
    wide = max(map(len, shelf), default=0)
    for name, item in shelf.items():
        print(f"{name:<{wide}}  {_words(item)}".rstrip())


def _words(item: Any) -> str:
    return str(getattr(item, "words", ""))


def _plain(item: Any) -> Any:
    if is_dataclass(item) and not isinstance(item, type):
        return asdict(item)
    return [_plain(one) for one in item] if isinstance(item, tuple) else item


def _lines(name: str, item: Any) -> Iterable[str]:
    yield name
    parts = item if isinstance(item, tuple) else getattr(item, "sizes", getattr(item, "ratings", ()))
    if is_dataclass(item):
        for key, value in _fields(item):
            yield f"  {key}: {value}"
    for part in parts or ():
        yield "  - " + "; ".join(f"{key} {value}" for key, value in _fields(part))


def _fields(item: Any) -> Iterable[tuple[str, str]]:
    for key in item.__dataclass_fields__:
        value = getattr(item, key)
        if not isinstance(value, tuple) and value not in ("", None):
            yield key, f"{value:.4g}" if isinstance(value, float) else str(value)
