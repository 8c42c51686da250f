"""Exits in car axes: which hand a branch leaves on, and what the clock shows.

The clock is what one sees looking outward from the datum along the loom: 12 is up; where the loom runs within
30 degrees of vertical, 12 is front. So the same car side is 3 o'clock on one side of a bulkhead and 9
o'clock on the other; exits are therefore kept in car axes and turned into hands only here.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

Vector = tuple[float, float, float]

# front, left, up: a right-handed frame, so that seen from above left is anticlockwise from front
AXES: Final[Mapping[str, Vector]] = MappingProxyType(
    {
        "front": (1.0, 0.0, 0.0),
        "back": (-1.0, 0.0, 0.0),
        "left": (0.0, 1.0, 0.0),
        "right": (0.0, -1.0, 0.0),
        "up": (0.0, 0.0, 1.0),
        "down": (0.0, 0.0, -1.0),
    }
)
NEAR_VERTICAL: Final = math.cos(math.radians(30.0))
SMALL: Final = 1e-9
MEANT: Final = 0.3  # ours


@dataclass(frozen=True, slots=True)
class Sight:
    """One way of looking along the loom: where it goes, where 12 o'clock is and where 3 o'clock is."""

    ahead: Vector
    twelve: Vector
    three: Vector


@dataclass(frozen=True, slots=True)
class Hand:
    """How an exit lies to somebody looking outward.

    Attributes:
        left: share to the left hand, -1 (right) to 1 (left)
        above: share towards 12 o'clock, -1 to 1
        onward: share straight on, -1 (back) to 1
    """

    left: float
    above: float
    onward: float

    def untwisted(self, twist_deg: float) -> "Hand":
        """Return the same on a loom whose twist is taken out, as it lies on the bench.

        Args:
            twist_deg: how far the loom has turned on its way here, clockwise looking outward [degrees]
        Source: plane geometry; exact.
        """
        if not twist_deg:
            return self
        c, s = math.cos(math.radians(twist_deg)), math.sin(math.radians(twist_deg))
        return Hand(self.left * c + self.above * s, self.above * c - self.left * s, self.onward)

    def rounded(self) -> "Hand":
        """Return the same with shares too small to be meant, below 0.3, left out."""
        left, above = (x if abs(x) >= MEANT else 0.0 for x in (self.left, self.above))
        return Hand(left, above, self.onward)

    @property
    def fan(self) -> tuple[float, float]:
        """Where it points, spread flat: how far to the left, and towards 12 o'clock; 0, 0 = straight on.

        Wires that lie in a bundle as their directions lie here part without crossing.
        Source: stereographic projection from straight back; exact. Straight back itself comes out far off.
        """
        size = math.hypot(self.left, self.above, self.onward) or 1.0
        back = max(1.0 + self.onward / size, SMALL)
        return self.left / size / back, self.above / size / back

    @property
    def side(self) -> int:
        """1 = left, -1 = right, 0 = neither."""
        return (self.left > SMALL) - (self.left < -SMALL)

    @property
    def clock(self) -> int | None:
        """Hour shown, 1 to 12; None = straight on or straight back."""
        if math.hypot(self.left, self.above) < SMALL:
            return None
        return round(round(math.degrees(math.atan2(-self.left, self.above)) / 30.0, 6)) % 12 or 12


def direction(axes: tuple[str, ...]) -> Vector | None:
    """Return the unit vector between the given car axes; None where there is none (no or opposite axes).

    Args:
        axes: words up, down, left, right, front, back; others are passed over
    """
    x, y, z = (sum(AXES[a][i] for a in axes if a in AXES) for i in range(3))
    size = math.sqrt(x * x + y * y + z * z)
    return (x / size, y / size, z / size) if size > SMALL else None


def sight(ahead: Vector) -> Sight:
    """Return what one sees looking along `ahead` (a unit vector).

    Source: common practice, 12 = up, within 30 degrees of vertical 12 = front; three = ahead x twelve.
    """
    crown = AXES["front"] if abs(ahead[2]) >= NEAR_VERTICAL else AXES["up"]
    x, y, z = _cross(ahead, crown)
    size = math.sqrt(x * x + y * y + z * z)
    three = (x / size, y / size, z / size)
    return Sight(ahead, _cross(three, ahead), three)


def hand(seen: Sight, exit_to: Vector) -> Hand:
    """Return how an exit towards `exit_to` (a unit vector) lies to somebody looking along the loom."""
    return Hand(-_dot(exit_to, seen.three), _dot(exit_to, seen.twelve), _dot(exit_to, seen.ahead))


def _dot(a: Vector, b: Vector) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def _cross(a: Vector, b: Vector) -> Vector:
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
