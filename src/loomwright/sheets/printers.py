"""What each printer makes of 100 mm, kept beside the job so that it is measured once."""

import json
import tomllib
from pathlib import Path
from typing import Final

from loomwright.errors import LoomwrightError, OutOfRange, Unreadable
from loomwright.sheets.files import write_whole
from loomwright.sheets.tiles import TRUE_PRINTER, PrinterScale

PRINTERS_FILE: Final = "printers.toml"
LEVEL: Final = "level_bar_mm"
UPRIGHT: Final = "upright_bar_mm"
LYING: Final = "landscape"
NAME_LETTERS: Final = 40
HEAD: Final = (
    "# What the 100 mm bars of a tile measured, printed without correction; one table a printer.\n"
    "# Written by: loomwright pack --printer NAME --measured ACROSS UP\n"
)


class UnknownPrinter(LoomwrightError):
    """No correction is known for a printer; the message says how to tell it."""


def known_printers(folder: Path) -> dict[str, PrinterScale]:
    """Return the correction of every printer remembered in a job's folder, by name.

    Raises:
        Unreadable: the file there can't be read as what it should be.
        OSError: the file can't be opened.
    """
    return {name: _scale(folder / PRINTERS_FILE, name, told) for name, told in _told(folder).items()}


def printer_named(folder: Path, name: str) -> PrinterScale:
    """Return the correction of one printer.

    Raises:
        UnknownPrinter: none of that name is remembered.
        Unreadable: the file there can't be read as what it should be.
    """
    known = known_printers(folder)
    if name in known:
        return known[name]
    others = f" Known here: {', '.join(sorted(known))}." if known else ""
    raise UnknownPrinter(
        f"No correction of a printer {name} is remembered in {folder / PRINTERS_FILE}.{others} "
        "Print one tile without correction, measure its 100 mm bars and tell them: "
        f"--printer {name} --measured ACROSS UP"
    )


def remember(folder: Path, name: str, level_mm: float, upright_mm: float, landscape: bool) -> PrinterScale:
    """Keep what a printer's bars measured, in place of what was known of it, and return its correction.

    Args:
        folder: job folder
        name: printer, 1 to 40 printable letters
        level_mm, upright_mm: bars of a tile printed without correction, 97.5 to 102.5 [mm]
        landscape: that tile lay with its long side across

    Raises:
        OutOfRange: the name or a bar is out of its range.
        Unreadable: the file there can't be read as what it should be; nothing is written.
        OSError: the file can't be written.
    """
    if not (name.strip() == name and name.isprintable() and 0 < len(name) <= NAME_LETTERS):
        limit = f"1 to {NAME_LETTERS} printable letters"
        raise OutOfRange(
            "the name of the printer", repr(name), limit, "give it a short name, office or garage"
        )
    scale = TRUE_PRINTER.measured(name, level_mm, upright_mm, landscape)
    known = _told(folder)
    known_printers(folder)
    known[name] = {LEVEL: float(level_mm), UPRIGHT: float(upright_mm), LYING: landscape}
    tables = (_table(one, known[one]) for one in sorted(known))
    write_whole(folder / PRINTERS_FILE, (HEAD + "".join(tables)).encode())
    return scale


def _table(name: str, told: dict[str, object]) -> str:
    lines = (f"{key} = {json.dumps(told[key])}\n" for key in (LEVEL, UPRIGHT, LYING))
    return f"\n[{json.dumps(name, ensure_ascii=False)}]\n{''.join(lines)}"


def _told(folder: Path) -> dict[str, dict[str, object]]:
    file = folder / PRINTERS_FILE
    if not file.exists():
        return {}
    try:
        found = tomllib.loads(file.read_text("utf-8"))
    except ValueError as fault:
        remedy = "Mend it, or delete it and measure again."
        raise Unreadable(file, None, f"It can't be read: {fault}.", "", remedy) from fault
    for name, told in found.items():
        if not isinstance(told, dict) or set(told) != {LEVEL, UPRIGHT, LYING}:
            raise Unreadable(
                file,
                None,
                f"[{name}] is not a printer.",
                f"It should have {LEVEL}, {UPRIGHT} and {LYING}.",
                "Mend it, or delete it and measure again.",
            )
    return found


def _scale(file: Path, name: str, told: dict[str, object]) -> PrinterScale:
    level, upright, landscape = told[LEVEL], told[UPRIGHT], told[LYING]
    sound = all(isinstance(x, int | float) and not isinstance(x, bool) for x in (level, upright))
    if not sound or not isinstance(landscape, bool):
        should = f"{LEVEL} and {UPRIGHT} should be numbers, {LYING} true or false."
        raise Unreadable(file, None, f"[{name}] can't be read.", should, "Mend it, or measure again.")
    assert isinstance(level, int | float)
    assert isinstance(upright, int | float)
    try:
        return TRUE_PRINTER.measured(name, level, upright, landscape)
    except OutOfRange as fault:
        raise Unreadable(file, None, f"[{name}]:", str(fault), "") from fault
