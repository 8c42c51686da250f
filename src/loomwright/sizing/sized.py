"""What sizing gives: lengths, conductors, bundles and coverings, each born complete."""

from dataclasses import dataclass
from functools import cached_property

from loomwright.findings import Finding
from loomwright.library.coverings import printed_size
from loomwright.library.wires import WireSize
from loomwright.sources import Source


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a sum that can be read: words and value."""

    words: str
    mm: float


@dataclass(frozen=True, slots=True)
class WireLength:
    """How long a wire is cut, as a sum.

    Attributes:
        terms: section lengths, end allowances, take-up, trim; they add up to `exact_mm`
        exact_mm: the sum before rounding [mm]
        cut_mm: rounded up to the shop's step [mm]
        doubt_mm: give or take of the way [mm]
        trim_a_mm, trim_b_mm: trim carried at each end [mm]; 0 = the end is fixed first or can't be trimmed
    """

    wire: str
    terms: tuple[Term, ...]
    path_mm: float
    exact_mm: float
    cut_mm: float
    doubt_mm: float
    trim_a_mm: float
    trim_b_mm: float


@dataclass(frozen=True, slots=True)
class Fit:
    """How a wire fits a contact and its seal at one end: "fits", "too thin", "too thick" or "not known"."""

    pin: str
    contact: str
    conductor: str
    insulation: str
    seal: str
    words: str
    source: Source


@dataclass(frozen=True, slots=True)
class Conductor:
    """One wire's conductor, and what decided it.

    Attributes:
        size: the chosen size of its family
        load_a: steady load, duty applied where it heats [A]
        peak_a: peak load [A]
        heat_limit_a: what it may carry in its hottest bundle [A]
        hottest: key of that section
        bundle_wires, loading_percent, air_c: the bundle's state there
        conductor_c: estimated conductor temperature at the load [degrees C]
        drop_v: volt drop of the whole path, feed and return [V]; own_drop_v of this wire alone
        drop_limit_v: its limit [V]
        fuse: names of what protects it, "" = nothing
        fuse_a: its rating [A]
        min_mm2: the least its shop or a device at its ends asks for [mm2]
        least, least_source: which of them, "mechanical minimum" (the shop's) or "usual at BAT"; its source
        governs: what decided the size, "mechanical minimum", "heat in B1-B2", "drop", "fuse", "builder"
        source: where the deciding figure comes from
        reason: the builder's reason where he fixed it
        estimated: the heat limit rests on our own estimate
        guide_fuse_a: guide chart's largest fuse for the size [A], None = chart doesn't cover it
        short_a, clears_s, stands_s: dead short at its far end: current, time to clear, time the wire stands
    """

    wire: str
    size: WireSize
    load_a: float
    peak_a: float
    heat_limit_a: float
    hottest: str
    bundle_wires: int
    loading_percent: float
    air_c: float
    conductor_c: float
    own_drop_v: float
    drop_v: float
    drop_limit_v: float
    fuse: str
    fuse_a: float | None
    min_mm2: float
    least: str
    least_source: Source
    governs: str
    source: Source
    reason: str
    estimated: bool
    guide_fuse_a: float | None
    short_a: float | None
    clears_s: float | None
    stands_s: float | None
    short_ok: bool | None
    can_overload: bool
    fits: tuple[Fit, ...]
    known_load: bool


@dataclass(frozen=True, slots=True)
class Bundle:
    """How thick a section's bundle is.

    Attributes:
        section: key loom/section
        items: outside diameters laid in it (a cable counts once) [mm], sorted
        wires: number of wires in it
        packed_min_mm: proved least diameter found by packing [mm]
        as_laid_mm: what the hand makes of it [mm]; the measured size where there is one
        low_mm, high_mm: bracket [mm]
        measured: `as_laid_mm` was measured with calipers
    """

    section: str
    items: tuple[float, ...]
    wires: int
    packed_min_mm: float
    lower_bound_mm: float
    as_laid_mm: float
    low_mm: float
    high_mm: float
    measured: bool
    source: Source


@dataclass(frozen=True, slots=True)
class SleevePiece:
    """A covering of one section.

    Attributes:
        section: key loom/section
        what: "sleeve", "braid", "convoluted tube", "tape", "none"
        type, size: library names, size "" = none passes and grips
        must_pass_mm: biggest thing it has to slide over [mm]
        bundle_mm: what it grips [mm]
        cut_mm: cut length [mm]; trim_mm of it left at a device end
        wall_mm, finished_mm: wall and outside diameter on the bundle [mm]
        fits: it passes and grips
    """

    section: str
    what: str
    type: str
    size: str
    must_pass_mm: float
    passes_over: str
    bundle_mm: float
    section_mm: float
    cut_mm: float
    trim_mm: float
    wall_mm: float
    finished_mm: float
    fits: bool
    words: str
    source: Source

    @property
    def printed(self) -> str:
        """The size with its unit, "3/8 in"; "" where none fits."""
        return printed_size(self.type, self.size)


@dataclass(frozen=True, slots=True)
class BranchCover:
    """The piece over a branch point: overlap on each leg. `taped` = bound with tape, cut_mm long."""

    loom: str
    point: str
    type: str
    size: str
    legs: tuple[tuple[str, float], ...]  # (section key, overlap in mm)
    over_mm: float
    smallest_mm: float
    cut_mm: float
    fits: bool
    words: str
    source: Source
    taped: bool = False

    @property
    def printed(self) -> str:
        """The size with its unit, "3/8 in"; "" where none fits."""
        return printed_size(self.type, self.size)


@dataclass(frozen=True, slots=True)
class Grommet:
    """The grommet at a loom's datum, and what has to pass its hole."""

    loom: str
    hole_mm: float
    od_mm: float
    inside_mm: float
    words: str
    biggest_mm: float
    biggest: str
    passes: bool
    source: Source


@dataclass(frozen=True, slots=True)
class RopeBuy:
    """Rope to buy for the mock-up of one section, from the tree alone."""

    section: str
    diameter_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class SpliceCover:
    """The glue-lined piece over one splice, and which side each wire enters it from.

    Attributes:
        type, size: library names, size "" = none goes over the body and grips
        over_mm: thickest thing it goes over, body or bundle [mm]
        onto_mm: bundle of the thinner side, which it must grip [mm]
        waits_on: wires it is slid on before the crimp: all of one side, the one with fewer
        inner, outer: wires from the section's inner end, and from its outer; one is empty where all come
            from one side: then the cover closes as a cap
    """

    type: str
    size: str
    over_mm: float
    onto_mm: float
    waits_on: tuple[str, ...]
    inner: tuple[str, ...]
    outer: tuple[str, ...]
    words: str
    source: Source

    @property
    def cap(self) -> bool:
        """Whether all wires come from one side."""
        return not (self.inner and self.outer)

    @property
    def printed(self) -> str:
        """The size with its unit, "3/8 in"; "" where none fits."""
        return printed_size(self.type, self.size)


@dataclass(frozen=True, slots=True)
class SpliceSizing:
    """The splice body and cover for one splice."""

    splice: str
    kind: str
    size: str
    sum_mm2: float
    window: tuple[float, float]
    length_mm: float
    cover_mm: float
    lump_mm: float
    fits: bool
    source: Source
    cover: SpliceCover


@dataclass(frozen=True)
class Sized:
    """Everything that has a size."""

    lengths: tuple[WireLength, ...]
    conductors: tuple[Conductor, ...]
    bundles: tuple[Bundle, ...]
    sleeves: tuple[SleevePiece, ...]
    branch_covers: tuple[BranchCover, ...]
    grommets: tuple[Grommet, ...]
    ropes: tuple[RopeBuy, ...]
    splices: tuple[SpliceSizing, ...]
    rounds: int
    findings: tuple[Finding, ...]

    @cached_property
    def length(self) -> dict[str, WireLength]:
        """Lengths by wire identity."""
        return {x.wire: x for x in self.lengths}

    @cached_property
    def conductor(self) -> dict[str, Conductor]:
        """Conductors by wire identity."""
        return {x.wire: x for x in self.conductors}

    @cached_property
    def bundle(self) -> dict[str, Bundle]:
        """Bundles by section key."""
        return {x.section: x for x in self.bundles}

    @cached_property
    def sleeve(self) -> dict[str, SleevePiece]:
        """Sleeves by section key."""
        return {x.section: x for x in self.sleeves}

    @cached_property
    def splice(self) -> dict[str, SpliceSizing]:
        """Splice bodies by splice name."""
        return {x.splice: x for x in self.splices}
