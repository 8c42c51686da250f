"""Jobs with their trees, made up for tests: small factories, and a hypothesis strategy for any job.

@given(jobs())
def test_something(laid):
    job, trees = laid
"""

from hypothesis import strategies as st

from loomwright.model.circuit import Cable, Circuit, Spare
from loomwright.model.device import Connector, Device, Pin
from loomwright.model.job import Area, Job, Kept, Loom, Source12V, Throttle
from loomwright.model.rope import Bend, Passes, Tie
from loomwright.model.shop import Shop
from loomwright.model.tree import Section, Tree
from loomwright.model.words import CableKind, CircuitKind, DeviceState, Level, Side, Supplied
from loomwright.sources import BUILDER

SIDES = {"gives": Side.GIVES, "takes": Side.TAKES, "either": Side.EITHER}


def pin(device, cavity, circuit, kind=CircuitKind.SIGNAL, side=Side.EITHER, connector="", **more):
    words = {
        "words": "",
        "amps": 0.1,
        "peak_amps": None,
        "duty": 1.0,
        "source": BUILDER,
        "path": ("device", device),
    }
    return Pin(device, connector, cavity, circuit, kind, side, **(words | more))


def device(name, *cavities, family="sensor", connectors=(), state=DeviceState.NEW, plug=None, **more):
    """A device of one connector: cavities are (cavity, circuit[, kind[, side[, more]]])."""
    row = tuple(_pin(name, c) for c in cavities)
    own = (
        (Connector(name, "", row, ("device", name), **(plug or {})),) if not connectors else tuple(connectors)
    )
    return Device(name, "", family, "", state, "bay", True, own, ("device", name), **more)


def connector(name, letter, *cavities, **more):
    """One plug of a device with several."""
    row = tuple(_pin(name, c, letter) for c in cavities)
    return Connector(name, letter, row, ("device", name, "connector", letter), **more)


def _pin(name, row, letter=""):
    cavity, circuit, *rest = row
    kind = rest[0] if rest else CircuitKind.SIGNAL
    side = rest[1] if len(rest) > 1 else Side.EITHER
    more = rest[2] if len(rest) > 2 else {}
    return pin(name, cavity, circuit, kind, side, letter, **more)


def circuit(name, kind=CircuitKind.SIGNAL, **more):
    return Circuit(name, kind, ("circuit", name), **more)


def tree(loom, datum, *sections, ends=None, passes=None):
    """A tree from (inner, outer, mm) rows that go outward from the datum; leaves are ends unless told."""
    rows = tuple(
        Section(
            f"{a}-{b}",
            loom,
            a,
            b,
            float(mm),
            10.0,
            3.0,
            "invented",
            "t",
            (),
            passes=(passes or {}).get(f"{a}-{b}"),
        )
        for a, b, mm in sections
    )
    inner = {s.inner for s in rows}
    leaves = ends if ends is not None else [s.outer for s in rows if s.outer not in inner]
    return Tree(loom, datum, rows, tuple(sorted(leaves)))


def job_of(devices, circuits=(), cables=(), spares=(), shop=None, kept=None, looms=("engine",)):
    """A job; circuits that aren't given are made from the pins in them."""
    given = {c.name: c for c in circuits}
    for p in (p for d in devices for p in d.pins if p.circuit):
        given.setdefault(p.circuit, circuit(p.circuit, p.kind))
    return Job(
        title="invented",
        volts=13.8,
        level=Level.SMALL_SHOP,
        paper="A4",
        demo=True,
        revision="A",
        shop=shop or Shop(),
        areas=(Area("bay", 60.0, 0.0, "bay", ("area", "bay")),),
        looms=tuple(Loom(name, f"{name} datum", ("loom", name)) for name in looms),
        devices=tuple(devices),
        circuits=tuple(given.values()),
        protections=(),
        cables=tuple(cables),
        spares=tuple(spares),
        runs=(),
        built=(),
        passes=(),
        exits=(),
        throttle=Throttle("none", None, ("throttle",)),
        acceptances=(),
        supply=Source12V(12.0, 0.01),
        kept=kept or Kept(),
    )


@st.composite
def _trees(draw, most_looms):
    """Trees of looms, and the loom each is plugged into."""
    trees, parent = [], {}
    for n in range(draw(st.integers(1, most_looms))):
        loom, points, rows = f"loom{n}", [f"D{n}"], []
        for k in range(draw(st.integers(2, 9))):
            inner = points[draw(st.integers(0, len(points) - 1))]
            outer = f"P{n}x{k}"
            rows.append((inner, outer, draw(st.one_of(st.integers(30, 150), st.integers(100, 900)))))
            points.append(outer)
        parent[loom] = f"loom{draw(st.integers(0, n - 1))}" if n else ""
        trees.append((loom, points, rows))
    return trees, parent


_GIVEN_SIDE = (CircuitKind.SENSOR_GROUND, CircuitKind.SENSOR_SUPPLY, CircuitKind.FEED)
_KINDS = tuple(k for k in CircuitKind if k not in (CircuitKind.SPARE, CircuitKind.DRAIN))


@st.composite
def jobs(draw, most_looms=3, most_circuits=8, broken=True):
    """Any job with its trees: circuits of every kind over up to `most_looms` looms that plug together.

    Args:
        broken: also jobs with ends no rope leads to and circuits that nothing carries across
    """
    shapes, parent = draw(_trees(most_looms))
    inner = {loom: {a for a, _, _ in rows} for loom, _, rows in shapes}
    leaves = {loom: [p for p in points[1:] if p not in inner[loom]] for loom, points, _ in shapes}
    names: dict[str, str] = {}  # point -> end name
    mates: dict[str, str] = {}
    loom_of: dict[str, str] = {}
    for loom, up in parent.items():
        if up:
            half = f"X{loom[4:]}"
            free = [p for at, points, _ in shapes if at == up for p in points if p not in names]
            names[draw(st.sampled_from(free))] = f"{half}m"
            names[f"D{loom[4:]}"] = f"{half}f"
            mates |= {f"{half}m": f"{half}f", f"{half}f": f"{half}m"}
    for loom, points, _ in shapes:
        for point in points:
            if point not in names and (point in leaves[loom] or draw(st.integers(0, 5)) == 0):
                names[point] = f"E{point[1:]}"
    for loom, points, _ in shapes:
        loom_of |= {names[p]: loom for p in points if p in names}
    plain = [end for end in loom_of if end not in mates]
    if broken and draw(st.integers(0, 4)) == 0:
        plain.append("NOROPE")
    families = {e: draw(st.sampled_from(["sensor", "sensor", "controller", "stud", "box"])) for e in plain}
    cavities = {end: [] for end in (*plain, *mates)}
    plugged = {loom: f"X{loom[4:]}" for loom in parent if parent[loom]}
    circuits, bus_of_two = [], []
    for n in range(draw(st.integers(1, most_circuits))):
        kind = draw(st.sampled_from(_KINDS))
        name = f"{kind.value} {n}"
        ends = draw(st.lists(st.sampled_from(plain), min_size=1, max_size=9)) if plain else []
        twins = [name, f"{name} low"] if kind is CircuitKind.BUS and draw(st.booleans()) else [name]
        bus_of_two += [tuple(twins)] if len(twins) == 2 else []
        critical = draw(st.booleans()) if kind in _GIVEN_SIDE else False
        groups = draw(st.booleans())
        for who in twins:
            circuits.append(circuit(who, kind, critical=critical))
            for i, end in enumerate(ends):
                gives = families[end] in ("controller", "stud") or (i == 0 and kind is CircuitKind.FEED)
                more = {"group": f"g{i % 2}"} if groups and critical and not gives else {}
                side = Side.GIVES if gives else Side.TAKES
                cavities[end].append((str(len(cavities[end]) + 1), who, kind, side, more))
        across = draw(st.integers(1, 3))
        if not (broken and draw(st.integers(0, 7)) == 0):
            _carry(twins, kind, ends, across, loom_of, parent, plugged, cavities)
    devices = []
    for end in (*plain, *mates):
        plug = {"mates": mates[end]} if end in mates else {}
        if end in plain and families[end] == "sensor" and draw(st.integers(0, 5)) == 0:
            plug = {"supplied": Supplied.PIGTAIL, "lead_mm": float(draw(st.integers(20, 500)))}
        family = families.get(end, "plug")
        rings = draw(st.integers(1, 4)) if family == "stud" else 0
        devices.append(device(end, *cavities[end], family=family, plug=plug, stud_rings=rings))
    cables = [Cable(f"pair {a}", CableKind.PAIR, (a, b), ()) for a, b in bus_of_two]
    cables += draw(_screened(circuits, cavities, plain, devices))
    spots = [names.get(p, p) for _, points, _ in shapes for p in points]
    spares = [
        Spare(f"S{i}", draw(st.sampled_from(spots)), draw(st.sampled_from(spots)), ())
        for i in range(draw(st.integers(0, 2)))
    ]
    trees = tuple(draw(_built(loom, points, rows, names)) for loom, points, rows in shapes)
    return job_of(devices, circuits, cables, spares, looms=tuple(parent)), trees


def _carry(twins, kind, ends, across, loom_of, parent, plugged, cavities):
    """Give circuits cavities in the mating pairs between the looms they have pins in."""
    below = {loom: {loom} for loom in parent}
    for loom in reversed(list(parent)):
        if parent[loom]:
            below[parent[loom]] |= below[loom]
    lives = {loom_of[e] for e in ends if e in loom_of}
    for loom, half in plugged.items():
        if lives & below[loom] and lives - below[loom]:
            for name in twins:
                for _ in range(1 if kind is CircuitKind.BUS else across):
                    row = (str(len(cavities[f"{half}m"]) + 1), name, kind, Side.EITHER)
                    cavities[f"{half}m"].append(row)
                    cavities[f"{half}f"].append(row)


@st.composite
def _screened(draw, circuits, cavities, plain, devices):
    """Sometimes one screened cable over two signals of the same two ends, drained at one of them."""
    signals = [c.name for c in circuits if c.kind in (CircuitKind.SIGNAL, CircuitKind.DRIVE)]
    if len(signals) < 2 or not draw(st.booleans()):
        return []
    a, b = signals[:2]
    ends = [e for e in plain if any(row[1] == a for row in cavities[e])]
    for n, d in enumerate(devices):
        if ends and d.name == ends[0]:
            own = d.connectors[0]
            drain = pin(d.name, "98", "screen", CircuitKind.DRAIN, Side.GIVES)
            plug = {"supplied": own.supplied, "lead_mm": own.lead_mm}
            whole = Connector(own.device, own.name, (*own.pins, drain), own.path, **plug)
            devices[n] = Device(
                d.name,
                d.kind,
                d.family,
                d.words,
                d.state,
                d.area,
                d.settled,
                (whole,),
                d.path,
                stud_rings=d.stud_rings,
            )
    return [Cable("screened", CableKind.SCREENED, (a, b), (), screen="screen")]


@st.composite
def _built(draw, loom, points, rows, names):
    def end(p):
        return names.get(p, p)

    passes = {}
    for a, b, mm in rows:
        if draw(st.integers(0, 5)) == 0:
            at = float(draw(st.integers(0, mm)))
            bends = (Bend(at, 40.0, 90.0, None, ()),) if draw(st.booleans()) else ()
            ties = (Tie(at / 2, "bracket", ()),) if draw(st.booleans()) else ()
            name = f"{end(a)}-{end(b)}"
            passes[name] = Passes(name, (), bends=bends, ties=ties)
    sections = [(end(a), end(b), mm) for a, b, mm in rows]
    return tree(loom, end(points[0]), *sections, ends=[names[p] for p in points if p in names], passes=passes)
