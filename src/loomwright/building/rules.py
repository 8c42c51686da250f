"""The rules of the build order: what has to be done before what, and why."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from loomwright.sources import MEMORY, OURS, PRACTICE, Source


@dataclass(frozen=True, slots=True)
class OrderRule:
    """One rule.

    Attributes:
        code: "R6"
        kind: "cannot" (the parts do not allow it otherwise) or "should" (practice)
        words: the rule and its reason
    """

    code: str
    kind: str
    words: str
    source: Source

    @property
    def name(self) -> str:
        """The rule as printed beside a step: "R6 cannot"."""
        return f"{self.code} {self.kind}"


ORDER_RULES: Final = (
    OrderRule(
        "R1",
        "should",
        "All wires cut, marked and counted before lay-up: a missing one is cheap only now.",
        PRACTICE,
    ),
    OrderRule(
        "R2",
        "cannot",
        "Cover on the wire before the splice is crimped: it doesn't pass the splice later.",
        OURS,
    ),
    OrderRule("R3", "should", "Pairs twisted and screens prepared before lay-up.", PRACTICE),
    OrderRule(
        "R4", "should", "Splices made before lay-up, lay-up before sheath: they lie under it.", PRACTICE
    ),
    OrderRule("R5", "cannot", "What runs furthest is laid first: it lies inside.", OURS),
    OrderRule(
        "R6", "cannot", "Sleeve on before a branch point at its end is closed that it can't pass.", PRACTICE
    ),
    OrderRule("R7", "cannot", "Sleeve of an end on before its contacts: it doesn't pass them.", OURS),
    OrderRule("R8", "cannot", "Grommet on before the housings at that side: it has no slit.", OURS),
    OrderRule(
        "R9",
        "cannot",
        "At each end from the body outward: sleeve, boot, label, clear cover, contacts, housing.",
        PRACTICE,
    ),
    OrderRule("R10", "cannot", "Moulded piece or boot on before the ends beyond it are finished.", OURS),
    OrderRule(
        "R11",
        "should",
        "Bare loom held on the car before the first sleeve is shrunk: the last cheap correction.",
        PRACTICE,
    ),
    OrderRule("R12", "should", "Test fit and trim before the contacts are crimped.", PRACTICE),
    OrderRule(
        "R13", "should", "Sample pulls of a tool, contact and wire before the crimps of the loom.", PRACTICE
    ),
    OrderRule("R14", "cannot", "Wire seal on before the crimp.", OURS),
    OrderRule(
        "R15",
        "cannot",
        "Inserted, then locked; tested before boots and glue: a fault can be mended only before.",
        PRACTICE,
    ),
    OrderRule(
        "R16", "cannot", "Through the hole before the housing is fitted: the housing doesn't pass.", OURS
    ),
    OrderRule("R17", "should", "Circular plug finished before the sleeve beside it is shrunk.", PRACTICE),
    OrderRule(
        "R18", "should", "Glued boots in one session a batch of glue, a day of rest before handling.", MEMORY
    ),
    OrderRule("R19", "should", "Photos before covers are closed.", PRACTICE),
    OrderRule(
        "R20",
        "cannot",
        "Piece over a branch point parked on a leg before the next sleeve, and before a leg is finished.",
        PRACTICE,
    ),
)
CANNOT: Final = "cannot"
RULE: Final = MappingProxyType({rule.code: rule for rule in ORDER_RULES})


def order_rule(code: str) -> OrderRule:
    """Return a rule by its code.

    Raises:
        KeyError: there is none of that code.
    """
    return RULE[code]
