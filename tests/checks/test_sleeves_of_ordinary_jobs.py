"""Every ordinary section finds a sleeve, and heavy cables without one are bound with tape."""

import pytest

from checks.making import changed, codes, device, findings, worked
from loomwright.calc.sleeve_fit import SleeveBore, choose_sleeve
from loomwright.library.coverings import sleeve

TYPES = ("polyolefin 2:1", "diesel-resistant 2:1")


@pytest.mark.parametrize("name", TYPES)
@pytest.mark.parametrize("length_mm", [60, 150, 300, 520, 1500])
def test_every_bundle_of_a_loom_finds_a_size(name, length_mm):
    """From the thinnest size's recovered bore to 25 mm, in steps of 0.05 mm."""
    bores = [SleeveBore(s.label, s.expanded_id_mm, s.recovered_id_mm, s.wall_mm) for s in sleeve(name).sizes]
    least = round(20 * bores[0].recovered_mm) + 1
    without = [n / 20 for n in range(least, 500) if choose_sleeve(bores, n / 20, length_mm).chosen is None]
    assert without == []


def heavy(covering):
    """A point behind the battery where cables of 35 mm2 part."""
    text = changed(
        ('reads = [["B3", 210], ["BAT", 300]]', 'reads = [["B3", 210], ["B4", 260], ["BAT", 300]]')
    )
    legs = "".join(
        f'[passes."{name}"]\ncovering = "{covering}"\n' for name in ("B3-B4", "B4-BAT", "B4-ST", "B4-G9")
    )
    return (
        text.replace(
            '[circuit."battery feed"]\nsize = "6"',
            '[circuit."battery feed"]\nfamily = "battery cable mm2"\nsize = "25"',
        )
        + device("ST", "starter motor stud", "", {"stud": '"battery feed"'}).replace("B2-ST", "B4-ST")
        + device("G9", "body ground stud", "", {"stud": '"engine ground"'}).replace("B2-G9", "B4-G9")
        + legs
        + '[circuit."engine ground"]\nsize = "0.75"\nreason = "test"\n'
    )


@pytest.mark.parametrize("covering", ["none", "braid", "convoluted tube"])
def test_no_glue_lined_piece_is_asked_for_over_bare_cables(covering):
    text = heavy(covering)
    assert "SLEEVE-04" not in codes(text), [f.what_is for f in findings(text) if f.code == "SLEEVE-04"]


def test_a_point_bound_with_tape_says_so_where_it_is_built():
    one, _ = worked(heavy("none"))
    taped = [c for c in one.sized.branch_covers if c.taped]
    for cover in taped:
        step = next(s for s in one.built.steps if s.words.startswith(f"Close {cover.point}:"))
        assert "bind it half lapped" in step.words
        assert not [s for s in one.built.slide_on if f"piece over {cover.point}" in s.what]
    assert taped
