"""What the drawn editors are made from equals what the pack draws; steps of the tree over HTTP."""

import math
from functools import cache

import pytest
from fastapi.testclient import TestClient

from loomwright.demos import demo_folder
from loomwright.job import work_out
from loomwright.pack.draw_board import board_drawing
from loomwright.pack.draw_cut import cut_drawing
from loomwright.pack.draw_faces import face_drawings, wire_words
from loomwright.pack.marks import Circle, Polygon, Text, flat
from loomwright.pack.view import View
from loomwright.sheets.paper import A4
from loomwright.sheets.tiles import tile_plan
from loomwright.web.views.board import board_view, tiles_view
from loomwright.web.views.cut import cut_view
from loomwright.web.views.faces import ends_view, face_view
from loomwright.web.views.plan import plan_view

JOB = "/api/job/six"
DEMOS = ("six", "hillclimb", "v8")


@cache
def demo(name):
    return work_out(demo_folder(name))


def drawn_points(view):
    """Every number of a drawing's places, by mark."""
    return [one.get("points") or [[one["x"], one["y"]]] for one in view["marks"]]


def pack_points(drawing):
    """The same read from the pack's marks by hand, y turned downward."""
    found = []
    for mark in flat(drawing.marks):
        if isinstance(mark, Circle):
            points = [mark.centre]
        elif isinstance(mark, Text):
            points = [mark.at]
        elif isinstance(mark, Polygon) or hasattr(mark, "points"):
            points = list(mark.points)
        else:
            points = [mark.start, mark.end]
        found.append([[x, drawing.height_mm - y] for x, y in points])
    return found


def same(a, b):
    flat_a = [v for line in a for point in line for v in point]
    flat_b = [v for line in b for point in line for v in point]
    return flat_a == pytest.approx(flat_b, abs=1e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_faces_are_the_packs_own(name):
    done = demo(name)
    seen = 0
    for row in ends_view(done):
        view = face_view(done, row["end"])
        plug = done.worked.job.connector[row["end"]]
        drawings = (
            face_drawings(
                View(done.worked, done.findings).face(plug), plug, wire_words(done.worked.routed, plug)
            )
            or ()
        )
        assert len(view["sides"]) == len(drawings)
        for side, drawing in zip(view["sides"], drawings, strict=True):
            assert same(drawn_points(side), pack_points(drawing))
            assert side["caption"] in ("wire side", "mating side")
            seen += 1
        filled = {one["cavity"]: one for one in view["cavities"] if one["circuit"]}
        assert {pin.cavity for pin in plug.pins} == set(filled)
        for pin in plug.pins:
            wires = {w.label for w in done.worked.routed.at_pin.get(pin.id, ())}
            assert {w["label"] for w in filled[pin.cavity]["wires"]} == wires
    assert seen > 4


def centre(one):
    """The middle of a cavity's outline across."""
    return one["x"] if one["is"] == "circle" else sum(x for x, _ in one["points"]) / len(one["points"])


def test_the_mating_side_is_the_wire_side_mirrored():
    view = face_view(demo("v8"), "ECU.A")
    wire, mating = ({c["id"]: c["outline"] for c in side["cavities"]} for side in view["sides"])
    middle = view["sides"][0]["width_mm"] / 2
    assert set(wire) == set(mating)
    for cavity in wire:
        assert centre(wire[cavity]) - middle == pytest.approx(middle - centre(mating[cavity]), abs=1e-3)


@pytest.mark.parametrize("name", DEMOS)
def test_cuts_are_the_packs_own_and_every_wire_has_its_circle(name):
    done = demo(name)
    for tree in done.worked.routed.trees:
        for section in tree.sections:
            key = f"{tree.loom}/{section.name}"
            view = cut_view(done, key)
            drawing = cut_drawing(done.worked, tree.loom, section.name)
            inside = {w.label for w in done.worked.routed.in_section.get(key, ())}
            assert {w["label"] for w in view["wires"]} == inside
            if drawing is None:
                assert view["drawing"] is None
                continue
            assert same(drawn_points(view["drawing"]), pack_points(drawing))
            assert sorted(x for disc in view["discs"] for x in disc["wires"]) == sorted(inside)
            apart = [(d["outline"]["x"], d["outline"]["y"], d["outline"]["r"]) for d in view["discs"]]
            for n, (x, y, r) in enumerate(apart):
                for u, v, s in apart[n + 1 :]:
                    assert math.hypot(x - u, y - v) >= r + s - 1e-2


def test_a_single_wires_circle_has_its_own_diameter():
    done = demo("v8")
    view = cut_view(done, "engine/bulkhead-B1")
    size = {w["label"]: w["od_mm"] for w in view["wires"]}
    singles = [d for d in view["discs"] if not d["cable"]]
    scales = {round(2 * d["outline"]["r"] / size[d["wires"][0]], 3) for d in singles}
    assert len(singles) > 20
    assert len(scales) == 1


@pytest.mark.parametrize("name", DEMOS)
def test_plan_and_board_lie_as_the_board_does_at_true_length(name):
    done = demo(name)
    for view in (plan_view(done), board_view(done)):
        for loom in view:
            board = done.worked.built.board[loom["loom"]]
            lines = {one.section: one.line for one in board.sections}
            for one in loom["sections"]:
                there = [[x, board.height_mm - y] for x, y in lines[one["key"]]]
                assert same([one["line"]], [there])
                size = sum(math.dist(a, b) for a, b in zip(one["line"], one["line"][1:], strict=False))
                assert size == pytest.approx(one["mm"], abs=0.01)


def test_the_dial_says_what_lies_at_its_quarters():
    """At the datum one looks to the front: up at 12, the car's right at 3; into the cabin its left."""
    sections = {one["name"]: one for one in plan_view(demo("six"))[0]["sections"]}
    front = sections["bulkhead-B1"]
    assert front["look"] == "front"
    assert front["quarters"] == {"12": "up", "3": "right", "6": "down", "9": "left"}
    cabin = sections["bulkhead-ECU.A"]
    assert cabin["look"] == "back"
    assert cabin["quarters"]["3"] == "left"


@pytest.mark.parametrize("name", DEMOS)
def test_the_dials_quarters_are_where_exits_are_shown(name):
    for loom in plan_view(demo(name)):
        for one in loom["sections"]:
            if one["clock"] in (3, 9) and " " not in one["exit"] + one["look"]:
                assert one["quarters"][str(one["clock"])] == one["exit"]


def test_tiles_are_those_that_print():
    done = demo("six")
    board = done.worked.built.boards[0]
    plan = tile_plan(board_drawing(done.worked, board), A4)
    view = tiles_view(done, "engine", "A4")
    assert view["sheets"] == plan.sheets
    assert [one["name"] for one in view["tiles"]] == [one.name for one in plan.tiles]
    for shown, tile in zip(view["tiles"], plan.tiles, strict=True):
        assert shown["wide"] == pytest.approx(tile.window.width_mm, abs=1e-3)
        assert shown["y"] == pytest.approx(board.height_mm - tile.window.top, abs=1e-3)
    assert tiles_view(done, "no such loom") is None


def whole(client: TestClient) -> dict:
    return client.get(JOB, params={"want": ["plan", "board", "file"]}).json()


def sections(client: TestClient) -> dict[str, float]:
    return {one["name"]: one["mm"] for one in whole(client)["slices"]["plan"][0]["sections"]}


def step(client: TestClient, **said) -> dict:
    found = client.post(f"{JOB}/tree-step", json=said)
    assert found.status_code == 200, found.text
    return found.json()


def carry_out(client: TestClient, found: dict) -> None:
    base = whole(client)["digest"]
    done = client.post(f"{JOB}/edits", json={"base": base, "edits": found["edits"], "words": found["words"]})
    assert done.status_code == 200, done.text


def test_a_branch_point_moved_back_keeps_every_way_and_leaves_the_rope_alone(client: TestClient):
    before, rope = sections(client), whole(client)["slices"]["file"]["values"]["rope"]
    found = step(client, does="shift", point="B2", section="engine/B1-B2", mm=50)
    assert sections(client) == before  # asking writes nothing
    carry_out(client, found)
    after = sections(client)
    assert after["B1-B2"] == before["B1-B2"] - 50
    for outer in ("G1", "INJ1", "MAP"):
        assert after[f"B2-{outer}"] == before[f"B2-{outer}"] + 50
    values = whole(client)["slices"]["file"]["values"]
    assert values["rope"] == rope
    assert all(one["reason"] for one in values["build"].values())


def test_split_and_merge_take_each_other_back(client: TestClient):
    before = sections(client)
    carry_out(
        client,
        step(client, does="split", point="B2", section="engine/B1-B2", mm=100, name="N1", take=["B2-G1"]),
    )
    between = sections(client)
    assert between["N1-G1"] == before["B2-G1"] + 100
    assert between["B1-N1"] + between["N1-B2"] == before["B1-B2"]
    carry_out(client, step(client, does="merge", point="B2", section="engine/N1-B2"))
    after = sections(client)
    assert "B2" not in {name.split("-")[1] for name in after}
    assert after["B1-N1"] + after["N1-INJ1"] == before["B1-B2"] + before["B2-INJ1"]


def test_set_a_length_and_take_the_ropes_again(client: TestClient):
    before = sections(client)
    carry_out(
        client, step(client, does="length", section="engine/B1-B2", mm=400, reason="clear of the bracket")
    )
    assert sections(client)["B1-B2"] == 400
    shown = whole(client)["slices"]["plan"][0]["sections"]
    one = next(x for x in shown if x["name"] == "B1-B2")
    assert (one["built"], one["rope_mm"]) == (True, 370.0)
    carry_out(client, step(client, does="measured", section="engine/B1-B2"))
    assert sections(client) == before


@pytest.mark.parametrize(
    "said",
    [
        {"does": "shift", "point": "B2", "section": "engine/B1-B2", "mm": 5000},
        {"does": "shift", "point": "INJ1", "section": "engine/B2-INJ1", "mm": 10},
        {"does": "shift", "point": "B2", "section": "engine/gone", "mm": 10},
        {"does": "insert", "section": "engine/B1-B2", "mm": 100, "name": "B3"},
        {"does": "insert", "section": "engine/B1-B2", "mm": 100, "name": "a-b"},
        {"does": "insert", "section": "engine/B1-B2", "mm": 0, "name": "N1"},
        {"does": "split", "point": "B2", "section": "engine/B1-B2", "mm": 10, "name": "N1", "take": []},
        {"does": "merge", "point": "B2", "section": "engine/B2-INJ1"},
        {"does": "fold", "section": "engine/B1-B2"},
        {"does": "length", "section": "engine/B1-B2", "mm": -1},
    ],
)
def test_what_can_not_be_done_is_refused_with_a_sentence(client: TestClient, said):
    found = client.post(f"{JOB}/tree-step", json=said)
    assert found.status_code == 422
    assert len(found.json()["say"]) > 20


def test_what_is_not_there_is_said(client: TestClient):
    for path in ("face/NONE", "cut/engine/NONE-B1", "cut/none/B1-B2", "tiles/none"):
        found = client.get(f"{JOB}/{path}")
        assert found.status_code == 422
        assert "There is no" in found.json()["say"]


def test_a_board_angle_over_http(client: TestClient):
    base = whole(client)["digest"]
    edits = [{"verb": "set", "path": ["board", "B1-B3"], "value": {"angle_deg": 100, "reason": "bench leg"}}]
    client.post(f"{JOB}/edits", json={"base": base, "edits": edits, "words": "turned"})
    board = whole(client)["slices"]["board"][0]
    one = next(x for x in board["sections"] if x["name"] == "B1-B3")
    (x1, y1), (x2, y2) = one["line"][-2:]
    assert math.degrees(math.atan2(y1 - y2, x2 - x1)) % 360 == pytest.approx(100)
    assert (one["fixed"], one["reason"]) == (True, "bench leg")
    assert one["path"] == ["board", "B1-B3"]


def test_a_fixed_angle_goes_on_with_the_longest_piece_of_its_section(client: TestClient):
    base = whole(client)["digest"]
    edits = [{"verb": "set", "path": ["board", "B1-B2"], "value": {"angle_deg": 20, "reason": "leg"}}]
    client.post(f"{JOB}/edits", json={"base": base, "edits": edits, "words": "turned"})
    carry_out(client, step(client, does="insert", section="engine/B1-B2", mm=100, name="N1"))
    assert set(whole(client)["slices"]["file"]["values"]["board"]) == {"N1-B2"}
