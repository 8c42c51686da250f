"""One wording for the halves of mating pairs, on pinouts, parts list and device pages."""

from loomwright.pack.device_pages import device_pages
from loomwright.pack.pages import Facts, every_block
from loomwright.pack.view import View

from .worked_jobs import rows, sheets, worked

X1E = "this half pins, on loom engine; X1C sockets, on loom cabin"


def facts(sheet):
    return [pair for b in every_block(sheet.blocks) if isinstance(b, Facts) for pair in b.pairs]


def test_pinout_and_device_page_say_which_half():
    done = worked("hillclimb")
    assert ("Pair", X1E) in facts(sheets("hillclimb")["pinouts"])
    page = next(
        p for p in device_pages(View(done.worked, done.findings)) if p.key.split("-", 1)[1].startswith("X1E")
    )
    assert ("Pair", X1E) in facts(page)


def test_every_half_of_a_pair_is_named_once_on_the_pinouts():
    done = worked("hillclimb")
    pairs = [c for c in done.worked.job.connector.values() if c.mates]
    told = [v for n, v in facts(sheets("hillclimb")["pinouts"]) if n == "Pair"]
    assert len(told) == len(pairs)


def test_the_parts_list_says_how_many_contacts_are_pins():
    listed = rows(sheets("hillclimb")["parts"], "part", "for")
    plugs = next(r["for"] for r in listed if "face power_10" in r["part"])
    assert "X1E (pins)" in plugs
    assert "X1C (sockets)" in plugs
    job, routed = worked("hillclimb").worked.job, worked("hillclimb").worked.routed
    ends = [e.name for w in routed.wires for e in (w.a, w.b) if ":" in e.name]
    halves = {c for c in job.connector if c in ("X1E", "X2E", "X3E", "X4E", "XTC")}
    pins = sum(e.rpartition(":")[0] in halves for e in ends)
    said = [r["for"] for r in listed if " as pins" in r["for"]]
    assert sum(int(words.split(" of the ")[0].rsplit(" ", 1)[1]) for words in said) == pins
