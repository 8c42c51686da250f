"""The shape of the code: the ladder, file sizes, what may not stand in it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "loomwright"
BASE = ("units", "errors", "sources", "findings", "edits")
LADDER = (
    ("base",),
    ("model",),
    ("calc",),
    ("library",),
    ("jobfile",),
    ("mockup",),
    ("records",),
    ("routing",),
    ("sizing",),
    ("building",),
    ("checks",),
    ("planning",),
    ("pack",),
    ("sheets",),
    ("job",),
    ("demos", "starters"),
    ("web", "cli"),
)
RUNG = {name: n for n, names in enumerate(LADDER) for name in names}
LONGEST = 400


def source_files() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def rung_of(module: str) -> str:
    parts = module.split(".")
    name = parts[1] if len(parts) > 1 else "base"
    return "base" if name in BASE else "cli" if name == "__main__" else name


def module_of(file: Path) -> str:
    return ".".join(file.relative_to(SOURCE.parent).with_suffix("").parts)


def imports(file: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(file.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from (a.name for a in node.names if a.name.startswith("loomwright"))
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith("loomwright"):
            yield node.module or ""


@pytest.mark.parametrize("file", source_files(), ids=lambda f: str(f.relative_to(SOURCE)))
def test_nobody_imports_upwards(file: Path) -> None:
    here = rung_of(module_of(file))
    for used in imports(file):
        there = rung_of(used)
        assert RUNG[there] <= RUNG[here], f"{file}: {here} may not use {there}"
        assert there != "model" or here != "calc", f"{file}: calc knows no model"


def test_every_file_fits_in_one_sitting() -> None:
    lines = {str(f.relative_to(ROOT)): len(f.read_text("utf-8").splitlines()) for f in source_files()}
    assert {name: n for name, n in lines.items() if n > LONGEST} == {}


def test_no_two_modules_import_each_other() -> None:
    uses = {module_of(f): set(imports(f)) for f in source_files()}
    both = {(a, b) for a, names in uses.items() for b in names if a < b and a in uses.get(b, ())}
    assert both == set()


def test_nothing_speaks_of_the_workplace() -> None:
    words = re.compile(r"trans[c]ript|see[d] doc[u]ment|/[w]ork/|/[r]oot/|sub[a]gent|/[s]hared/", re.I)
    said = []
    for file in (*source_files(), *sorted((ROOT / "docs").rglob("*.md")), ROOT / "README.md"):
        lines = enumerate(file.read_text("utf-8").splitlines(), 1)
        said += [f"{file}:{n}" for n, line in lines if words.search(line)]
    assert said == []
