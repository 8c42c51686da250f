"""A mend, carried out on the job's text, mends: its finding is gone afterwards."""

from collections import Counter

import pytest

from checks.making import findings
from checks.test_every_code import FIRES
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.toml_text import read_text

MENDED = ("PIN-06", "FUSE-03", "FUSE-04", "FACE-01", "HOLE-01", "HOLE-04", "MATE-01", "DEVICE-01")


@pytest.mark.parametrize("code", MENDED)
def test_mended(code):
    text = FIRES[code]
    one = next(one for one in findings(text) if one.code == code and one.mends)
    mended = apply(read_text(text), one.mends).document.text
    assert one.key not in {other.key for other in findings(mended) if other.severity == one.severity}


def test_keys_stand_once():
    for text in FIRES.values():
        rows = Counter(one.key for one in findings(text) if not one.code.startswith("FILE"))
        assert [key for key, count in rows.items() if count > 1] == []
