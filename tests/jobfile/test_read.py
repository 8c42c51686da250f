"""Reading a job: the sample, every fault as a finding, and the rules for kinds and sides."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from loomwright.errors import Unreadable
from loomwright.findings import Severity
from loomwright.jobfile.read import job_of_text, read_job
from loomwright.model.words import CircuitKind, Side
from loomwright.sources import Mark

SMALL = Path(__file__).parents[1] / "jobs" / "small"
TEXT = (SMALL / "job.toml").read_text(encoding="utf-8")
HEAD = '[job]\ntitle = "t"\n'


def codes(text: str) -> list[str]:
    return [one.code for one in job_of_text(text).findings]


def only(text: str):
    (found,) = job_of_text(text).findings
    return found


def test_the_sample_reads_without_a_finding():
    read = read_job(SMALL)
    assert read.findings == ()
    assert read == read_job(SMALL / "job.toml")
    job = read.job
    assert [d.name for d in job.devices] == ["INJ1", "INJ2", "CLT", "ECU", "FB", "GND1"]
    assert [p.id for p in job.pins_of["inj 2"]] == ["INJ2:2", "ECU.A:4"]
    assert job.connector["ECU.A"].pins[0].path == ("device", "ECU", "connector", "A", "cavity", "1")


def test_currents_keep_where_they_come_from():
    pins = {pin.id: pin for pin in read_job(SMALL).job.pins}
    assert (pins["INJ2:2"].amps, pins["INJ2:2"].source.mark) == (1.2, Mark.BUILDER)
    assert pins["INJ2:2"].source.text == "measured 11.8 ohm"
    assert pins["INJ1:2"].source.mark is not Mark.BUILDER


def test_a_missing_file_and_another_encoding_are_told(tmp_path):
    with pytest.raises(Unreadable, match=r"job\.toml"):
        read_job(tmp_path)
    (tmp_path / "job.toml").write_bytes(b'[job]\ntitle = "\xe9"\n')
    with pytest.raises(Unreadable, match=r"job\.toml:2"):
        read_job(tmp_path)


FAULTS = [
    ("FILE-01", HEAD + '[area.bay]\nair_c = 7,5\nside = "bay"\n', 4),
    ("FILE-02", HEAD + 'title = "again"\n', 3),
    ("FILE-03", HEAD + "voltz = 13.8\n", 3),
    ("FILE-04", HEAD + 'volts = "lots"\n', 3),
    ("FILE-04", HEAD + "volts = -1\n", 3),
    ("FILE-04", HEAD + "[area.bay]\nair_c = true\n", 4),
    ("FILE-05", HEAD + "[loom.engine]\nhole_mm = 45\n", 3),
    ("FILE-06", HEAD + '[device.I1]\nis = "injector, high impedence"\n', 4),
    ("FILE-06", HEAD + '[shop]\nwire_family = "thin wall XLPE mm2"\n', 4),
    ("FILE-07", HEAD + '[device.I1]\narea = "blok"\n[area.block]\nair_c = 90\n', 4),
    (
        "FILE-07",
        HEAD + '[device.I1]\nis = "knock sensor"\ncavity."9" = "knock"\n[circuit.knock]\nkind = "signal"\n',
        5,
    ),
    ("FILE-08", HEAD + "[device.INJ-1]\n", 3),
    ("FILE-09", HEAD + '[device.X]\ncavity."1" = "a"\n', 4),
    ("FILE-10", HEAD + '[loom.e]\ndatum = "d"\n[rope.t]\nfrom = "d"\nfile = "gone.csv"\n', 7),
]


@pytest.mark.parametrize(("code", "text", "line"), FAULTS)
def test_every_fault_is_a_finding_with_its_line(code, text, line):
    read = job_of_text(text)
    (found,) = [one for one in read.findings if one.code == code]
    if found.place.path:
        assert read.line_of(found) == line
    else:
        assert found.place.words == f"job.toml line {line}"
    assert len(read.findings) <= 2


def test_an_unknown_key_names_the_nearest_and_mends_itself():
    found = only(HEAD + "voltz = 13.8\n")
    assert "volts" in found.remedy
    assert [(m.path, m.value) for m in found.mends] == [(("job", "voltz"), "volts")]


def test_a_number_for_a_text_says_quotes():
    found = only(HEAD + '[circuit.a]\nkind = "feed"\nsize = 1.0\n')
    assert found.what_is == "circuit.a.size is 1.0."
    assert found.mends[0].value == "1.0"


def test_the_sound_rest_is_kept():
    broken = TEXT.replace("air_c = 110", 'air_c = "hot"', 1).replace('is = "coolant', 'iss = "coolant', 1)
    read = job_of_text(broken)
    assert {one.code for one in read.findings} == {"FILE-03", "FILE-04", "FILE-07", "FILE-09"}
    assert [d.name for d in read.job.devices] == ["INJ1", "INJ2", "CLT", "ECU", "FB", "GND1"]
    assert read.job.device["INJ1"].area == ""


def test_a_fuse_between_unknown_circuits_is_left_out():
    read = job_of_text(TEXT.replace('line = "battery feed"', 'line = "batery feed"', 1))
    assert [one.name for one in read.job.protections] == ["F2"]
    assert '"battery feed"' in read.findings[0].remedy


def test_an_older_format_reads_and_a_newer_one_warns():
    assert codes("format = 1\n" + HEAD) == []
    assert codes("format = 2\n" + HEAD) == ["FILE-04"]


def kind_and_sides(cavities: str, more: str = "") -> tuple[CircuitKind, dict[str, Side]]:
    job = job_of_text(HEAD + cavities + more).job
    return job.circuit["x"].kind, {pin.device: pin.side for pin in job.pins}


ECU = '[device.ECU]\nis = "controller 26"\ncavity."1" = "x"\n'
CASES = [
    ('[device.I]\nis = "injector, high impedance"\ncavity."2" = "x"\n', CircuitKind.DRIVE, Side.GIVES),
    ('[device.I]\nis = "injector, high impedance"\ncavity."1" = "x"\n', CircuitKind.FEED, Side.TAKES),
    ('[device.S]\nis = "MAP sensor"\ncavity."1" = "x"\n', CircuitKind.SENSOR_SUPPLY, Side.GIVES),
    ('[device.S]\nis = "MAP sensor"\ncavity."2" = "x"\n', CircuitKind.SENSOR_GROUND, Side.GIVES),
    ('[device.S]\nis = "MAP sensor"\ncavity."3" = "x"\n', CircuitKind.SIGNAL, Side.TAKES),
    ('[device.G]\nis = "block ground stud"\ncavity."stud" = "x"\n', CircuitKind.POWER_GROUND, Side.TAKES),
    ('[device.D]\nis = "dash display"\ncavity."3" = "x"\n', CircuitKind.BUS, Side.EITHER),
    (
        '[device.D]\ncavity."1" = { circuit = "x", kind = "signal", side = "takes" }\n',
        CircuitKind.SIGNAL,
        Side.GIVES,
    ),
]


@pytest.mark.parametrize(("others", "kind", "side"), CASES)
@pytest.mark.parametrize("first", [True, False])
def test_a_controller_does_the_opposite_of_the_others(others, kind, side, first):
    found, sides = kind_and_sides(ECU + others if first else others + ECU)
    assert (found, sides["ECU"]) == (kind, side)


def test_a_fuse_tells_the_sides_of_its_box():
    box = '[device.PM]\ncavity."1" = "in"\ncavity."2" = "out"\n'
    text = box + '[fuse.F]\namps = 5\nline = "in"\nload = "out"\ndevice = "PM"\n'
    job = job_of_text(HEAD + text).job
    assert {pin.circuit: pin.side for pin in job.pins} == {"in": Side.TAKES, "out": Side.GIVES}
    assert {one.kind for one in job.circuits} == {CircuitKind.FEED}


def test_where_pins_disagree_the_kind_that_asks_for_most_care_wins():
    stud = '[device.G]\nis = "block ground stud"\ncavity."stud" = "x"\n'
    text = stud + '[device.S]\nis = "MAP sensor"\ncavity."2" = "x"\n'
    assert kind_and_sides(text)[0] is CircuitKind.SENSOR_GROUND
    assert kind_and_sides(text, '[circuit.x]\nkind = "power ground"\n')[0] is CircuitKind.POWER_GROUND


def test_a_tap_is_a_device_with_one_cavity():
    text = '[tap.T1]\ncircuit = "ign"\nkind = "feed"\nside = "gives"\ncolour = "BN/YE"\nkey_on_v = 12.4\n'
    device = job_of_text(HEAD + text).job.device["T1"]
    assert [pin.id for pin in device.pins] == ["T1:1"]
    assert (device.tap.colour, device.tap.key_on_v, device.tap.key_off_v) == ("BN/YE", 12.4, None)


def test_rope_files_beside_the_job_are_read(tmp_path):
    text = HEAD + '[loom.e]\ndatum = "d"\n[rope.t]\nfrom = "d"\nfile = "t.csv"\n[device.X]\n'
    (tmp_path / "job.toml").write_text(text)
    (tmp_path / "t.csv").write_text("Point;Running mm;Give or take\nB1;640,5;\nX;700;5\nB2;soon;\n")
    read = read_job(tmp_path)
    (run,) = read.job.runs
    assert [(one.point, one.mm, one.measured_to, one.give_mm) for one in run.readings] == [
        ("B1", 640.5, "centre", None),
        ("X", 700.0, "wire exit", 5.0),
    ]
    assert [(one.code, one.place.words) for one in read.findings] == [("FILE-10", "t.csv row 4")]


def test_a_rope_file_outside_the_folder_is_not_opened(tmp_path):
    (tmp_path / "t.csv").write_text("point,mm\nB1,5\n")
    (tmp_path / "job").mkdir()
    text = HEAD + '[loom.e]\ndatum = "d"\n[rope.t]\nfrom = "d"\nfile = "../t.csv"\n'
    (tmp_path / "job" / "job.toml").write_text(text)
    assert [one.code for one in read_job(tmp_path / "job").findings] == ["FILE-10"]


def test_a_face_described_in_the_job_is_known_by_its_name():
    face = '[face.mine]\ntext = """\noutline rect 12 8\ncell 1.5 4\npitch 5 5\nrow 1.5: 1-2\n"""\n'
    read = job_of_text(HEAD + face + '[device.X]\nface = "mine"\n')
    assert read.findings == ()
    assert [one.name for one in read.faces] == ["mine"]
    assert [name for name, _ in read.job.faces] == ["mine"]


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_a_text_cut_or_changed_anywhere_never_raises(data):
    start = data.draw(st.integers(0, len(TEXT)))
    end = data.draw(st.integers(start, min(len(TEXT), start + 40)))
    text = TEXT[:start] + data.draw(st.text("[]{}=\"'.#,- 1abé\n", max_size=6)) + TEXT[end:]
    read = job_of_text(text)
    for one in read.findings:
        assert one.severity in Severity
        assert one.what_is.endswith((".", "?"))
        assert read.line_of(one) >= 1


VALUES = st.recursive(
    st.booleans() | st.integers(-5, 5) | st.floats() | st.text("ab1 -", max_size=4),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["circuit", "amps", "x"]), inner)
    ),
    max_leaves=5,
)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from([line for line in TEXT.splitlines() if " = " in line and line[0] != "#"]), VALUES)
def test_any_value_for_any_key_never_raises(line, value):
    from loomwright.jobfile.toml_write import written

    key = line.split(" = ")[0]
    text = TEXT.replace(line, f"{key} = {written(value)}", 1)
    read = job_of_text(text)
    assert len(read.job.devices) == 6
