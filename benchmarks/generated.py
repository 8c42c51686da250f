"""A loom of any size, made by rule from its number of wires: for timing, not for building."""

import random


def job_text(wires: int, seed: int = 1) -> str:
    """Return the text of a job with about so many wires: sensors, injectors and grounds on a trunk with
    banks.

    Args:
        wires: 50 and more
        seed: other lengths for another seed
    """
    chance = random.Random(seed)
    groups = max(1, wires // 9)
    lines = [
        "format = 1",
        "[job]",
        'title = "generated, invented"',
        'level = "small shop"',
        "[throttle]",
        'linkage = "electronic"',
        "[area.bay]",
        "air_c = 80",
        "[loom.engine]",
        'datum = "bulkhead"',
        'area = "bay"',
    ]
    boxes = -(-groups // 20)
    for box in range(boxes):
        lines += _box(box, range(box * 20, min(groups, (box + 1) * 20)))
    for n in range(groups):
        lines += _group(n)
    lines += _ropes(groups, boxes, chance)
    return "\n".join(lines) + "\n"


def _box(box: int, groups: range) -> list[str]:
    """A controller and a fuse box that serve up to twenty groups."""
    lines = [f"[device.ECU{box}]", 'family = "controller"']
    for n in groups:
        lines += [
            f'cavity."{n}a" = {{ circuit = "inj {n}", kind = "drive", side = "gives" }}',
            f'cavity."{n}b" = {{ circuit = "signal {n}", kind = "signal", side = "takes" }}',
            f'cavity."{n}c" = {{ circuit = "5V {n}", kind = "sensor supply", side = "gives" }}',
            f'cavity."{n}d" = {{ circuit = "0V {n}", kind = "sensor 0 V", side = "gives" }}',
            f'cavity."{n}e" = {{ circuit = "ground {box}", kind = "power ground", side = "takes" }}',
        ]
    lines += [f"[device.FB{box}]", 'family = "box"']
    lines += [f'cavity."{n}" = {{ circuit = "feed {n}", kind = "feed", side = "gives" }}' for n in groups]
    lines += [f"[device.ST{box}]", 'is = "block ground stud"', f'cavity."stud" = "ground {box}"']
    return lines


def _group(n: int) -> list[str]:
    """Two sensors on one supply, an injector and its feed: nine wires with the splices."""
    return [
        f"[device.INJ{n}]",
        'is = "injector, high impedance"',
        f'cavity."1" = "feed {n}"',
        f'cavity."2" = "inj {n}"',
        f"[device.MAP{n}]",
        'family = "sensor"',
        f'cavity."1" = {{ circuit = "5V {n}", kind = "sensor supply", side = "takes", amps = 0.01 }}',
        f'cavity."2" = {{ circuit = "0V {n}", kind = "sensor 0 V", side = "takes" }}',
        f'cavity."3" = {{ circuit = "signal {n}", kind = "signal", side = "gives" }}',
        f"[device.TPS{n}]",
        'family = "sensor"',
        f'cavity."1" = {{ circuit = "5V {n}", kind = "sensor supply", side = "takes", amps = 0.01 }}',
        f'cavity."2" = {{ circuit = "0V {n}", kind = "sensor 0 V", side = "takes" }}',
    ]


def _ropes(groups: int, boxes: int, chance: random.Random) -> list[str]:
    trunk = ", ".join(f'["B{n}", {100 * (n + 1)}]' for n in range(groups))
    lines = ["[rope.trunk]", 'loom = "engine"', 'from = "bulkhead"', f"reads = [{trunk}]"]
    for n in range(groups):
        ends = ((f"INJ{n}", 150), (f"MAP{n}", 220), (f"TPS{n}", 300))
        for end, mm in ends:
            lines += _section(f"B{n}", end, mm + chance.randrange(0, 200, 10))
    for box in range(boxes):
        for end in (f"ECU{box}", f"FB{box}", f"ST{box}"):
            lines += _section("bulkhead", end, 300 + chance.randrange(0, 300, 10))
    return lines


def _section(a: str, b: str, mm: int) -> list[str]:
    return [f'[section."{a}-{b}"]', 'loom = "engine"', f"mm = {mm}"]
