"""The trade's words as values: kinds of circuits, joins, states, levels and hazards."""

from enum import StrEnum


class CircuitKind(StrEnum):
    """What a circuit is for; the way it is joined goes by this."""

    FEED = "feed"
    SENSOR_SUPPLY = "sensor supply"
    SENSOR_GROUND = "sensor 0 V"
    POWER_GROUND = "power ground"
    CHASSIS = "chassis"
    SIGNAL = "signal"
    DRIVE = "drive"
    BUS = "bus"
    DRAIN = "screen drain"
    SPARE = "spare"


class Side(StrEnum):
    """What a cavity does for its circuit."""

    GIVES = "gives"  # the source of a feed or supply, a driver, the home of a ground, the sender of a signal
    TAKES = "takes"  # the load, the receiver
    EITHER = "either"  # a bus node, a plug-through cavity


class Join(StrEnum):
    """How a circuit of three or more pins is joined."""

    DIRECT = "direct"  # two pins, one wire
    STUD = "stud"  # each pin its own wire to one stud
    BUS_IN_LINE = "bus in line"  # from node to node with short stubs
    BUS_BAR = "bus bar"  # commons joined inside a box
    NAMED_GROUP = "named group"  # pins named together share one wire home; groups don't share
    SPLICE = "splice"


class DeviceState(StrEnum):
    """Whether a device is new, stays from the car, goes, or is only provided for."""

    NEW = "new"
    KEPT = "kept"
    REMOVED = "removed"
    PROVISION = "provision only"


class Supplied(StrEnum):
    """How the plug of a device comes."""

    PLUG = "plug"  # loose plug, terminated on this loom
    PIGTAIL = "pigtail"  # plug bought with wires of its own colours and length; a joint behind the plug
    MOULDED_LEAD = "moulded lead"  # the sensor has its own lead; its end is joined or plugged


class Level(StrEnum):
    """The level of build; sets which practice rules apply."""

    STREET = "street"
    SMALL_SHOP = "small shop"
    MOTORSPORT = "motorsport"


class HazardKind(StrEnum):
    """What a section may pass."""

    HOT_PART = "hot part"
    MOVING_PART = "moving part"
    THROTTLE_LINKAGE = "throttle linkage"
    SHARP_EDGE = "sharp edge"
    FUEL_LINE = "fuel line"
    OIL_LINE = "oil line"
    BRAKE_LINE = "brake line"
    COOLANT_HOSE = "coolant hose"
    IGNITION_LEAD = "ignition lead"
    POWER_CABLE = "power cable"
    SPLASH = "splash"
    PANEL_HOLE = "panel hole"


class CableKind(StrEnum):
    """Wires that stay together."""

    PAIR = "twisted pair"
    TRIO = "twisted trio"
    SCREENED = "screened cable"
