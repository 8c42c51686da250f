"""Steps at the ends: trim, slide on, crimp, insert, test, boots, and those behind the bulkhead."""

from loomwright.building.ends import RING, End, slides_on
from loomwright.building.graph import Draft, Plan
from loomwright.building.steps_bench import Work
from loomwright.building.steps_sheath import sleeve_step

EARLY = (
    "controller",
    "power",
)  # families whose ends are finished first: most pins, least freedom; common practice
TUG_N = "10 to 20 N"  # hand tug, common practice


def ends(work: Work, plan: Plan, samples: list[str]) -> dict[str, list[str]]:
    """Finish every end.

    Returns:
        keys by what they do: "trim", "slide" (things slid on), "crimp" and "late" (after the hole)
    """
    found: dict[str, list[str]] = {"trim": [], "slide": [], "crimp": [], "late": []}
    trimmed = [e for e in work.ends if e.trim_mm]
    if trimmed:
        count = counted(len(trimmed), "long end")
        words = f"Test fit on the car: clip the loom in, cut {count} to length, service slack left on."
        items = tuple(f"{e.name}: up to {e.trim_mm:.0f} mm off" for e in trimmed)
        found["trim"].append(
            plan.step(Draft(work.key("trim"), work.loom, "ends", words, items, irreversible=True))
        )
    for end in sorted(work.ends, key=lambda e: (e.family not in EARLY, -len(e.wires), e.name)):
        _one(work, plan, end, found, samples)
    return found


def _one(work: Work, plan: Plan, end: End, found: dict[str, list[str]], samples: list[str]) -> None:
    on = plan.step(_slid(work, end)) if _things(end) else ""
    crimp = plan.step(_crimp(work, end))
    found["slide"] += [on] if on else []
    found["crimp"].append(crimp)
    if late(end):
        found["late"].append(plan.step(_housing(work, end)))
        plan.before([crimp], found["late"][-1:], "R9")
    if on:
        plan.before([on], [crimp], "R9")
        plan.before([on], [crimp], "R10" if end.connector and end.connector.boot else "R9")
        plan.before([on], [crimp], "R14" if end.seals else "R9")
        plan.before([on], [crimp], "R2" if end.joints else "R9")
    if slides_on(end.piece):
        plan.before([sleeve_step(work, end)], [on or crimp], "R7")
        if end.circular and end.section:
            plan.before([crimp], [work.key(f"shrink {end.section.name}")], "R17")
    if end.trim_mm:
        plan.before(found["trim"], [on or crimp], "R12")
    kinds = {work.key(f"sample {kind}") for kind, _ in end.contacts}
    plan.before([s for s in samples if s in kinds], [crimp], "R13")


def _things(end: End) -> tuple[str, ...]:
    boot = end.connector.boot if end.connector else ""
    some = [f"boot {boot}"] if boot else []
    some += ["label", "clear cover"] if end.connector else []
    some += [counted(len(end.joints), "joint cover")] if end.joints else []
    some += [counted(end.seals, "wire seal")] if end.seals else []
    return tuple(some)


def _slid(work: Work, end: End) -> Draft:
    words = f"At {end.words}: slide on, from the loom outward, before anything is crimped."
    return Draft(work.key(f"on {end.name}"), work.loom, "ends", words, _things(end), families=(end.family,))


def _crimp(work: Work, end: End) -> Draft:
    if end.joints:
        wires = counted(len(end.joints), "wire")
        words = f"Join {wires} of the lead at {end.words}, core by core; shrink the joint covers."
    elif end.stud:
        words = f"Crimp {counted(len(end.wires), 'ring')} for {end.words}; sleeve each barrel."
    elif end.sealed and not end.contacts:
        words = f"Seal the spare ends at {end.name}: cap with glue-lined sleeve, label them."
    else:
        count = counted(sum(n for kind, n in end.contacts if kind != RING), "contact")
        rings = sum(n for kind, n in end.contacts if kind == RING)
        more = f" and {counted(rings, 'ring')}" if rings else ""
        words = f"Strip and crimp {count}{more} of {end.words}; look at each with a glass."
        if end.connector and not late(end):
            words += " " + _insert_words(end)
    items = tuple(w.label for w in end.wires)
    return Draft(work.key(f"crimp {end.name}"), work.loom, "ends", words, items, True, (end.family,))


def _insert_words(end: End) -> str:
    plugs = " Plug the empty cavities." if end.connector and end.connector.empty_plugged else ""
    return f"Insert by the wire-side view of the face, tug each with {TUG_N}, close the lock.{plugs}"


def late(end: End) -> bool:
    """Return True if the housing is fitted only after the loom went through the hole."""
    return end.connector is not None and end.connector.through_bulkhead == "after"


def _housing(work: Work, end: End) -> Draft:
    words = f"Fit the housing of {end.words}. {_insert_words(end)} Test its wires again."
    return Draft(work.key(f"housing {end.name}"), work.loom, "install", words, families=(end.family,))


def counted(n: int, word: str) -> str:
    """Return a number and its word: "1 ring", "3 rings"."""
    return f"{n} {word}" if n == 1 else f"{n} {word}s"


def bench_test(work: Work, plan: Plan) -> list[str]:
    """The bench test; returns the key."""
    bare = tuple(f"{e.name}: at its bare contacts, the housing comes later" for e in work.ends if late(e))
    words = (
        f"Bench test by the test sheet: look, tug, all {len(work.wires)} wires through, none against another."
    )
    return [plan.step(Draft(work.key("bench test"), work.loom, "bench test", words, bare))]


def close(work: Work, plan: Plan) -> list[str]:
    """Ends made tight after the test; returns the keys."""
    shrink = [e.name for e in work.ends if slides_on(e.piece) and e.trim_mm and e.section]
    boots = [e.name for e in work.ends if e.connector and e.connector.boot]
    found = []
    if shrink:
        words = "Shrink the rest of the sleeves at the ends."
        key = work.key("finish sleeves")
        found.append(plan.step(Draft(key, work.loom, "close", words, tuple(shrink), True)))
    if boots:
        words = (
            "Abrade, degrease, glue and shrink the boots, one session a batch of glue; a day of rest after."
        )
        found.append(plan.step(Draft(work.key("boots"), work.loom, "close", words, tuple(boots), True)))
        plan.before(found[:-1], found[-1:], "R18")
    words = "Shrink the labels and their clear covers, read from the plug outward; fit the loom's plate."
    found.append(plan.step(Draft(work.key("labels"), work.loom, "close", words, irreversible=True)))
    return found
