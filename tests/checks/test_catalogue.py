"""The catalogue, the codes in the source and the manual's pages say the same."""

import re
from pathlib import Path

import pytest

from checks.test_every_code import FIRES
from checks.test_sized_codes import SIZED
from loomwright.checks import earlier_file, earlier_routing
from loomwright.checks.catalogue import CATALOGUE, ENTRIES, entry
from loomwright.findings import SHEETS

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "loomwright"
PAGES = ROOT / "docs" / "findings"
EARLIER = {one.code for one in (*earlier_file.ENTRIES, *earlier_routing.ENTRIES)}
CODE = re.compile(r'"([A-Z]+-\d{2})"')


def codes_in(*folders):
    files = sorted(f for folder in folders for f in (SOURCE / folder).rglob("*.py"))
    return {code for f in files for code in CODE.findall(f.read_text("utf-8"))}


def test_every_code_of_the_source_is_in_the_catalogue():
    raising = [d.name for d in SOURCE.iterdir() if d.is_dir() and d.name != "checks"]
    raised = {c for c in codes_in(*raising) if c.split("-")[0] in {x.split("-")[0] for x in CATALOGUE}}
    assert raised - set(CATALOGUE) == set()
    assert codes_in("checks") == set(CATALOGUE)


def test_earlier_codes_are_raised_somewhere():
    rungs = ("jobfile", "mockup", "records", "routing", "sizing", "building")
    assert codes_in(*rungs) == EARLIER


def test_every_code_of_the_checks_is_tested():
    assert set(CATALOGUE) - EARLIER == set(FIRES) | SIZED


def test_codes_stand_once():
    assert len({one.code for one in ENTRIES}) == len(ENTRIES)
    assert len({one.title for one in ENTRIES}) == len(ENTRIES)


def test_sheets_are_known():
    assert {sheet for one in ENTRIES for sheet in one.sheets} <= set(SHEETS)


def test_faults_stamp_a_sheet():
    bare = [one.code for one in ENTRIES if one.severity == "fault" and not one.sheets]
    assert bare == ["ACCEPT-02"]


def test_looked_up_as_written():
    assert entry(" fuse-01 ") is CATALOGUE["FUSE-01"]
    assert entry("FUSE-99") is None


def test_pages_and_catalogue_have_the_same_codes():
    assert {page.stem for page in PAGES.glob("*.md")} == set(CATALOGUE)


@pytest.mark.parametrize("code", sorted(CATALOGUE))
def test_page_says_what_the_catalogue_says(code):
    one, page = CATALOGUE[code], (PAGES / f"{code}.md").read_text("utf-8")
    first, _, second = page.partition("\n\n")[0:1][0], "", page.split("\n\n")[1]
    assert first == f"# {code} {one.title}"
    words = " or ".join((one.severity, *one.also))
    assert second.startswith(f"{words.capitalize()} · {'can' if one.accept else 'can not'} be accepted")
    assert "**What to do.**" in page
    assert "**Where it comes from.**" in page
    assert f"[{one.source.mark}]" in " ".join(page.split())
    assert (f'finding = "{code} ' in page) == one.accept
    assert all(f"`{level}`" in second for level in one.levels if len(one.levels) < 3)
