"""The price of a loom is what its own pack lists: read back from the written tables."""

import io
import math
from dataclasses import replace

import openpyxl
import pytest

from loomwright.demos import demo_folder
from loomwright.job import WorkedJob, work_out, work_out_read
from loomwright.jobfile.read import job_of_text
from loomwright.jobfile.read_stock import Stock, read_stock
from loomwright.library.prices import default_price, default_prices
from loomwright.model.plan import ChosenPlan
from loomwright.pack.papers import pack_head, papers
from loomwright.planning.price import price, rate
from loomwright.planning.price_goods import CO_RUN_TIE_MM, co_run_ties
from loomwright.planning.price_stock import unit_price
from loomwright.sheets.xlsx import pack_xlsx
from loomwright.sources import Mark
from whole.made_jobs import made_job

KEYS = ("plan", "parts", "cut-list", "sleeves")


def written(done: WorkedJob) -> dict[str, list[tuple]]:
    """The rows of every written table by the name of its worksheet, heads first."""
    plan = ChosenPlan("as it was", "to price it", (), ())
    worked = replace(done.worked, job=replace(done.worked.job, plan=plan))
    shown = [s for s in papers(worked, done.findings, "", "2026-01-01") if s.key in KEYS]
    book = openpyxl.load_workbook(io.BytesIO(pack_xlsx(pack_head(worked, "", "2026-01-01"), shown)))
    return {name: list(book[name].iter_rows(values_only=True))[3:] for name in book.sheetnames}


def column(rows: list[tuple], head: str) -> list:
    at = next(n for n, one in enumerate(rows[0]) if one is not None and str(one).startswith(head))
    return [row[at] for row in rows[1:] if any(cell is not None for cell in row)]


def tables(book: dict[str, list[tuple]], *heads: str) -> list[list[tuple]]:
    """The tables that have a column for each head."""
    found = (rows for rows in book.values() if rows)
    return [
        rows for rows in found if all(any(str(one).startswith(head) for one in rows[0]) for head in heads)
    ]


def wire_mm(book: dict[str, list[tuple]]) -> float:
    """Wire and cable by the cut list: a bought cable is one piece, as long as its longest core."""
    mm = 0.0
    for rows in tables(book, "wire", "cut", "circuit", "initials"):
        reels: dict[str, list[float]] = {}
        for title, cut in zip(column(rows, "group"), column(rows, "cut"), strict=True):
            reels.setdefault(title, []).append(cut)
        mm += sum(max(cut) if "ONE PIECE" in title else sum(cut) for title, cut in reels.items())
    return mm


def check_as_listed(done: WorkedJob) -> None:
    found, book = price(done.worked), written(done)
    mm = wire_mm(book)
    assert found.mm_of("wire", "cable") == pytest.approx(mm, abs=1e-6)
    pieces = [cut for rows in tables(book, "section", "covering") for cut in column(rows, "cut") if cut]
    assert found.sheath_pieces == len(pieces)
    assert found.sheath_mm == pytest.approx(sum(pieces), abs=1e-6)
    parts = [
        (need, why)
        for rows in tables(book, "part", "take")
        for need, why in zip(column(rows, "need"), column(rows, "for"), strict=True)
    ]
    ties = sum(need for need, why in parts if why and ("on the route" in why or "where one parts" in why))
    assert found.pieces_of("tie") == ties
    (plan,) = tables(book, "tree", "branch points")
    (steps,) = tables(book, "step", "number")
    assert found.minutes == pytest.approx(math.fsum(column(steps, "all")))
    assert column(plan, "wire")[-1] == pytest.approx(mm / 1000)
    assert column(plan, "sheath pieces")[-1] == found.sheath_pieces
    assert column(plan, "ties")[-1] == ties
    assert column(plan, "money")[-1] == pytest.approx(found.money)
    (costs,) = tables(book, "what", "need", "sum")
    assert math.fsum(column(costs, "sum")) == pytest.approx(found.money)


@pytest.mark.parametrize("name", ["six", "hillclimb", "v8"])
def test_the_price_of_a_demo_is_what_its_pack_lists(name):
    check_as_listed(work_out(demo_folder(name)))


@pytest.mark.parametrize("seed", range(40))
def test_the_price_of_any_job_is_what_its_pack_lists(seed):
    check_as_listed(work_out_read(job_of_text(made_job(seed).text)))


def test_wire_by_an_independent_sum_over_the_ways():
    done = work_out(demo_folder("six"))
    step = done.worked.job.shop.cut_step_mm.value
    total = 0.0
    for wire in done.worked.routed.wires:
        tree = done.worked.routed.tree[wire.loom]
        on_way = sum(abs(s.mm) for s in wire.way)
        assert {s.section for s in wire.way} <= set(tree.by_name)
        rest = sum(t.mm for t in done.worked.sized.length[wire.identity].terms) - on_way
        total += math.ceil((on_way + rest) / step - 1e-9) * step
    assert price(done.worked).mm_of("wire") == pytest.approx(total)


def test_the_shelf_s_own_price_counts_the_one_that_names_most():
    item = '[[item]]\nkind = "wire"\nname = "thin-wall XLPE mm2"\n'
    text = item + "price = 1\n" + item + 'size = "0.5"\ncolour = "RD"\nprice = 3\n' + "[rates]\nhour = 10\n"
    stock, faults = read_stock(text)
    assert faults == ()
    done = work_out(demo_folder("six"))
    found = price(done.worked, stock)
    each = {(x.need.size, x.need.colour): x.each for x in found.of("wire")}
    assert each["0.5", "RD"].value == 3
    assert each["0.5", "BK"].value == 1
    assert {one.source.mark for one in each.values()} == {Mark.BUILDER}
    assert found.hour.value == 10
    assert found.work_money == pytest.approx(found.minutes / 6)


def test_own_minutes_of_a_branch_point_and_its_rate_show_in_its_line():
    done = work_out(demo_folder("six"))
    stock, _ = read_stock("[minutes]\nper_branch_point = 90\n[rates]\nbranch_point = 7\n")
    was, now = price(done.worked), price(done.worked, stock)
    assert now.fixed[0].money.value == 7
    assert now.fixed[0].minutes.least - was.fixed[0].minutes.least == pytest.approx(90 - 15)
    assert now.fixed_money == pytest.approx(7 * now.branch_points)
    assert now.money - was.money == pytest.approx(now.branch_points * (7 + 70 / 60 * now.hour.value))


def test_every_kind_has_a_default_and_nothing_is_unpriced():
    for name in ("six", "hillclimb", "v8"):
        found = price(work_out(demo_folder(name)).worked)
        assert found.unpriced == ()
        assert {one.each.source.mark for one in found.lines} == {Mark.MEMORY}
    for name in ("hour", "branch_point", "breakout"):
        assert rate(Stock(), name).value >= 0
    assert all(one.base >= 0 and one.each >= 0 for one in default_prices())
    assert default_price("wire", "light ETFE") != default_price("wire")
    assert default_price("nothing") is None


def test_the_bore_as_bought_decides_a_sleeve_s_default_price():
    lines = price(work_out(demo_folder("hillclimb")).worked).sheaths
    by_type: dict[str, list] = {}
    for one in lines:
        by_type.setdefault(one.need.name, []).append(one)
    assert any(len({unit_price(one.need, Stock()).value for one in some}) > 1 for some in by_type.values())


def test_ties_of_co_runs():
    text = (
        '[loom.e]\ndatum = "D"\n[rope.t]\nfrom = "D"\nreads = [["P", 100], ["Q", 900]]\n'
        'parts = [["A", 350, 60, "P"], ["B", 600, 60, "P"]]\n[section."Q-C"]\nmm = 90\n'
        '[section."Q-E"]\nmm = 80\n'
        '[section."D-F"]\nmm = 80\n'
    )
    devices = "".join(f'[device.{x}]\nfamily = "sensor"\ncavity."1" = "c"\n' for x in "ABCEF")
    (tree,) = work_out_read(job_of_text("format = 1\n" + text + devices)).trees
    assert CO_RUN_TIE_MM.value == 100
    assert co_run_ties(tree) == 3 + 3  # 250 to the first parting, 250 more to the second; one group


def test_mass_is_copper_and_more():
    found = price(work_out(demo_folder("six")).worked).mass
    assert 0 < found.copper_g < found.wire_g < found.total_g
    wires = price(work_out(demo_folder("six")).worked).of("wire")
    copper = sum(x.need.measure * 8.89 * x.need.need for x in wires)  # annealed copper, g/cm3, from memory
    assert found.copper_g == pytest.approx(copper)
