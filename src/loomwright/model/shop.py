"""How this shop builds: every default a figure with its mark, changed in the job's [shop] table."""

from dataclasses import dataclass
from typing import Final

from loomwright.sources import PRACTICE, Figure, Mark, Source

_OURS: Final = Source(Mark.OURS)
_SERVICE: Final = Source(Mark.PRACTICE, "two re-terminations per end, AC 43.13-1B 11-118 asks for them")


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop's defaults. Keys in the job file are the field names.

    Words:
        wire_family, cable_family: library names
        splice_kind, sleeve, branch_cover, device_end_cover: library names of kinds
        lay: "straight" or "concentric"
        colours: the insulation colours on the shelf, IEC 60757 letters
        instrument: what the loom is tested with, "beeper", "hand meter" or "4-wire"
    """

    wire_family: str = "thin-wall XLPE mm2"
    splice_kind: str = "open barrel"
    covering: str = "sleeve"
    sleeve: str = "polyolefin 2:1"
    branch_cover: str = "glue-lined 3:1"
    lay: str = "straight"
    instrument: str = "hand meter"
    colours: tuple[str, ...] = ("BK", "RD", "WH", "YE", "GN", "BU", "BN", "OG", "VT", "GY", "PK")
    trim_mm: Figure = Figure(100.0, PRACTICE)
    service_mm: Figure = Figure(30.0, _SERVICE)
    fixed_end_mm: Figure = Figure(40.0, _OURS)
    stud_end_mm: Figure = Figure(20.0, _OURS)
    splice_end_mm: Figure = Figure(15.0, _OURS)
    take_up_straight: Figure = Figure(0.005, PRACTICE)
    take_up_concentric: Figure = Figure(0.04, Source(Mark.PRACTICE, "single safe figure"))
    cut_step_mm: Figure = Figure(10.0, _OURS)
    give_mm: Figure = Figure(10.0, PRACTICE)
    stretch_per_m_mm: Figure = Figure(3.0, _OURS)
    bundle_factor: Figure = Figure(1.2, PRACTICE)
    film_tape_mm: Figure = Figure(0.15, PRACTICE)
    bend_bundle_x: Figure = Figure(5.0, PRACTICE)
    bend_member_x: Figure = Figure(6.0, Source(Mark.STANDARD, "NASA-STD-8739.4: never below 6 x OD"))
    splice_max_wires: Figure = Figure(6.0, PRACTICE)
    splice_stagger_mm: Figure = Figure(45.0, PRACTICE)
    splice_from_branch_mm: Figure = Figure(
        20.0, Source(Mark.STANDARD, "QC/T 29106: joints and branch points at least 20 mm apart")
    )
    splice_behind_plug_mm: Figure = Figure(80.0, PRACTICE)
    sleeve_extra: Figure = Figure(0.05, PRACTICE)
    branch_overlap_mm: Figure = Figure(25.0, PRACTICE)
    contact_spare: Figure = Figure(0.10, PRACTICE)
    wire_spare: Figure = Figure(0.15, PRACTICE)
    min_mm2: Figure = Figure(0.35, PRACTICE)
    drop_limit_v: Figure = Figure(0.5, Source(Mark.STANDARD, "AC 43.13-1B Table 11-6, 14 V continuous"))
    pair_pitch_mm: Figure = Figure(25.0, Source(Mark.PRACTICE, "service text: 12 turns per 305 mm"))
    bus_stub_mm: Figure = Figure(300.0, Source(Mark.MEMORY, "stubs at 1 Mbit/s"))
    contact_ohm: Figure = Figure(0.010, Source(Mark.PRACTICE, "10 to 20 mohm a joint"))
    signal_amps: Figure = Figure(0.02, _OURS)
    min_per_splice: Figure = Figure(8.0, Source(Mark.MEMORY))
