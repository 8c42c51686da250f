"""What is cut, spliced, sheathed and closed already: by the records, and as written in `done.toml`."""

import difflib
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from loomwright.errors import Unreadable
from loomwright.records.bench_standing import done_by
from loomwright.records.bench_store import all_records

DONE_FILE: Final = "done.toml"
KEYS: Final = ("cut", "spliced", "sheathed", "closed")


@dataclass(frozen=True, slots=True)
class Done:
    """What can't be taken back any more.

    Attributes:
        cut: labels of wires, "W12"
        spliced: names of splices, "SP3"
        sheathed: keys of sections, "engine/B1-B2"
        closed: keys of branch points whose cover is shrunk, "engine/B2"
    """

    cut: frozenset[str] = frozenset()
    spliced: frozenset[str] = frozenset()
    sheathed: frozenset[str] = frozenset()
    closed: frozenset[str] = frozenset()

    @property
    def nothing(self) -> bool:
        """Whether nothing is done yet."""
        return not (self.cut or self.spliced or self.sheathed or self.closed)


def read_done(folder: Path) -> Done:
    """Return what is done in a job's folder: what its records say and what done.toml says, together.

    Raises:
        Unreadable: done.toml or bench.sqlite is there and isn't what it should be.
    """
    written, ticked = _written(folder), done_by(all_records(folder))
    return Done(**{key: getattr(written, key) | ticked[key] for key in KEYS})


def _written(folder: Path) -> Done:
    file = folder / DONE_FILE
    try:
        text = file.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return Done()
    except OSError as fault:
        raise Unreadable(file, None, f"It can't be opened: {fault.strerror}.", "", "Check it.") from fault
    except UnicodeDecodeError:
        remedy = "Save it again with encoding UTF-8."
        raise Unreadable(file, None, "It is not UTF-8.", "", remedy) from None
    return done_of_text(text, file)


def done_of_text(text: str, file: Path = Path(DONE_FILE)) -> Done:
    """Return what a text says is done.

    Raises:
        Unreadable: no TOML, an unknown key, or a value that is no list of names.
    """
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise Unreadable(file, None, f"It is no TOML: {fault}.", "", 'Write it as cut = ["W12"].') from None
    for key in values:
        if key not in KEYS:
            near = difflib.get_close_matches(key, KEYS, n=1)
            remedy = f"Call it {near[0]}." if near else "Take it away."
            raise Unreadable(file, None, f"There is no key {key}.", f"Keys are {', '.join(KEYS)}.", remedy)
    return Done(**{key: _names(file, key, values.get(key, [])) for key in KEYS})


def _names(file: Path, key: str, raw: object) -> frozenset[str]:
    if isinstance(raw, list) and all(isinstance(one, str) for one in raw):
        return frozenset(raw)
    what = f"{key} is no list of names."
    raise Unreadable(file, None, what, "Names stand in quotes, in brackets.", f'Write {key} = ["NAME"].')
