"""The page of a finding, on the terminal."""

import difflib
import json as json_words
import sys
from dataclasses import asdict

from loomwright.checks.catalogue import CATALOGUE


def explain_code(code: str, json: bool) -> int:
    """Print what a code means; 2 if there is none of that name."""
    by_code = {entry.code: entry for entry in CATALOGUE}
    wanted = code.strip().upper()
    entry = by_code.get(wanted)
    if entry is None:
        near = difflib.get_close_matches(wanted, by_code, n=3, cutoff=0.5)
        hint = f" Near it: {', '.join(near)}." if near else ""
        print(f"There is no finding with the code {code}.{hint}", file=sys.stderr)
        return 2
    if json:
        print(json_words.dumps(asdict(entry), indent=1, ensure_ascii=False, default=str))
        return 0
    print(entry.page_text())
    return 0
