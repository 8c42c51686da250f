import json
import multiprocessing
import random
import sys

import pytest

from loomwright.edits import Edit, Verb
from loomwright.errors import ChangedMeanwhile, RefusedEdit
from loomwright.jobfile import edit_log, save
from loomwright.jobfile.edit_log import do, read_log, redo, steps_of, undo
from loomwright.jobfile.toml_text import read_text

from .sample_text import SAMPLE
from .test_edit_text import random_edit
from .test_save import PowerCut

DAY = "2024-05-17 10:00"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "job.toml").write_text(SAMPLE, encoding="utf-8")
    return tmp_path


def text(folder):
    return (folder / "job.toml").read_bytes().decode()


def digest(folder):
    return save.read(folder / "job.toml").digest


def set_volts(folder, volts):
    return do(folder, [Edit(Verb.SET, ("job", "volts"), volts, "measured")], DAY, digest(folder))


def test_an_edit_is_done_and_logged(folder):
    done = set_volts(folder, 14.1)
    assert text(folder) == SAMPLE.replace("13.8", "14.1") == done.document.text
    (entry,) = read_log(folder).entries
    assert entry == done.entry
    assert (entry.number, entry.when, entry.reason, entry.result) == (1, DAY, "measured", digest(folder))


def test_undo_brings_back_every_byte_and_redo_the_change(folder):
    states = [text(folder)]
    for edit in (
        Edit(Verb.REMOVE, ("device", "INJ1")),
        Edit(Verb.RENAME, ("device", "ECU"), "brain"),
        Edit(Verb.REMOVE, ("rope", "trunk", "reads", 0)),
        Edit(Verb.SET, ("device", "COIL"), {"is": "coil", "cavity": {"1": "12 V"}}),
    ):
        do(folder, [edit], DAY, digest(folder))
        states.append(text(folder))
    for state in reversed(states[:-1]):
        undo(folder, DAY)
        assert text(folder) == state
    with pytest.raises(RefusedEdit, match="nothing to undo"):
        undo(folder, DAY)
    for state in states[1:]:
        redo(folder, DAY)
        assert text(folder) == state
    with pytest.raises(RefusedEdit, match="nothing to redo"):
        redo(folder, DAY)
    undo(folder, DAY)
    assert text(folder) == states[-2]
    assert [one.number for one in read_log(folder).entries] == list(range(1, 14))


@pytest.mark.parametrize("seed", range(25))
def test_any_walk_of_steps_agrees_with_a_plain_stack_of_texts(folder, seed):
    pick = random.Random(seed)
    states, now = [text(folder)], 0
    for _ in range(12):
        kind = pick.choice(["do", "do", "undo", "redo"])
        if kind == "do":
            edit = random_edit(
                read_text(text(folder)).values, pick, pick.choice(["ü", 3, [1, {"a": 2}], {"k": "v"}])
            )
            before = text(folder)
            do(folder, [edit], DAY, digest(folder))
            if text(folder) != before:
                states = [*states[: now + 1], text(folder)]
                now += 1
        elif (kind == "undo" and now == 0) or (kind == "redo" and now == len(states) - 1):
            with pytest.raises(RefusedEdit, match="nothing to"):
                (undo if kind == "undo" else redo)(folder, DAY)
        else:
            (undo if kind == "undo" else redo)(folder, DAY)
            now += 1 if kind == "redo" else -1
        assert text(folder) == states[now]


def test_an_edit_made_for_another_text_is_not_done(folder):
    with pytest.raises(ChangedMeanwhile):
        do(folder, [Edit(Verb.SET, ("job", "volts"), 1)], DAY, "0" * 64)
    assert text(folder) == SAMPLE
    assert not (folder / "edits.log").exists()


def test_a_refused_edit_and_one_that_changes_nothing_leave_no_entry(folder):
    with pytest.raises(RefusedEdit):
        do(
            folder,
            [Edit(Verb.SET, ("job", "volts"), 1), Edit(Verb.REMOVE, ("nothing",))],
            DAY,
            digest(folder),
        )
    assert set_volts(folder, 13.8).entry is None
    assert text(folder) == SAMPLE
    assert read_log(folder).entries == ()


def test_a_new_step_ends_redo(folder):
    set_volts(folder, 14.1)
    undo(folder, DAY)
    set_volts(folder, 12.0)
    with pytest.raises(RefusedEdit, match="nothing to redo"):
        redo(folder, DAY)


def test_a_change_from_outside_ends_redo(folder):
    set_volts(folder, 14.1)
    undo(folder, DAY)
    (folder / "job.toml").write_text(SAMPLE + "# by hand\n", encoding="utf-8")
    assert steps_of(read_log(folder), digest(folder)).changed_outside
    with pytest.raises(RefusedEdit, match="nothing to redo"):
        redo(folder, DAY)


def test_undo_after_a_change_elsewhere_takes_back_only_its_own(folder):
    set_volts(folder, 14.1)
    (folder / "job.toml").write_text(text(folder).replace("air_c = 110", "air_c = 120"), encoding="utf-8")
    undo(folder, DAY)
    assert text(folder) == SAMPLE.replace("air_c = 110", "air_c = 120")


def test_undo_never_overwrites_what_was_changed_again_from_outside(folder):
    set_volts(folder, 14.1)
    by_hand = text(folder).replace("14.1", "12.5")
    (folder / "job.toml").write_text(by_hand, encoding="utf-8")
    with pytest.raises(RefusedEdit, match="changed again from outside"):
        undo(folder, DAY)
    assert text(folder) == by_hand


@pytest.mark.parametrize("step", ["before the log", "before the file", "in the file", "after all"])
def test_a_power_cut_between_any_two_steps_leaves_a_job_that_goes_on(folder, monkeypatch, step):
    set_volts(folder, 14.1)
    place = {
        "before the log": (edit_log, "_append"),
        "before the file": (edit_log, "replace"),
        "in the file": (save.os, "replace"),
        "after all": (save, "sync_folder"),
    }[step]

    def cut(*_args):
        raise PowerCut

    with monkeypatch.context() as broken:
        broken.setattr(*place, cut)
        with pytest.raises(PowerCut):
            set_volts(folder, 12.0)
    done = step == "after all"
    assert ("volts = 12.0" if done else "volts = 14.1") in text(folder)
    assert steps_of(read_log(folder), digest(folder)).undoable == ((1, 2) if done else (1,))
    set_volts(folder, 11.0)
    undo(folder, DAY)
    assert ("volts = 12.0" if done else "volts = 14.1") in text(folder)
    if done:
        undo(folder, DAY)
    undo(folder, DAY)
    assert text(folder) == SAMPLE


def test_a_log_cut_off_anywhere_is_read_up_to_there_and_goes_on(folder):
    set_volts(folder, 14.1)
    first = (folder / "edits.log").read_bytes()
    set_volts(folder, 12.0)
    whole = (folder / "edits.log").read_bytes()
    for length in range(len(first) + 1, len(whole) - 1, 37):
        (folder / "job.toml").write_text(SAMPLE.replace("13.8", "14.1"), encoding="utf-8")
        (folder / "edits.log").write_bytes(whole[:length])
        log = read_log(folder)
        assert len(log.entries) == 1
        assert "edits.log:2  The last entry is cut off" in log.faults[0]
        done = set_volts(folder, 11.0)
        assert done.faults == log.faults
        assert [one.number for one in read_log(folder).entries] == [1, 2]
        assert read_log(folder).faults == ()


def test_a_last_entry_without_line_ending_counts(folder):
    set_volts(folder, 14.1)
    log = folder / "edits.log"
    log.write_bytes(log.read_bytes().rstrip(b"\n"))
    set_volts(folder, 12.0)
    assert [one.number for one in read_log(folder).entries] == [1, 2]


def test_a_spoiled_line_is_passed_over_and_told(folder):
    set_volts(folder, 14.1)
    set_volts(folder, 12.0)
    log = folder / "edits.log"
    lines = log.read_text(encoding="utf-8").splitlines()
    for spoiled in ("[]", "{}", "null", "\x00", '{"number": "x"}', lines[0].replace('"do"', '"go"')):
        log.write_text("\n".join([spoiled, lines[1], ""]), encoding="utf-8")
        assert "edits.log:1  This entry can't be read" in read_log(folder).faults[0]
        assert steps_of(read_log(folder), digest(folder)).undoable == (2,)


def test_every_line_of_the_log_is_one_json_object(folder):
    do(folder, [Edit(Verb.SET, ("job", "title"), "line one\nline\u2028 two \r ü")], DAY, digest(folder))
    (line,) = (folder / "edits.log").read_bytes().decode().splitlines()[:1]
    assert json.loads(line)["edits"] == [
        {"verb": "set", "path": ["job", "title"], "value": "line one\nline\u2028 two \r ü"}
    ]


def write_many(folder, name):
    for number in range(6):
        while True:
            try:
                do(folder, [Edit(Verb.SET, ("device", f"{name}{number}", "is"), "coil")], DAY, digest(folder))
            except ChangedMeanwhile:
                continue
            break


@pytest.mark.skipif(sys.platform == "win32", reason="uses fork")
def test_two_writers_at_once_lose_nothing(folder):
    context = multiprocessing.get_context("fork")
    writers = [context.Process(target=write_many, args=(folder, name)) for name in "AB"]
    for one in writers:
        one.start()
    for one in writers:
        one.join(30)
    devices = read_text(text(folder)).values["device"]
    assert {f"{name}{number}" for name in "AB" for number in range(6)} <= devices.keys()
    assert [one.number for one in read_log(folder).entries] == list(range(1, 13))
    for _ in range(12):
        undo(folder, DAY)
    assert text(folder) == SAMPLE
