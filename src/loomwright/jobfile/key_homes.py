"""Where a key belongs that was written into the wrong table."""

from typing import Final

from loomwright.jobfile.key_forms import Form
from loomwright.jobfile.keys import ROOT

MOST_HOMES: Final = 2  # a key that many tables know says nothing about where it belongs


def homes_of(name: str) -> tuple[str, ...]:
    """Return the heads of the tables that know a key, "[circuit.NAME]"; () where none or many do."""
    found = []
    for table in ROOT.keys:
        if name in table.inner:
            named = f"{table.name}.NAME" if table.form is Form.NAMED else table.name
            found.append(f"[[{named}]]" if table.form is Form.LIST else f"[{named}]")
    return tuple(found) if len(found) <= MOST_HOMES else ()
