"""What a meter should read at a device's pins on the car, in words, by what the pin is for."""

from types import MappingProxyType
from typing import Final

from loomwright.calc.drop import drop_notes
from loomwright.model.device import Device, Pin
from loomwright.model.words import CircuitKind, Side
from loomwright.pack.view import View

BY_MAKER: Final = "by the maker's sheet"
SIGNALS: Final = MappingProxyType(
    {
        "VR": "AC, 0.3 V when cranking",
        "Hall": "0 V, then its pull-up, in turns",
        "NTC": "4.8 V cold to 0.2 V hot",
        "piezo": "AC, some mV when tapped beside",
        "0.5-4.5 V": "0.5 to 4.5 V",
        "0.5-4.5 V twice": "0.5 to 4.5 V",
        "0-5 V": "0 to 5 V",
        "0-5 V ladder": "a step between 0 and 5 V for each position",
        "0-5 V or Hz": "0 to 5 V, or a frequency",
        "50-150 Hz": "50 to 150 Hz",
        "10-180 ohm": "10 to 180 ohm to its 0 V",
        "switch to ground": "0 V when closed",
        "switch in feed": "battery volts when closed",
        "pulse": "pulses with engine speed",
        "pump cell": BY_MAKER,
    }
)
DRIVES: Final = MappingProxyType(
    {
        "logic": "0 V, pulses of 5 V",
        "logic trigger": "0 V, pulses of 5 V",
        "H-bridge": "switched both ways; near 0 V off",
        "peak and hold": "battery volts off, pulled low on",
    }
)
LOW_SIDE: Final = "battery volts off, below 1 V on"
OTHERS: Final = MappingProxyType(
    {
        CircuitKind.SENSOR_SUPPLY: "4.95 to 5.05 V",
        CircuitKind.SENSOR_GROUND: "0 V; open to body, unplugged",
        CircuitKind.BUS: "2.5 V; pair 60 ohm, power off",
        CircuitKind.DRAIN: "screen, joined at one end",
        CircuitKind.SPARE: "dead, sealed",
    }
)
SOURCE: Final = (
    "Volts and forms of signals: common practice and from memory; the maker's sheet of the part in hand "
    "counts."
)


def expected_at(view: View, pin: Pin, switched_by: tuple[str, ...]) -> str:
    """Return what to read at a pin with key on, against the battery's negative.

    Args:
        switched_by: what has to be on before a feed has volts, the nearest first
    """
    match pin.kind:
        case CircuitKind.FEED:
            return _feed(view, pin, switched_by)
        case CircuitKind.POWER_GROUND | CircuitKind.CHASSIS:
            return f"within {drop_notes().ground_v.value:g} V under load"
        case CircuitKind.SIGNAL:
            return _signal(view, pin)
        case CircuitKind.DRIVE:
            return _drive(view, pin)
        case _:
            return OTHERS.get(pin.kind, "")


def _feed(view: View, pin: Pin, switched_by: tuple[str, ...]) -> str:
    on = (
        f" while {' and '.join(switched_by)} {'is' if len(switched_by) == 1 else 'are'} on"
        if switched_by
        else ""
    )
    if pin.side is Side.GIVES:
        return f"battery volts{on}"
    limits = [
        view.sized.conductor[w.identity].drop_limit_v
        for w in view.routed.at_pin.get(pin.id, ())
        if w.identity in view.sized.conductor
    ]
    if not limits:
        return f"battery volts{on}"
    least = view.job.volts - max(limits)
    return f"battery volts{on or ' at rest'}, {least:.1f} to {view.job.volts:.1f} V running"


def _other(view: View, pin: Pin, gives: bool) -> Device | None:
    """The device of a circuit that a pin's signal comes from, or that its drive goes to."""
    pins = view.job.pins_of.get(pin.circuit, ())
    found = [p for p in pins if (p.side is Side.GIVES) == gives and p.device != pin.device]
    devices = [view.job.device[p.device] for p in found]
    return next((d for d in devices if d.family != "mating half"), None)


def _signal(view: View, pin: Pin) -> str:
    own = view.job.device[pin.device]
    giver = own if own.signal else _other(view, pin, gives=True)
    form = giver.signal if giver else ""
    return SIGNALS.get(form, form) or BY_MAKER


def _drive(view: View, pin: Pin) -> str:
    own = view.job.device[pin.device]
    taker = own if own.driver else _other(view, pin, gives=False)
    form = (taker.driver or taker.signal) if taker else ""
    return DRIVES.get(form, LOW_SIDE)
