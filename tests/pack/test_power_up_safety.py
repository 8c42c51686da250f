"""Power-up: nothing turns unawares, every fuse goes back, each reading can be taken at its stage."""

from loomwright.building.cautions import CAUTIONS
from loomwright.building.steps_car import STAGES
from loomwright.model.words import DeviceState
from loomwright.pack.pages import Caution, Heading, Paragraph, Sheet, Table

from .worked_jobs import sheets, worked

TRIED = ("fuse by fuse", "controller", "outputs", "crank", "run")


def _stages(sheet: Sheet) -> dict[str, list]:
    """Blocks of each stage, cards opened, by the stage's name."""
    flat = [b for block in sheet.blocks for b in getattr(block, "blocks", (block,))]
    found: dict[str, list] = {}
    for block in flat:
        if isinstance(block, Heading):
            name = block.text.split(": ")[1].split(" (")[0]
            found[name] = []
        if found:
            found[name].append(block)
    return found


def test_every_stage_that_can_turn_the_engine_warns_and_prevents_it():
    stages = _stages(sheets("hillclimb")["power-up"])
    words = {c.key: c.words for c in CAUTIONS}
    for name in TRIED:
        said = [b.text for b in stages[name] if isinstance(b, Caution)]
        assert {words["cranking"], words["moving parts"]} <= set(said), name
    for name in ("fuse by fuse", "outputs"):
        told = dict(STAGES)[name]
        assert all(w in told for w in ("control lead off", "neutral", "hands clear"))


def test_the_start_relay_is_not_told_to_work_what_it_switches():
    tables = [b for b in sheets("hillclimb")["power-up"].tables if b.columns[0].head == "output"]
    start = [row for t in tables for row in t.rows if "start" in str(row[0]).lower()]
    assert start, "the demo has a start relay"
    assert all("nothing turns" in str(row[2]) for row in start)


def test_fuses_go_back_and_the_last_stage_before_heat_lists_every_one():
    stages = dict(STAGES)
    assert "back" in stages["outputs"]
    assert "starter fuse and starter's control lead back" in stages["crank"]
    assert "put back every fuse" in stages["run"]


def test_grounds_are_measured_where_the_devices_draw_their_current():
    stages = _stages(sheets("hillclimb")["power-up"])
    at = [n for n, said in stages.items() for b in said if "ground pin" in _heads(b)]
    assert at == ["outputs"]


def test_the_power_up_sheet_does_not_send_to_itself():
    said = [
        b.text
        for s in _stages(sheets("hillclimb")["power-up"]).values()
        for b in s
        if isinstance(b, Paragraph)
    ]
    assert said
    assert not any("power-up sheet" in w for w in said)


def test_order_walk_and_power_up_agree_on_what_is_joined_when():
    sheet, walk = sheets("hillclimb")["power-up"], sheets("hillclimb")["installation-walk"]
    joins = {row[0] for t in sheet.tables if t.columns[0].head == "plug or stud" for row in t.rows}
    done = worked("hillclimb").worked
    mates = [s for s in done.built.steps if s.words.startswith("Mate every plug")]
    mated = {item for s in mates for item in s.items}
    spare = {d.name for d in done.job.devices if d.state is DeviceState.PROVISION}
    assert joins
    assert spare
    assert not mated & (joins | spare)
    for end in joins:
        assert any(end in s.words.split("Leave ")[-1] for s in mates)
    ticked = {str(c) for t in walk.tables if t.columns[0].head == "apart" for row in t.rows for c in row if c}
    assert joins == ticked


def _heads(block: object) -> list[str]:
    return [c.head for c in getattr(block, "columns", ())]


def test_the_list_of_fuses_the_last_stage_speaks_of_stands_below_it():
    run = _stages(sheets("hillclimb")["power-up"])["run"]
    assert any("each fuse below is in" in b.text for b in run if isinstance(b, Paragraph))
    told = [row[0] for b in run if isinstance(b, Table) and b.title == "Every fuse back in" for row in b.rows]
    assert told == [f"{p.name}, {p.amps:g} A" for p in worked("hillclimb").worked.job.protections]
