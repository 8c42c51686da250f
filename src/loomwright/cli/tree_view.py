"""The loom tree on the terminal: sections with length, wires, bundle and covering."""

import json
from collections.abc import Iterator
from typing import Any

from loomwright.job import WorkedJob
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import section_key


def print_trees(done: WorkedJob) -> None:
    """Print every loom as an indented tree from its datum."""
    for tree in done.worked.routed.trees:
        print(f"{tree.loom}  (datum {tree.datum})")
        print("\n".join(_below(done, tree, tree.datum, "")))
        print()


def _below(done: WorkedJob, tree: Tree, point: str, indent: str) -> Iterator[str]:
    sections = tree.out_of.get(point, ())
    for n, section in enumerate(sections):
        last = n == len(sections) - 1
        head = f"{indent}{'└─' if last else '├─'} {section.outer}"
        yield f"{head:<34} {_figures(done, section)}".rstrip()
        yield from _below(done, tree, section.outer, indent + ("   " if last else "│  "))


def _figures(done: WorkedJob, section: Section) -> str:
    key = section_key(section.loom, section.name)
    bundle, piece = done.worked.sized.bundle.get(key), done.worked.sized.sleeve.get(key)
    length = f"{section.length_mm:6.0f} ±{section.own_mm + section.common_mm:.0f} mm"
    if bundle is None or piece is None:
        return f"{length}  no wires"
    covering = f"{piece.type} {piece.printed}".strip() or "bare"
    sizes = f"Ø {bundle.as_laid_mm:4.1f} → {piece.finished_mm:4.1f} mm"
    return f"{length}  {bundle.wires:3d} {'wires' if bundle.wires != 1 else 'wire '}  {sizes}  {covering}"


def trees_json(done: WorkedJob) -> str:
    """Return every loom's sections with their sizes as one JSON object."""
    return json.dumps(
        {t.loom: [_section(done, s) for s in t.sections] for t in done.worked.routed.trees}, indent=1
    )


def _section(done: WorkedJob, section: Section) -> dict[str, Any]:
    key = section_key(section.loom, section.name)
    bundle, piece = done.worked.sized.bundle.get(key), done.worked.sized.sleeve.get(key)
    return {
        "section": section.name,
        "inner": section.inner,
        "outer": section.outer,
        "length_mm": section.length_mm,
        "give_or_take_mm": section.own_mm + section.common_mm,
        "wires": bundle.wires if bundle else 0,
        "bundle_mm": bundle.as_laid_mm if bundle else None,
        "finished_mm": piece.finished_mm if piece else None,
        "covering": f"{piece.type} {piece.size}".strip() if piece else "",
    }
