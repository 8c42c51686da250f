"""The loom's present tree as a tree of the map: what the planner begins with where it can."""

from loomwright.calc.priced_tree import Bough
from loomwright.calc.priced_tree_worth import tidy
from loomwright.model.tree import Tree
from loomwright.planning.map_task import MapTask


def present_tree(tree: Tree, task: MapTask) -> Bough | None:
    """Return the present tree; None where one of its branch points or ends is no point of the map.

    Points of the rope that nothing parts at need not be on the map.
    """
    index = {name: at for at, name in enumerate(task.points)}
    ends = {name: at for at, name in enumerate(task.ends)}
    made: dict[str, Bough | None] = {}
    for name in reversed([tree.datum, *(one.outer for one in tree.sections)]):
        if name in ends:
            made[name] = Bough(index[name], ends[name])
            continue
        beyond = [made[one.outer] for one in tree.out_of.get(name, ())]
        some = tuple(one for one in beyond if one is not None)
        if len(some) == 1 and name != tree.datum:
            made[name] = some[0]
        elif not some:
            made[name] = None
        elif name not in index:
            return None
        else:
            made[name] = Bough(index[name], -1, some)
    found = made[tree.datum]
    if found is None or found.end >= 0 or set(ends) - set(tree.ends):
        return None
    return tidy(found, task.task.root_is_end)
