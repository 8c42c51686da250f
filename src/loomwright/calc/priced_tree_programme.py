"""A linear programme in the making, and its least cost."""

from dataclasses import dataclass, field
from typing import Final

MANY: Final = 4000  # variables; beyond, the inner-point method is quicker; ours, measured
TOLERANCE: Final = 1e-6  # of the cost, taken off for what HiGHS calls solved; ours

Row = tuple[list[int], list[float], float]


@dataclass(slots=True)
class Programme:
    """Costs, rows of `at most`, rows of `equal`; a row is columns, values and the right side."""

    cost: list[float] = field(default_factory=list)
    most: list[Row] = field(default_factory=list)
    equal: list[Row] = field(default_factory=list)

    def variables(self, count: int, cost: float = 0.0) -> range:
        """Add variables of 0 and more; return their columns."""
        first = len(self.cost)
        self.cost.extend([cost] * count)
        return range(first, first + count)

    def below(self, columns: list[int], above: int) -> None:
        """The sum of some variables is at most another."""
        self.most.append(([*columns, above], [1.0] * len(columns) + [-1.0], 0.0))


def least_cost(programme: Programme, limit_s: float) -> float:
    """Return a programme's least cost, a millionth of it taken off; 0 where the time does not suffice."""
    import numpy as np
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    def matrix(rows: list[Row]) -> tuple[object, list[float]]:
        at = np.repeat(np.arange(len(rows)), [len(columns) for columns, _, _ in rows])
        columns = [c for cs, _, _ in rows for c in cs]
        values = [v for _, vs, _ in rows for v in vs]
        shape = (len(rows), len(programme.cost))
        return csr_array((values, (at, columns)), shape=shape), [right for _, _, right in rows]

    most, most_right = matrix(programme.most)
    equal, equal_right = matrix(programme.equal)
    found = linprog(
        programme.cost,
        A_ub=most,
        b_ub=most_right,
        A_eq=equal,
        b_eq=equal_right,
        method="highs-ipm" if len(programme.cost) > MANY else "highs",
        options={"time_limit": limit_s},
    )
    return float(found.fun) - TOLERANCE * abs(float(found.fun)) if found.status == 0 else 0.0
