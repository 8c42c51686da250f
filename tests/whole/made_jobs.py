"""Small invented jobs by a seed, written as job files, and what is true of them whoever reads them."""

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

KINDS = (
    ("injector, high impedance", "block", (("1", "feed"), ("2", "drive"))),
    ("coil, smart, 4 pins", "block", (("1", "feed"), ("2", "ground"), ("3", "drive"), ("4", "0V"))),
    ("coolant temperature sensor", "block", (("1", "signal"), ("2", "0V"))),
    ("MAP sensor", "bay", (("1", "5V"), ("2", "0V"), ("3", "signal"))),
    ("crank sensor, VR", "block", (("1", "signal"), ("2", "signal"))),
    ("cam sensor, Hall, 12 V", "block", (("1", "feed"), ("2", "0V"), ("3", "signal"))),
    ("radiator fan", "bay", (("1", "feed"), ("2", "ground"))),
    ("fuel pump", "cabin", (("1", "feed"), ("2", "ground"))),
    ("boost solenoid", "bay", (("1", "feed"), ("2", "drive"))),
    ("dash display", "cabin", (("1", "feed"), ("2", "ground"), ("3", "CAN high"), ("4", "CAN low"))),
    ("CAN node", "bay", (("1", "feed"), ("2", "ground"), ("3", "CAN high"), ("4", "CAN low"))),
    ("warning lamp", "cabin", (("1", "feed"), ("2", "drive"))),
    ("throttle position sensor", "block", (("1", "5V"), ("2", "0V"), ("3", "signal"))),
)
NEAR = ("hot part", "moving part", "sharp edge", "fuel line", "ignition lead", "splash", "throttle linkage")


@dataclass
class Made:
    """A job's text and what is true of it.

    Attributes:
        text: the job file
        circuit_of: circuit by pin id, of every cavity
        edges: inner point, outer point, mm of every section by loom
        points: points of the first loom where another device can be hung on
        loom_of: loom of every end that a rope leads to
    """

    text: str = ""
    circuit_of: dict[str, str] = field(default_factory=dict)
    edges: dict[str, list[tuple[str, str, float]]] = field(default_factory=dict)
    points: list[str] = field(default_factory=list)
    loom_of: dict[str, str] = field(default_factory=dict)


def made_job(seed: int, most_devices: int = 5) -> Made:
    """Return the job of a seed: the same seed gives the same job."""
    return _Maker(random.Random(seed), most_devices).made()


def with_another_device(made: Made, seed: int) -> str:
    """Return the job's text with one device more, on circuits of its own and one that was there."""
    pick = random.Random(seed)
    at = pick.choice(made.points)
    shared = pick.choice(["0V", "feed 0", "own feed"])
    lines = [
        "[device.NEWCOMER]",
        'family = "sensor"',
        'cavity."1" = { circuit = "own signal", kind = "signal", side = "gives" }',
        f'cavity."2" = {{ circuit = "{shared}", side = "takes", kind = "{_kind(shared)}", amps = 0.02 }}',
        "[device.NEWHOME]",
        'family = "controller"',
        'cavity."1" = { circuit = "own signal", kind = "signal", side = "takes" }',
        'cavity."2" = { circuit = "own feed", kind = "feed", side = "gives" }',
        f'[section."{at}-NEWCOMER"]\nloom = "engine"\nmm = {pick.randrange(60, 700)}',
        f'[section."{at}-NEWHOME"]\nloom = "engine"\nmm = {pick.randrange(60, 700)}',
    ]
    return made.text + "\n".join(lines) + "\n"


def _kind(circuit: str) -> str:
    return "sensor 0 V" if circuit == "0V" else "feed"


class _Maker:
    def __init__(self, pick: random.Random, most_devices: int) -> None:
        self.pick = pick
        self.job = Made()
        self.lines: list[str] = []
        self.devices = pick.randint(1, most_devices)
        self.cavities: dict[str, list[tuple[str, str]]] = {}  # circuit and what else is said, by end
        self.heads: dict[str, list[str]] = {}
        self.areas: dict[str, str] = {}
        self.fed: list[str] = []
        self.dash = pick.random() < 0.25  # a second loom, plugged into the first
        self.in_dash: set[str] = set()

    def chance(self, share: float) -> bool:
        return self.pick.random() < share

    def made(self) -> Made:
        for n in range(self.devices):
            self._device(n, *self.pick.choice(KINDS))
        self._homes()
        self._write_head()
        self._write_devices()
        self._write_circuits()
        self._write_ropes()
        self.job.text = "\n".join(self.lines) + "\n"
        return self.job

    # ---- devices and circuits ----

    def _device(self, n: int, kind: str, area: str, cavities: Iterable[tuple[str, str]]) -> None:
        name = f"D{n}"
        self.areas[name] = area
        self.heads[name] = [f'is = "{kind}"', f'area = "{area}"', *self._plug(cavities)]
        if self.dash and area == "cabin":
            self.in_dash.add(name)
        for cavity, role in cavities:
            self._pin(name, cavity, self._circuit(role, n, cavity))

    def _plug(self, cavities: Iterable[tuple[str, str]]) -> Iterator[str]:
        if self.chance(0.15):
            yield f"fixed = {self.pick.choice(('true', 'false'))}"
        if self.chance(0.15):
            yield f"allowance_mm = {self.pick.randrange(0, 90, 5)}"
        if self.chance(0.1):
            yield f'supplied = "{self.pick.choice(("pigtail", "moulded lead"))}"'
            yield f"lead_mm = {self.pick.randrange(20, 500, 20)}"
        if self.chance(0.1):
            yield "settled = true"
        if self.chance(0.05):
            yield f'state = "{self.pick.choice(("kept", "provision only"))}"'

    def _circuit(self, role: str, n: int, cavity: str) -> str:
        match role:
            case "feed":
                self.fed.append(f"feed {self.pick.randrange(3)}")
                return self.fed[-1]
            case "ground":
                return self.pick.choice(("ground a", "ground b"))
            case "signal" | "drive":
                name = f"{role} {n}.{cavity}"
                self._pin("ECU.A", str(self._next("ECU.A")), name)
                return name
            case _:
                return role

    def _next(self, end: str) -> int:
        return len(self.cavities.get(end, ())) + 1

    def _pin(self, end: str, cavity: str, circuit: str, more: str = "") -> None:
        self.cavities.setdefault(end, []).append((cavity, circuit if not more else f"{circuit}|{more}"))
        self.job.circuit_of[f"{end}:{cavity}"] = circuit

    def _homes(self) -> None:
        """Controller, fuse box and studs for what the devices ask for; the pair where looms meet."""
        used = dict.fromkeys(self.job.circuit_of.values())
        giving = {"5V": "sensor supply", "0V": "sensor 0 V"}
        for name in used:
            if name in giving:
                self._pin("ECU.A", str(self._next("ECU.A")), name, f'kind = "{giving[name]}", side = "gives"')
            elif name.startswith("CAN"):
                self._pin("ECU.A", str(self._next("ECU.A")), name)
        self._pin("ECU.A", str(self._next("ECU.A")), "ground a", 'kind = "power ground", side = "takes"')
        self.heads["ECU.A"], self.areas["ECU.A"] = [], "cabin"
        for n, name in enumerate(dict.fromkeys(self.fed)):
            if not n:
                self._pin("FB", "IN", "battery")
            self._pin("FB", f"F{n + 1}", name)
        if self.fed:
            self.heads["FB"], self.areas["FB"] = ['is = "fuse box 4"', 'area = "bay"'], "bay"
            if self.chance(0.6):
                self._pin("BAT", "+", "battery")
                self.heads["BAT"], self.areas["BAT"] = ['is = "battery"'], "bay"
        for stud in sorted({c for c in self.job.circuit_of.values() if c.startswith("ground")}):
            name = f"G{stud[-1]}"
            self._pin(name, "stud", stud)
            self.heads[name], self.areas[name] = ['is = "block ground stud"', 'area = "block"'], "block"
        if self.in_dash:
            self._pair()

    def _pair(self) -> None:
        """Both halves carry every circuit that has pins on both sides."""
        sides: dict[str, set[bool]] = {}
        for pin, circuit in self.job.circuit_of.items():
            sides.setdefault(circuit, set()).add(pin.rsplit(":", 1)[0] in self.in_dash)
        for circuit in (c for c, where in sides.items() if len(where) == 2):
            cavity = str(self._next("XE"))
            self._pin("XE", cavity, circuit)
            self._pin("XD", cavity, circuit)
        for half, other in (("XE", "XD"), ("XD", "XE")):
            self.heads[half], self.areas[half] = ['family = "mating half"', f'mates = "{other}"'], "cabin"
            self.cavities.setdefault(half, [])
        self.in_dash.add("XD")

    # ---- the file ----

    def _write_head(self) -> None:
        pick = self.pick
        self.lines += ["format = 1", "[job]", 'title = "made up, invented"', "demo = true"]
        self.lines.append(f'level = "{pick.choice(("street", "small shop", "motorsport"))}"')
        self.lines += ["[throttle]", 'linkage = "electronic"', "[shop]"]
        if self.chance(0.2):
            self.lines.append(f'lay = "{pick.choice(("straight", "concentric"))}"')
        if self.chance(0.2):
            self.lines.append(f"trim_mm = {pick.choice((0, 40, 150))}")
        if self.chance(0.2):
            self.lines.append(f"min_mm2 = {pick.choice((0.22, 0.5, 0.75))}")
        if self.chance(0.2):
            covering = pick.choice(("braid", "convoluted tube", "tape", "none"))
            self.lines.append(f'covering = "{covering}"')
        for area, air in (("bay", 80), ("block", 110), ("cabin", 40)):
            self.lines += [f"[area.{area}]", f"air_c = {air + pick.randrange(-20, 20, 5)}"]
        self.lines += ["[loom.engine]", 'datum = "bulkhead"', 'area = "bay"']
        if self.chance(0.5):
            self.lines.append(f"hole_mm = {pick.choice((25, 38, 50))}")
        if self.in_dash:
            self.lines += ["[loom.dash]", 'datum = "XD"', 'area = "cabin"']

    def _write_devices(self) -> None:
        for end, head in self.heads.items():
            if end == "ECU.A":
                self.lines += ["[device.ECU]", 'family = "controller"', 'area = "cabin"']
                self.lines.append("[device.ECU.connector.A]")
            else:
                self.lines += [f"[device.{end}]", *head]
            for cavity, said in self.cavities[end]:
                circuit, _, more = said.partition("|")
                value = f'{{ circuit = "{circuit}", {more} }}' if more else f'"{circuit}"'
                self.lines.append(f'cavity."{cavity}" = {value}')

    def _write_circuits(self) -> None:
        pick = self.pick
        for n, name in enumerate(dict.fromkeys(self.fed)):
            self.lines += [f"[fuse.F{n + 1}]", f"amps = {pick.choice((3, 5, 10, 20))}", 'line = "battery"']
            self.lines += [f'load = "{name}"', 'device = "FB"']
        circuits = sorted(set(self.job.circuit_of.values()))
        for name in circuits:
            if self.chance(0.12):
                self.lines.append(f'[circuit."{name}"]')
                self.lines.append(
                    pick.choice(
                        (
                            'colour = "VT"',
                            'size = "1.0"',
                            "amps = 3.5",
                            "critical = true",
                            "intermittent = true",
                        )
                    )
                )
        pairs = [c for c in circuits if c.startswith("signal")]
        if len(pairs) > 1 and self.chance(0.3):
            self.lines += ["[cable.P1]", f'kind = "{pick.choice(("twisted pair", "screened cable"))}"']
            self.lines.append(f'circuits = ["{pairs[0]}", "{pairs[1]}"]')
        if "CAN high" in circuits and self.chance(0.7):
            self.lines += ["[cable.CAN]", 'kind = "twisted pair"', 'circuits = ["CAN high", "CAN low"]']

    def _write_ropes(self) -> None:
        engine = [end for end in self.heads if end not in self.in_dash]
        dash = [end for end in self.heads if end in self.in_dash and end != "XD"]
        if self.chance(0.08) and len(engine) > 2:
            engine.remove(self.pick.choice([e for e in engine if e not in ("XE",)]))  # nobody measured it
        self._loom("engine", "bulkhead", "B", engine)
        if self.in_dash:
            self._loom("dash", "XD", "C", dash)
            self.job.loom_of["XD"] = "dash"

    def _loom(self, loom: str, datum: str, letter: str, ends: list[str]) -> None:
        pick, edges = self.pick, self.job.edges.setdefault(loom, [])
        trunk, at = [(datum, 0)], 0
        for n in range(pick.randint(1, 4)):
            at += pick.choice((pick.randrange(40, 120), pick.randrange(100, 600)))
            trunk.append((f"{letter}{n}", at))
        ends = pick.sample(ends, len(ends))
        tape, parts, alone = trunk[1:], [], []
        if ends:
            tape = [*tape, (ends[0], at + pick.randrange(50, 500))]
        for (inner, a), (outer, b) in zip([trunk[0], *tape], tape, strict=False):
            edges.append((inner, outer, float(b - a)))
        for end in ends[1:]:
            inner, start = pick.choice(trunk)
            if self.chance(0.25):
                run, more = pick.randrange(20, 200), pick.randrange(10, 200)
                parts.append(f'["{end}", {start + run}, {more}, "{inner}"]')
                edges.append((inner, end, float(run + more)))
            else:
                alone.append((inner, end, pick.randrange(50, 800)))
                edges.append((inner, end, float(alone[-1][2])))
        self.job.loom_of |= dict.fromkeys(ends, loom)
        reads = ", ".join(f'["{point}", {mm}]' for point, mm in tape)
        self.lines += [f"[rope.{loom}]", f'loom = "{loom}"', f'from = "{datum}"', f"reads = [{reads}]"]
        if parts:
            self.lines.append(f"parts = [{', '.join(parts)}]")
        for inner, outer, mm in alone:
            self.lines += [f'[section."{inner}-{outer}"]', f'loom = "{loom}"', f"mm = {mm}"]
        if loom == "engine":
            leaving = [inner for inner, _, _ in edges]
            self.job.points = sorted({p for p, _ in trunk if leaving.count(p) > 1})
            self.job.points = self.job.points or [datum]
        for inner, outer, mm in edges:
            if self.chance(0.2):
                self._passes(f"{loom}/{inner}-{outer}", mm)

    def _passes(self, section: str, mm: float) -> None:
        pick = self.pick
        self.lines.append(f'[passes."{section}"]')
        said = (
            f"air_c = {pick.randrange(20, 120, 10)}",
            f"measured_od_mm = {pick.randrange(30, 300) / 10}",
            f'lay = "{pick.choice(("straight", "concentric"))}"',
            f'covering = "{pick.choice(("sleeve", "braid", "tape", "none"))}"',
            f'near = [{{ what = "{pick.choice(NEAR)}", mm = {pick.randrange(5, 150)} }}]',
            f"ties = [{{ at_mm = {pick.uniform(0, mm):.0f} }}]",
            f"bends = [{{ at_mm = {mm / 2:.0f}, radius_mm = {pick.randrange(5, 90)}, angle_deg = 90 }}]",
        )
        self.lines += pick.sample(said, pick.randint(1, 3))
