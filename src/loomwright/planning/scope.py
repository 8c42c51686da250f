"""The scope of a job before there is a device list: what a customer can say on the phone.

It stands in `scope.toml` in the job's folder, or comes from the command line; the command line wins.
"""

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from typing import Final

from loomwright.errors import Unreadable
from loomwright.jobfile.keys import OWN_MINUTES, Form, Key
from loomwright.jobfile.read_table import Entry, Notes, entry_of
from loomwright.jobfile.toml_text import read_text
from loomwright.jobfile.toml_write import written
from loomwright.model.words import Level

SCOPE_FILE: Final = "scope.toml"
COUNTS: Final = "--counts"  # where counts come from on the command line
INJECTIONS: Final = ("sequential", "batch")
IGNITIONS: Final = ("coil per cylinder", "wasted spark", "distributor")
THROTTLES: Final = ("cable", "electronic")
LAYS: Final = ("straight", "concentric")
CLOSINGS: Final = ("sleeve", "boots")
GIVEN_COUNTS: Final = (
    "sensors",
    "actuators",
    "controllers",
    "devices",
    "connectors",
    "wires",
    "contacts",
    "splices",
    "branch_points",
    "branches",
)
"""Counts a builder may state; what is left out is estimated."""
MOST_COUNT: Final = 5000.0  # a slip of the hand beyond; ours
MOST_CYLINDERS: Final = 16.0


def _count(name: str, most: float = MOST_COUNT, least: float = 0.0) -> Key:
    return Key(name, Form.WHOLE, low=least, high=most)


SCOPE: Final = Key(
    "",
    Form.TABLE,
    keys=(
        Key("format", Form.WHOLE, low=1, high=1),
        *(Key(name, Form.TEXT) for name in ("title", "customer", "car")),
        _count("cylinders", MOST_CYLINDERS, 1.0),
        Key("injection", Form.TEXT, words=INJECTIONS),
        Key("ignition", Form.TEXT, words=IGNITIONS),
        Key("throttle", Form.TEXT, words=THROTTLES),
        *(_count(name, MOST_CYLINDERS) for name in ("cams", "knock", "wideband")),
        *(_count(name) for name in GIVEN_COUNTS),
        Key("level", Form.TEXT, words=tuple(Level)),
        Key("lay", Form.TEXT, words=LAYS),
        Key("closing", Form.TEXT, words=CLOSINGS),
        Key("first_loom", Form.FLAG),
        Key("trunk_mm", Form.NUMBER, "mm", 100.0, 20000.0),
        Key("rate", Form.NUMBER, "", 0.0, 100000.0),
        Key("stays", Form.TEXTS),
        Key("wishes", Form.TEXTS),
        Key(
            "minutes",
            Form.TABLE,
            keys=tuple(Key(name, Form.NUMBER, "minutes", 0.0, 1000.0) for name in OWN_MINUTES),
        ),
    ),
)
"""Every key of scope.toml."""


@dataclass(frozen=True, slots=True)
class Scope:
    """What is known of a job before its devices are listed; None and "" = not answered yet.

    Attributes:
        cylinders: 1 to 16
        cams, knock, wideband: how many of these sensors
        counts: counts the builder stated, by name of `GIVEN_COUNTS`
        closing: how branch points are closed, "sleeve" or "boots"
        first_loom: the builder's first; hours are two to three times those of a practised one
        trunk_mm: bulkhead to the farthest device, about [mm]
        rate: price of one hour, in the shop's own money
        stays, wishes: what stays of the car's wiring; what may be added later
        minutes: own minutes by name of `OWN_MINUTES`
    """

    title: str = ""
    customer: str = ""
    car: str = ""
    cylinders: int | None = None
    injection: str = ""
    ignition: str = ""
    throttle: str = ""
    cams: int | None = None
    knock: int | None = None
    wideband: int | None = None
    counts: tuple[tuple[str, int], ...] = ()
    level: str = Level.SMALL_SHOP
    lay: str = "straight"
    closing: str = "sleeve"
    first_loom: bool = False
    trunk_mm: float | None = None
    rate: float | None = None
    stays: tuple[str, ...] = ()
    wishes: tuple[str, ...] = ()
    minutes: tuple[tuple[str, float], ...] = ()

    def answer(self, key: str) -> str:
        """Return what the scope answers to a question, "" where nothing yet."""
        if key in GIVEN_COUNTS:
            found: object = dict(self.counts).get(key)
        else:
            found = getattr(self, key, None) if key else None
        if isinstance(found, tuple):
            return "; ".join(str(one) for one in found)
        return "" if found is None else str(found)


def read_scope(text: str, counts: Iterable[str] = (), file: str = SCOPE_FILE) -> Scope:
    """Return the scope a text and words of the command line tell.

    Args:
        text: the text of scope.toml, "" = there is none
        counts: words like "cylinders=4" or "throttle=electronic"; they replace what the text says
        file: its name, for messages
    Raises:
        Unreadable: something in it can't be taken; names every such thing, with its line.
    """
    document = read_text(text)
    problems = [(file, problem.line, f"{problem.words} {problem.remedy}") for problem in document.problems]
    given = dict(_given(one) for one in counts)
    notes = Notes()
    root = entry_of({**document.values, **given}, SCOPE, (), notes) or Entry("", (), {})
    for note in notes.findings:
        path, words = note.place.path, f"{note.what_is} {note.should} {note.remedy}"
        typed = bool(path) and path[0] in given
        problems.append((COUNTS if typed else file, 0 if typed else document.line_of(path), words))
    if problems:
        (first, line, words), rest = problems[0], problems[1:]
        more = "".join(f"\n{where}{f':{at}' if at else ''}  {told}" for where, at, told in rest)
        raise Unreadable(first, line or None, words + more, "", "")
    return _scope(root)


def _given(word: str) -> tuple[str, str | int | float | bool]:
    """Return key and value of "cylinders=4"; numbers, true and false as such."""
    name, sign, value = word.partition("=")
    name, value = name.strip().replace("-", "_").replace(" ", "_"), value.strip()
    if not sign or not name or not value:
        raise Unreadable(
            COUNTS, None, f'"{word}" is no count.', "It should read like cylinders=4.", "Write it so."
        )
    if value in ("true", "false", "yes", "no"):
        return name, value in ("true", "yes")
    for kind in (int, float):
        with suppress(ValueError):
            return name, kind(value)
    return name, value


def _whole(root: Entry, key: str) -> int | None:
    found = root.number(key)
    return None if found is None else int(found)


def _scope(root: Entry) -> Scope:
    minutes = root.entry("minutes") or Entry("", (), {})
    counts = ((name, _whole(root, name)) for name in GIVEN_COUNTS)
    own = ((name, minutes.number(name)) for name in OWN_MINUTES)
    return Scope(
        title=root.text("title"),
        customer=root.text("customer"),
        car=root.text("car"),
        cylinders=_whole(root, "cylinders"),
        injection=root.text("injection"),
        ignition=root.text("ignition"),
        throttle=root.text("throttle"),
        cams=_whole(root, "cams"),
        knock=_whole(root, "knock"),
        wideband=_whole(root, "wideband"),
        counts=tuple((name, count) for name, count in counts if count is not None),
        level=root.text("level", Level.SMALL_SHOP),
        lay=root.text("lay", "straight"),
        closing=root.text("closing", "sleeve"),
        first_loom=root.flag("first_loom"),
        trunk_mm=root.number("trunk_mm"),
        rate=root.number("rate"),
        stays=root.texts("stays"),
        wishes=root.texts("wishes"),
        minutes=tuple((name, spent) for name, spent in own if spent is not None),
    )


def scope_text(counts: Iterable[str]) -> str:
    """Return a first scope.toml from words of the command line, to be filled in further."""
    lines = [f"{name} = {written(value)}" for name, value in map(_given, counts)]
    return "\n".join(("format = 1", 'title = ""', *lines)) + "\n"
