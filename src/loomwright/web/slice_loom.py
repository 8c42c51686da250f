"""Slices of the loom: tree, wires, splices, bundles with their coverings."""

from loomwright.job import WorkedJob
from loomwright.model.tree import Section, Tree
from loomwright.routing.routed import WireEnd, section_key

Plain = dict[str, object]


def tree_slice(done: WorkedJob) -> list[Plain]:
    """Return every loom's tree: sections from the datum outwards, branch points, ends."""
    return [_tree(one, done) for one in done.worked.routed.trees]


def _tree(tree: Tree, done: WorkedJob) -> Plain:
    return {
        "loom": tree.loom,
        "datum": tree.datum,
        "branch_points": list(tree.branch_points),
        "ends": list(tree.ends),
        "sections": [_section(one, tree, done) for one in tree.sections],
    }


def _section(one: Section, tree: Tree, done: WorkedJob) -> Plain:
    key = section_key(one.loom, one.name)
    bundle = done.worked.sized.bundle.get(key)
    inside = done.worked.routed.in_section.get(key, ())
    return {
        "key": key,
        "name": one.name,
        "inner": one.inner,
        "outer": one.outer,
        "mm": one.length_mm,
        "give_mm": one.own_mm,
        "from_datum_mm": tree.from_datum_mm.get(one.outer),
        "origin": one.origin,
        "tape": one.tape,
        "area": one.area,
        "air_c": one.air_c,
        "co_runs": [{"section": x.section, "until_mm": x.until_mm} for x in one.co_runs],
        "wires": [x.label for x in inside],
        "screens": sum(x.screen for x in inside),
        "od_mm": round(bundle.as_laid_mm, 4) if bundle else None,
        "path": list(one.path),
    }


def wires_slice(done: WorkedJob) -> list[Plain]:
    """Return all wires by number: ends, way, conductor, length."""
    sized = done.worked.sized
    found = []
    for one in sorted(done.worked.routed.wires, key=lambda x: (x.number, x.identity)):
        length, conductor = sized.length.get(one.identity), sized.conductor.get(one.identity)
        found.append(
            {
                "label": one.label,
                "identity": one.identity,
                "circuit": one.circuit,
                "kind": str(one.kind),
                "loom": one.loom,
                "a": _end(one.a),
                "b": _end(one.b),
                "colour": one.colour,
                "cable": one.cable,
                "spare": one.spare,
                "sections": [section_key(one.loom, step.section) for step in one.way],
                "size": conductor.size.label if conductor else "",
                "governs": conductor.governs if conductor else "",
                "cut_mm": length.cut_mm if length else None,
            }
        )
    return found


def _end(end: WireEnd) -> Plain:
    return {"kind": str(end.kind), "name": end.name, "point": end.point}


def splices_slice(done: WorkedJob) -> list[Plain]:
    """Return all splices with places, wires and bodies, sorted by name."""
    routed, sized = done.worked.routed, done.worked.sized
    found = []
    for one in sorted(routed.splices, key=lambda x: x.name):
        body = sized.splice.get(one.name)
        found.append(
            {
                "name": one.name,
                "circuit": one.circuit,
                "loom": one.loom,
                "section": section_key(one.loom, one.place.section),
                "mm": one.place.mm,
                "near": one.near,
                "chosen": one.chosen,
                "wires": [routed.wire[x].label for x in one.wires if x in routed.wire],
                "kind": body.kind if body else "",
                "size": body.size if body else "",
                "sum_mm2": body.sum_mm2 if body else None,
            }
        )
    return found


def bundles_slice(done: WorkedJob) -> list[Plain]:
    """Return every section's bundle and covering, in the order of the tree."""
    sized, found = done.worked.sized, []
    for tree in done.worked.routed.trees:
        for section in tree.sections:
            key = section_key(section.loom, section.name)
            bundle, sleeve = sized.bundle.get(key), sized.sleeve.get(key)
            if bundle is None:
                continue
            found.append(
                {
                    "section": key,
                    "name": section.name,
                    "loom": section.loom,
                    "mm": section.length_mm,
                    "wires": bundle.wires,
                    "as_laid_mm": round(bundle.as_laid_mm, 4),
                    "low_mm": round(bundle.low_mm, 4),
                    "high_mm": round(bundle.high_mm, 4),
                    "packed_min_mm": round(bundle.packed_min_mm, 4),
                    "measured": bundle.measured,
                    "covering": sleeve.what if sleeve else "",
                    "type": sleeve.type if sleeve else "",
                    "size": sleeve.size if sleeve else "",
                    "cut_mm": sleeve.cut_mm if sleeve else None,
                    "finished_mm": round(sleeve.finished_mm, 4) if sleeve else None,
                    "fits": sleeve.fits if sleeve else None,
                    "words": sleeve.words if sleeve else "",
                }
            )
    return found
