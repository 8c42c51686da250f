"""Of a removed device nothing is asked but its circuits: the job is otherwise as without it."""

from checks.making import changed, device, findings, worked

FAN = device("FAN", "radiator fan", "", {"1": '"switched feed"', "2": '"engine ground"'}, state='"removed"')
RELAY = device(
    "K9",
    "relay, 4 pins",
    "",
    {"30": '"battery feed"', "87": '"fan feed"', "86": '"switched feed"', "85": '"main relay"'},
    state='"removed"',
)
HALL = device(
    "CRK",
    "crank sensor, Hall",
    "",
    {"1": '"sensor 5 V"', "2": '"engine ground"', "3": '"crank signal"'},
    state='"removed"',
)
KEPT_FAN = FAN.replace('state = "removed"', 'state = "kept"')


def rope_off(text):
    """Without the sections to the devices: nobody measures a rope to what goes out."""
    for name in ("FAN", "K9", "CRK"):
        text = text.replace(f'[section."B2-{name}"]\nmm = 200\n', "")
    return text


def told(text):
    return {one.key: one.what_is for one in findings(text) if one.code != "DEVICE-02"}


def test_removed_devices_ask_for_nothing():
    assert told(rope_off(changed(add=FAN + RELAY + HALL))) == told(changed())


def test_removed_devices_draw_nothing():
    with_them, _ = worked(rope_off(changed(add=FAN + RELAY + HALL)))
    without, _ = worked(changed())
    assert with_them.sized.conductors == without.sized.conductors
    assert with_them.routed.wires == without.routed.wires


def test_a_kept_one_does():
    """The two tests above can fail: the same fan, kept, draws current and is wired."""
    assert told(changed(add=KEPT_FAN)) != told(changed())


def test_provision_only_is_wired_and_asked_for_no_current():
    fan = FAN.replace('state = "removed"', 'state = "provision only"').replace("radiator fan", "CAN node")
    one, _ = worked(changed(add=fan))
    assert any("FAN:1" in (w.a.name, w.b.name) for w in one.routed.wires)
    asked = {f.code for f in findings(changed(add=fan)) if f.place.words.split(":")[0] == "FAN"}
    assert not asked & {"CIRC-01", "CIRC-02", "CIRC-09", "DEVICE-04", "PIN-04"}
