"""The manual is true: its commands print what it shows, its links lead somewhere, nothing lacks its page."""

import ast
import csv
import re
import tomllib
from pathlib import Path

import pytest

from loomwright.checks.catalogue import CATALOGUE
from loomwright.demos import demo_folder
from loomwright.demos import names as demo_names
from loomwright.starters import names as starter_names
from manual_blocks import ROOT, agree, carried_out, pages, tasks, undated

DOCS = ROOT / "docs"
SOURCE = ROOT / "src" / "loomwright"
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
FENCED = re.compile(r"^```.*?^```", re.S | re.M)
RUN = tuple(page for page in pages() if any(task.verb == "run" for task in tasks(page.read_text("utf-8"))))
ALL_CODES = tuple(sorted(CATALOGUE))


def name(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("page", RUN, ids=name)
def test_commands_print_what_the_page_shows(page: Path, tmp_path: Path) -> None:
    for said in carried_out(page.read_text("utf-8"), tmp_path):
        assert said.code in (0, 1), f"{said.command}: {said.printed}"
        assert agree(said.shown, said.printed), "\n".join((f"$ {said.command}", *said.printed))


def test_a_changed_figure_is_noticed() -> None:
    assert agree(("a 320 mm", "...", "Digest 0123456789."), ("a 320 mm", "b", "Digest abcdef0123."))
    assert agree(("… sheets of A4",), ("15 sheets of A4",))
    assert not agree(("a 320 mm",), ("a 321 mm",))
    assert not agree(("a", "b"), ("a", "c", "b"))
    assert undated("Digest 0123456789.") != "Digest 0123456789."


def test_first_loom_ends_with_the_shipped_demo(tmp_path: Path) -> None:
    for _ in carried_out((DOCS / "first-loom.md").read_text("utf-8"), tmp_path):
        pass
    written = tomllib.loads((tmp_path / "my-loom" / "job.toml").read_text("utf-8"))
    assert written == tomllib.loads((demo_folder("six") / "job.toml").read_text("utf-8"))


def test_first_loom_has_every_step_checked() -> None:
    page = (DOCS / "first-loom.md").read_text("utf-8")
    blocks = [task.block for task in tasks(page) if task.verb == "run"]
    shown = [line for block in blocks for line in block.splitlines() if line.startswith("$ ")]
    assert [line.split()[3] for line in shown].count("check") >= 4
    assert shown[-1].startswith("$ python3 start.py pack ")


def test_a_late_change_keeps_the_numbers_the_page_tells(tmp_path: Path) -> None:
    lists = []
    for said in carried_out((DOCS / "how-to" / "change-late.md").read_text("utf-8"), tmp_path):
        if " pack " in said.command:
            with (tmp_path / "my-job" / "pack" / "csv" / "cut-list.csv").open(encoding="utf-8-sig") as file:
                lists.append({row["wire"]: (row["circuit"], row["cut [mm]"]) for row in csv.DictReader(file)})
    before, after = lists
    assert set(before) == {f"W{n}" for n in range(1, 16)}
    assert set(before) - set(after) == {"W14"}
    assert all(after[wire] == before[wire] for wire in set(before) & set(after))
    assert min(int(wire[1:]) for wire in set(after) - set(before)) == 16


def test_readme_shows_its_first_result_early() -> None:
    lines = (ROOT / "README.md").read_text("utf-8").splitlines()
    setup = [line.split("#")[0].strip() for line in lines[:12] if line.startswith("python3 ")]
    assert setup == ["python3 start.py", "python3 start.py test"]
    assert any("docs/pictures/" in line for line in lines[:40])
    assert any("docs/first-loom.md" in line for line in lines[:40])


@pytest.mark.parametrize("page", pages(), ids=name)
def test_every_command_of_the_manual_exists(page: Path) -> None:
    from loomwright.cli.app import app

    known = {*app, "test", "open"}  # the last two are start.py's own
    text = page.read_text("utf-8")
    for word in re.findall(r"(?:python3 start\.py|^loomwright) ([a-z][a-z-]*)", text, re.M):
        assert word in known, f"{name(page)} tells of a command {word}"
    for demo in re.findall(r"demo --name ([a-z0-9-]+)", text):
        assert demo in demo_names()
    for starter in re.findall(r"--starter ([a-z0-9-]+)", text):
        assert starter in starter_names()


@pytest.mark.parametrize("page", pages(), ids=name)
def test_links_lead_somewhere(page: Path) -> None:
    for target in LINK.findall(FENCED.sub("", page.read_text("utf-8"))):
        if target.startswith(("http://", "https://")):
            continue
        file, _, heading = target.partition("#")
        there = page.parent / file if file else page
        assert there.exists(), f"{name(page)}: {target}"
        if heading:
            assert heading in anchors(there), f"{name(page)}: {target}"


def anchors(page: Path) -> set[str]:
    heads = re.findall(r"^#+ (.+)$", FENCED.sub("", page.read_text("utf-8")), re.M)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("code", ALL_CODES)
def test_each_finding_has_a_page(code: str) -> None:
    page = DOCS / "findings" / f"{code}.md"
    assert page.exists()
    assert page.read_text("utf-8").startswith(f"# {code} ")


def test_no_page_is_left_of_a_finding_that_is_gone() -> None:
    assert {page.stem for page in (DOCS / "findings").glob("*-[0-9][0-9].md")} == set(ALL_CODES)


def test_every_code_the_manual_names_exists() -> None:
    for page in pages():
        for code in re.findall(r"\b[A-Z]{3,}-\d\d\b", page.read_text("utf-8")):
            assert code in CATALOGUE or code.startswith("IEC"), f"{name(page)} names {code}"


def test_every_calculation_has_a_page() -> None:
    told = "".join(page.read_text("utf-8") for page in (DOCS / "calculations").glob("*.md"))
    needed = [file.name for file in sorted((SOURCE / "calc").glob("*.py")) if has_figures(file)]
    assert [file for file in needed if file not in told] == []


def has_figures(file: Path) -> bool:
    """Whether a module of calc gives figures to the rungs above it; parts of the packing search don't."""
    if file.name in ("__init__.py", "tables.py"):
        return False
    used = f"loomwright.calc.{file.stem}"
    above = (one for one in SOURCE.rglob("*.py") if one.parent.name != "calc")
    return any(used in one.read_text("utf-8") for one in above)


@pytest.mark.parametrize("file", sorted(SOURCE.rglob("*.py")), ids=name)
def test_every_module_says_what_it_is(file: Path) -> None:
    said = ast.get_docstring(ast.parse(file.read_text("utf-8")))
    assert said
    assert said.split("\n\n")[0].endswith((".", ":"))


def test_accuracy_names_tests_that_exist() -> None:
    page = (DOCS / "accuracy.md").read_text("utf-8")
    named = re.findall(r"`([a-z]+/test_\w+\.py)`", page)
    assert len(named) > 30
    for test in named:
        assert (ROOT / "tests" / re.sub(r"^v/", "validation/", test)).exists(), test
    for file in (ROOT / "tests" / "validation").glob("test_*.py"):
        assert f"v/{file.name}" in page, f"docs/accuracy.md doesn't tell of {file.name}"


def test_every_page_can_be_reached_from_the_front() -> None:
    seen, open_pages = set(), [ROOT / "README.md"]
    while open_pages:
        page = open_pages.pop()
        if page in seen:
            continue
        seen.add(page)
        for target in LINK.findall(FENCED.sub("", page.read_text("utf-8"))):
            there = (page.parent / target.partition("#")[0]).resolve()
            if there.is_dir():
                open_pages += there.glob("*.md")
            elif there.suffix == ".md":
                open_pages.append(there)
    assert {page.resolve() for page in pages()} - {page.resolve() for page in seen} == set()


def test_changes_wait_under_known_kinds() -> None:
    kinds = {"numbers", "added", "changed", "mended"}
    for note in (ROOT / "changes").glob("*.md"):
        assert note.name == "README.md" or note.name.split(".")[-2] in kinds, note.name
    assert "### Numbers that moved" in (ROOT / "CHANGELOG.md").read_text("utf-8")
