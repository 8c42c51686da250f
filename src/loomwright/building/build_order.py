"""The build order: every step of every loom, put into one order by the rules of the trade."""

from collections.abc import Mapping

from loomwright.building.built import BuildStep, ExitGroup
from loomwright.building.cautions import Caution, at_step, cautions_for
from loomwright.building.ends import End
from loomwright.building.graph import Draft, Ordered, Plan, ordered
from loomwright.building.rules import CANNOT, order_rule
from loomwright.building.steps_bench import Work, bare_fit, cut, lay_up, prepare, samples
from loomwright.building.steps_car import install, power_up
from loomwright.building.steps_ends import bench_test, close, ends
from loomwright.building.steps_sheath import sheath
from loomwright.findings import Finding, Place, Severity
from loomwright.model.job import Job
from loomwright.routing.routed import Routed
from loomwright.sizing.sized import Sized

SHEETS = ("build order",)


def build_order(
    job: Job,
    routed: Routed,
    sized: Sized,
    ends_of: Mapping[str, tuple[End, ...]],
    groups: tuple[ExitGroup, ...],
) -> tuple[tuple[BuildStep, ...], tuple[Finding, ...]]:
    """Return the steps in order, and a finding where some wait for each other in a ring.

    Args:
        ends_of: the ends of every loom
        groups: wires of every exit, for the lay-up
    """
    plan = plan_of(job, routed, sized, ends_of, groups)
    found = ordered(plan)
    resting: dict[str, set[str]] = {}
    for rule in plan.rules:
        resting.setdefault(rule.then, set()).add(rule.rule)
        if order_rule(rule.rule).kind == CANNOT:
            resting.setdefault(rule.first, set()).add(rule.rule)
    cautions = {phase: cautions_for(job, phase) for phase in dict.fromkeys(d.phase for d in found.drafts)}
    steps, begun = [], set()
    for n, d in enumerate(found.drafts, 1):
        first = (d.loom, d.phase) not in begun
        begun.add((d.loom, d.phase))
        steps.append(_step(cautions[d.phase], n, d, resting.get(d.key, set()), first))
    return tuple(steps), ring_finding(found)


def plan_of(
    job: Job,
    routed: Routed,
    sized: Sized,
    ends_of: Mapping[str, tuple[End, ...]],
    groups: tuple[ExitGroup, ...],
) -> Plan:
    """Return all steps with the rules between them."""
    plan, last = Plan(), []
    for tree in routed.trees:
        if any(w.loom == tree.loom for w in routed.wires):
            here = tuple(g for g in groups if g.loom == tree.loom)
            last += _loom(Work(job, tree, routed, sized, ends_of[tree.loom], here), plan)
    if last:
        plan.before(last, power_up(job, plan)[:1], "R15")
    return plan


def _loom(work: Work, plan: Plan) -> list[str]:
    """All steps of one loom; returns those the power-up waits for."""
    tried, wires, (cables, splices) = samples(work, plan), cut(work, plan), prepare(work, plan)
    laid, bare = lay_up(work, plan), bare_fit(work, plan)
    covered = sheath(work, plan)
    done = ends(work, plan, tried)
    tested, closed, car = bench_test(work, plan), close(work, plan), install(work, plan)
    skin = [*covered["slide"], *covered["close"]]
    plan.before(wires, [*cables, *splices, *laid[:1]], "R1")
    plan.before(cables, laid[:1], "R3")
    plan.before(splices, laid[:1], "R4")
    plan.before(laid[-1:], bare, "R4")
    plan.before(bare, skin, "R11")
    plan.before(skin, done["trim"], "R12")
    plan.before(done["crimp"], tested, "R15")
    plan.before(tested, closed, "R15")
    plan.before(car["grommet"], [*done["crimp"], *done["late"], *car["through"]], "R8")
    plan.before(car["through"], [*done["late"], *car["clip"]], "R16")
    plan.before(closed, [*car["through"], *car["clip"]], "R15")
    plan.before(done["late"], car["clip"][1:], "R16")
    return car["covers"]


def _step(
    cautions: tuple[Caution, ...], number: int, draft: Draft, rules: set[str], first: bool
) -> BuildStep:
    codes = sorted(rules, key=lambda code: int(code[1:]))
    return BuildStep(
        number=number,
        loom=draft.loom,
        phase=draft.phase,
        words=draft.words,
        items=draft.items,
        rules=tuple(order_rule(code).name for code in codes),
        cautions=tuple(c.key for c in at_step(cautions, draft.name, draft.families, first)),
        irreversible=draft.irreversible,
        name=draft.name,
    )


def ring_finding(found: Ordered) -> tuple[Finding, ...]:
    """Return ORDER-01 where steps wait for each other in a ring."""
    if not found.ring:
        return ()
    names = [d.words.rstrip(".") for d in found.ring]
    return (
        Finding(
            code="ORDER-01",
            severity=Severity.FAULT,
            place=Place(f"{found.ring[0].loom or 'the car'}, build order"),
            what_is=f"{len(names)} steps wait for each other in a ring: {'; then '.join(names)}.",
            should="Each step should be possible once those before it are done.",
            remedy="Take a bigger sleeve or a split covering at one of them, or fit a housing after the "
            "hole.",
            sheets=SHEETS,
            subject=found.ring[0].key,
        ),
    )
