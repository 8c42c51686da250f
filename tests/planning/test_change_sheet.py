"""The change sheet: what it lists, what has to be bought, which papers are exchanged."""

from dataclasses import replace

import pytest

from loomwright.job import WorkedJob
from loomwright.pack.change_parts import to_order
from loomwright.pack.change_sheet import change_sheet, papers_to_print
from loomwright.pack.pages import Sheet, Table
from loomwright.pack.papers import pack_head, papers
from loomwright.pack.parts import parts
from loomwright.pack.reprint import Reprints, reprints
from loomwright.pack.view import View
from loomwright.planning.change import Change, change
from loomwright.planning.change_wires import Deed
from loomwright.records.issued_done import Done
from planning.test_late_changes import TestBranchPointMoved, all_cut, issued, told, with_sensor

ADDED = {"W219", "W220", "W221"}


def view(done: WorkedJob) -> View:
    return View(done.worked, done.findings, done.digest, "2026-01-01")


def sheet(name: str, after: WorkedJob, done: Done | None = None) -> tuple[Sheet, Change, Reprints]:
    ticked = done or Done()
    was, now = view(issued(name)), view(after)
    found = change(was.worked, now.worked, ticked)
    prints = reprints(was, now)
    order = to_order(was, now, found, ticked)
    return change_sheet(was, now, found, "revision A", prints, order), found, prints


def rows(one: Sheet, title: str) -> list[dict[str, object]]:
    table = next((b for b in one.blocks if isinstance(b, Table) and b.title == title), None)
    heads = [c.head for c in table.columns] if table else []
    return [dict(zip(heads, row, strict=True)) for row in table.rows] if table else []


def bought(one: Sheet) -> dict[object, object]:
    return {row["part"]: row["more"] for row in rows(one, "Parts the change takes")}


def need(done: WorkedJob) -> dict[tuple[object, object], float]:
    found = {}
    for block in parts(view(done)).blocks:
        for row in block.rows:
            found[row[0], row[3]] = float(row[1])
    return found


LEFT_OUT = ("rope", "film tape")  # bought once; a wire more takes none


def test_new_wires_stand_with_all_it_takes_to_cut_them() -> None:
    one, found, _ = sheet("v8", with_sensor())
    cut = rows(one, "Wires to cut")
    assert {row["wire"] for row in cut} == ADDED
    for row in cut:
        wire = next(w for w in with_sensor().worked.routed.wires if w.label == row["wire"])
        length = with_sensor().worked.sized.length[wire.identity]
        assert row["cut"] == length.cut_mm
        assert row["trim"] == f"{length.trim_a_mm:.0f}/{length.trim_b_mm:.0f}"
        assert wire.a.name in row["from"]
        assert wire.b.name in row["to"]
    table = next(b for b in one.blocks if isinstance(b, Table) and b.title == "Wires to cut")
    assert all("20 AWG" in group.title for group in table.groups)
    assert sum(len(g.rows) for g in table.groups) == len(found.wires)
    assert rows(one, "Wires that are there") == []


def test_parts_are_the_difference_where_nothing_is_made() -> None:
    one, _, _ = sheet("v8", with_sensor())
    was, now = need(issued("v8")), need(with_sensor())
    more = {part: round(now[part, unit] - was.get((part, unit), 0.0), 2) for part, unit in now}
    want = {part: n for part, n in more.items() if n > 0.005 and not str(part).startswith(LEFT_OUT)}
    assert bought(one) == pytest.approx(want)
    assert sum(n for part, n in want.items() if "AWG" in str(part)) == pytest.approx(
        0.56 + 0.87 + 1.82, abs=0.05
    )


def test_a_wire_cut_for_nothing_is_bought_again() -> None:
    after = TestBranchPointMoved.moved(450)
    done = Done(cut=all_cut("hillclimb"))
    fresh, found, _ = sheet("hillclimb", after)
    late, again, _ = sheet("hillclimb", after, done)
    assert again.with_deed(Deed.REPLACE)
    assert {one.label for one in again.wires} == {one.label for one in found.wires}
    lost_mm = sum(
        one.was.cut_mm
        for one in again.with_deed(Deed.REPLACE)
        if one.was is not None and not one.was.cable and one.was.colour
    )
    less = sum(
        float(str(n)) for part, n in bought(fresh).items() if " mm², " in str(part) or ", " in str(part)
    )
    more = sum(
        float(str(n)) for part, n in bought(late).items() if " mm², " in str(part) or ", " in str(part)
    )
    assert lost_mm > 10000
    assert (more - less) * 1000 >= lost_mm * 0.99
    assert any("seal" in str(part) for part in bought(late))
    assert not any("seal" in str(part) for part in bought(fresh))


def test_papers_to_exchange_are_those_that_differ() -> None:
    _, _, prints = sheet("v8", with_sensor())
    was, now = (
        {s.key: s for s in papers(one.worked, one.findings, "", "")} for one in (issued("v8"), with_sensor())
    )
    state = {one.key: one.state for one in prints.sheets}
    assert state.keys() == now.keys()
    assert {k for k, s in state.items() if s == "stays"} == {k for k in now if now[k] == was.get(k)}
    assert "how-to-read" in {k for k, s in state.items() if s == "stays"}
    assert {"cut-list", "pinouts", "splices", "register"} <= {k for k, s in state.items() if s == "changed"}
    assert next(one.rows for one in prints.sheets if one.key == "cut-list") == 3
    assert prints.boards == ("engine",)
    shown = papers(with_sensor().worked, with_sensor().findings, with_sensor().digest, "")
    assert [s.key for s in papers_to_print(shown, prints)] == [k for k in now if state[k] != "stays"]


def test_another_loom_keeps_its_board_and_map() -> None:
    _, _, prints = sheet("hillclimb", TestBranchPointMoved.moved(280))
    assert prints.boards == ("engine",)
    assert set(prints.boards_stay) == {"cabin", "key"}
    state = {one.key: one.state for one in prints.sheets}
    assert state["map-engine"] == "changed"
    assert state["map-cabin"] == state["map-key"] == "stays"


def test_no_change_is_no_paper() -> None:
    one, found, prints = sheet("six", issued("six"))
    assert found.nothing
    assert {p.state for p in prints.sheets} == {"stays"}
    assert prints.boards == ()
    assert not [b for b in one.blocks if isinstance(b, Table)]


def test_what_stands_in_the_way_comes_first() -> None:
    done = Done(closed=frozenset({"engine/V1"}), cut=frozenset({"W999"}))
    one, found, _ = sheet("v8", with_sensor(), done)
    first = next(b for b in one.blocks if isinstance(b, Table))
    assert first.title == "Done already"
    assert [row[1] for row in first.rows][:-1] == [s.words for s in found.stuck]
    assert first.rows[-1][0] == "W999"
    assert any("battery" in words for words in one.cautions)


def test_the_printed_sheet_says_it_all() -> None:
    pypdfium2 = pytest.importorskip("pypdfium2")
    from loomwright.sheets.typeset import pack_pdf

    one, found, _ = sheet("v8", with_sensor(), Done(closed=frozenset({"engine/V1"})))
    data = pack_pdf(pack_head(with_sensor().worked, "0123456789", "2026-01-02"), (one,))
    text = " ".join(p.get_textpage().get_text_bounded() for p in pypdfium2.PdfDocument(data))
    flat = "".join(text.split())
    for change_ in found.wires:
        assert f"{change_.label}cutnew{change_.row.cut_mm:.0f}" in flat
    for stuck in found.stuck:
        assert stuck.words.split(":")[0].replace(" ", "") in flat
    assert pack_pdf(pack_head(with_sensor().worked, "0123456789", "2026-01-02"), (one,)) == data


def test_a_lost_contact_is_bought_when_it_is_moved() -> None:
    """A contact taken out of its cavity is crimped on: the wire gets a new one."""
    text_job = issued("hillclimb")
    wire = next(w for w in text_job.worked.routed.wires if "ECU.B:9" in (w.a.name, w.b.name))
    from loomwright.job import work_out_read
    from loomwright.jobfile.kept import kept_text
    from loomwright.jobfile.read import job_of_text

    text = text_job.read.document.text
    at = text.index("[device.ECU.connector.B]")
    tail = text[at:].replace('cavity."9" = "air temperature"', 'cavity."34" = "air temperature"', 1)
    after = work_out_read(job_of_text(text[:at] + tail, kept_text(text_job.kept)))
    assert [c.deed for c in told("hillclimb", after).wires] == [Deed.MOVE]
    fresh, _, _ = sheet("hillclimb", after)
    late, _, _ = sheet("hillclimb", after, Done(cut=frozenset({wire.label})))
    assert not any("contact" in str(p).lower() or "blade" in str(p) for p in bought(fresh))
    assert set(bought(late)) - set(bought(fresh))
    assert all(n == 1 for p, n in bought(late).items() if p not in bought(fresh))


def test_views_do_not_care_for_revision_or_digest() -> None:
    done = issued("six")
    one = view(done)
    job = replace(done.worked.job, revision="Z")
    other = View(replace(done.worked, job=job), done.findings, "ffffffffff", "2027-01-01")
    state = {p.key: p.state for p in reprints(one, other).sheets}
    assert {k for k, s in state.items() if s != "stays"} <= {"cover", "labels"}
