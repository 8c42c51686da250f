"""What a finding's code means, on the terminal."""

import difflib
import json as json_words
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Final

from loomwright.checks.catalogue import CATALOGUE, entry
from loomwright.checks.entry import Entry

HERE: Final = Path(__file__).resolve().parents[1]
PAGES: Final = (
    HERE / "checks" / "pages",
    HERE.parents[1] / "docs" / "findings",
)  # installed, or in a checkout


def explain_code(code: str, json: bool) -> int:
    """Print what a code means; 2 if there is none of that name."""
    found = entry(code)
    if found is None:
        near = difflib.get_close_matches(code.strip().upper(), CATALOGUE, n=3, cutoff=0.5)
        hint = f" Near it: {', '.join(near)}." if near else ""
        print(f"There is no finding with the code {code}.{hint}", file=sys.stderr)
        return 2
    if json:
        print(json_words.dumps(asdict(found), indent=1, ensure_ascii=False, default=str))
    else:
        print(_page(found.code) or _short(found))
    return 0


def _page(code: str) -> str:
    file = next((folder / f"{code}.md" for folder in PAGES if (folder / f"{code}.md").is_file()), None)
    return file.read_text("utf-8").rstrip() if file else ""


def _short(found: Entry) -> str:
    kept = "It can be accepted with a reason." if found.accept else "It can't be accepted."
    return f"{found.code}  {found.title}  ({found.severity})\n{found.means}\nSource: {found.source}\n{kept}"
