"""The device register: every device and plug of the job once."""

from typing import Final

from loomwright.building.ends import function_of
from loomwright.model.device import Connector, Device
from loomwright.model.words import DeviceState
from loomwright.pack.one_table import lifted
from loomwright.pack.pages import NOT_PRINTED, Column, Row, RowGroup, Sheet, Table
from loomwright.pack.pinouts import unchecked
from loomwright.pack.view import View, supplied_words
from loomwright.sizing.lengths import is_fixed

COLUMNS: Final = (
    Column("device", bold=True),
    Column("what it is"),
    Column("state"),
    Column("area"),
    Column("plug"),
    Column("face"),
    Column("part"),
    Column("plug supplied as"),
    Column("pins", kind="number"),
    Column("end"),
    Column("settled", kind="tick"),
    Column("seen", kind="tick"),
)
INTRO: Final = (
    "Every device of the job. A settled device will not move any more: rope is measured to it only then. "
    "Tick what you have seen in its place. Not compared: nobody has compared the numbers of this face with "
    "those moulded in the plug in hand."
)


def register(view: View) -> Sheet:
    """Return the register, grouped by loom; devices no rope reaches and removed ones stand last."""
    groups: dict[str, list[Row]] = {}
    for device in view.job.devices:
        for plug in device.connectors:
            groups.setdefault(_group(view, device, plug), []).append(_row(view, device, plug))
    order = [view.titled(t.loom) for t in view.trees] or [""]
    last = [name for name in ("On no loom yet", "Removed from the car") if name in groups]
    table = Table(
        COLUMNS, tuple(RowGroup(tuple(groups[n]), n) for n in (*order, *last) if n in groups), close=True
    )
    table = lifted(table, "part", "plug supplied as")
    return Sheet("register", "Device register", (table,), INTRO, stamps=view.stamps("register"))


def _group(view: View, device: Device, plug: Connector) -> str:
    if device.state is DeviceState.REMOVED:
        return "Removed from the car"
    loom = view.loom_of_end.get(plug.end)
    return view.titled(loom) if loom is not None else "On no loom yet"


def _row(view: View, device: Device, plug: Connector) -> Row:
    on_loom = plug.end in view.loom_of_end and device.state is not DeviceState.REMOVED
    end = ("fixed first" if is_fixed(view.job, plug.end) else "trimmed at fit") if on_loom else NOT_PRINTED
    face = plug.face or NOT_PRINTED
    if unchecked(view, plug):
        face += ", not compared"
    return (
        device.name,
        function_of(device),
        str(device.state),
        device.area,
        plug.end,
        face,
        plug.part,
        supplied_words(plug),
        len(plug.pins),
        end,
        device.settled,
        None,
    )
