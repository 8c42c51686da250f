"""An invented job text that shows every spelling a job file uses, and ways to spoil it."""

import random

SAMPLE = '''\
# Demo data, invented: no real car.
format = 1
[job]
title = "Hill-climb special, 2.0 four on throttle bodies"   # as the owner calls it
volts = 13.8
level = "small shop"
begun = 2024-05-17

[area.block]                       # on the engine, rocks with it
air_c = 110
moves_mm = 15

[device.INJ1]
is = "injector, high impedance"    # from the library
area = "block"
settled = true
cavity."1" = "injector feed"
# cavity 2 is the one at the latch
cavity."2" = "inj 1"

[device.ECU]
is = 'controller "own"'

[device.ECU.connector.A]
face = "header 60"
cavity."14" = "inj 1"

# feeds
[circuit."injector feed"]
fuse = "F3"
note = """
first line
second "line\\""""

[rope.trunk]                       # one tape
from = "bulkhead"
reads = [
    ["B1", 640],      # at the strut
    ["B2", 1_020],
    ["INJ4", 1430, "wire exit"],
]
parts = [["INJ1", 1140, 60]]

[passes.B1-B2]
near = [{ what = "hot part", mm = 90, shielded_by = "intake" }, { what = "edge", mm = 12 }]

[[accept]]
finding = "PIN-02 INJ1.2"
by = "jd"

[[accept]]
finding = "LEN-01 B1"
by = "jd"
[accept.more]
"größe" = 0xFF
'''

SIGNS = "\"'[]{}=,.#\\\n\r\t \x00\x07\x7féß日\U0001f600\ufeff0-_+TZe:a"


def spoiled(text: str, seed: int) -> str:
    """Return the text with one to four random cuts, doublings or strange signs."""
    pick = random.Random(seed)
    for _ in range(pick.randint(1, 4)):
        at = pick.randint(0, len(text))
        end = min(len(text), at + pick.choice([0, 1, 1, 2, 5, 30, 200]))
        lines = text.splitlines(keepends=True)
        line = pick.randrange(max(1, len(lines)))
        text = pick.choice(
            [
                text[:at] + text[end:],
                text[:at] + pick.choice(SIGNS) + text[at:],
                text[:at] + pick.choice(SIGNS) + text[end:],
                text[:at] + text[at:end] * 2 + text[end:],
                "".join(lines[:line] + lines[line : line + 3] * 2 + lines[line + 3 :]),
                "".join(lines[:line] + lines[line + 1 :]),
                text[:at],
            ]
        )
    return text
