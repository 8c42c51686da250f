"""All checks in one tuple, and the one way to run them."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from loomwright.checks import (
    accept,
    bends,
    bulkhead,
    buses,
    cables,
    circuits,
    clearances,
    conductors,
    contacts,
    coverings,
    devices,
    exits,
    faces,
    feeds,
    fuses,
    grounds,
    layup,
    looms,
    movement,
    pins,
    rope,
    splices,
    taps,
    throttle,
)
from loomwright.checks.catalogue import CATALOGUE, NEVER
from loomwright.checks.causes import one_finding_for_a_cause
from loomwright.checks.worked import Check, Worked
from loomwright.findings import ORDER, Finding, Severity

CHECKS: Final[tuple[Check, ...]] = (
    pins.cavity_clash,
    pins.two_wires_in_one_contact,
    pins.cavity_not_on_face,
    pins.pin_alone,
    pins.open_cavities,
    pins.no_face,
    circuits.missing_return,
    circuits.no_giver,
    circuits.two_givers,
    circuits.kinds_mixed,
    circuits.current_not_known,
    grounds.rings_on_stud,
    grounds.vr_on_sensor_ground,
    grounds.one_ground_wire,
    grounds.driver_suits,
    grounds.bridge_needs_two,
    grounds.heavy_load_on_controller,
    feeds.feed_without_fuse,
    feeds.fuse_far_from_source,
    feeds.pump_on_permanent_feed,
    feeds.alternator_past_isolator,
    feeds.no_isolator,
    fuses.short_not_cleared,
    fuses.above_guide_chart,
    fuses.close_to_load,
    fuses.not_made,
    fuses.clearing_not_known,
    fuses.trip_above_wire,
    fuses.wants_own_fuse,
    fuses.nothing_behind,
    conductors.load_above_heat_limit,
    conductors.air_above_class,
    conductors.pvc_in_the_bay,
    conductors.limit_is_estimate,
    conductors.drop_above_limit,
    conductors.drop_worth_a_note,
    conductors.below_mechanical_minimum,
    conductors.fixed_without_reason,
    contacts.conductor_window,
    contacts.insulation_grip,
    contacts.seal_window,
    contacts.load_above_contact,
    contacts.contact_not_known,
    contacts.contact_of_other_size,
    cables.pair_not_twisted,
    cables.pair_parts,
    cables.pair_far_apart,
    cables.pair_spliced,
    cables.screen_missing,
    cables.screen_drained_twice,
    cables.screen_drained_at_device,
    cables.cable_does_not_suit,
    buses.terminators,
    buses.bus_as_star,
    buses.half_a_node,
    buses.wires_crossed,
    splices.copper_outside_window,
    splices.many_wires,
    splices.open_barrel_in_motorsport,
    layup.straight_in_motorsport,
    coverings.no_size_fits,
    coverings.covering_too_cool,
    coverings.shrinks_too_hot,
    coverings.no_branch_cover_fits,
    coverings.stiff_pieces_meet,
    coverings.bare_section,
    bends.bend_radius,
    bends.bend_support,
    bends.support_spacing,
    bends.support_at_plug,
    bends.tied_to_lines,
    bends.clamp_at_grommet,
    bends.ties_alone,
    clearances.hazards,
    movement.loops,
    bulkhead.through_the_hole,
    bulkhead.ends_not_told,
    bulkhead.housing_size_not_told,
    rope.doubt_of_ways,
    rope.branch_points_close,
    rope.exits_not_noted,
    exits.exits_cross,
    rope.board_crossings,
    rope.board_hands,
    throttle.linkage_answered,
    throttle.loom_at_linkage,
    throttle.tracks_share,
    throttle.answer_agrees,
    throttle.electronic_throttle,
    taps.airbag_tap,
    taps.brake_tap,
    taps.tap_not_measured,
    taps.meter_disagrees,
    taps.tap_not_described,
    faces.face_unchecked,
    faces.mates_disagree,
    faces.pair_in_one_loom,
    faces.halves_differ,
    devices.not_settled,
    devices.removed_with_circuits,
    devices.provision_only,
    devices.without_wire,
    devices.of_no_kind,
    devices.misleading_name,
    looms.no_spares,
    looms.colour_repeated,
    looms.loom_without_wire,
)


def run(worked: Worked, earlier: Iterable[Finding] = ()) -> tuple[Finding, ...]:
    """Return all findings of a job: those of the rungs before and all checks', accepted ones marked.

    What only follows from another finding is told in that one's words.

    Args:
        worked: the job worked out
        earlier: findings of reading, mock-up, routing, sizing and building
    Returns:
        sorted: faults first, then by code and place; the same for the same job
    """
    found = (*map(_with_sheets, earlier), *_checked(worked))
    told = one_finding_for_a_cause(accept.apply(worked.job, found, NEVER))
    return tuple(sorted(told, key=_order))


def stamped_sheets(findings: Iterable[Finding]) -> frozenset[str]:
    """Return the keys of the sheets touched by a fault that isn't accepted: they are NOT FOR BUILD."""
    return frozenset(
        sheet
        for one in findings
        if one.severity is Severity.FAULT and not one.accepted
        for sheet in one.sheets
    )


def _with_sheets(one: Finding) -> Finding:
    """Name the sheets that a code touches where the rung that raised it named none."""
    known = CATALOGUE.get(one.code)
    return replace(one, sheets=known.sheets) if known is not None and not one.sheets else one


def _checked(worked: Worked) -> Iterator[Finding]:
    """Run every check; rules of other levels of build are left out."""
    level = worked.job.level
    for check in CHECKS:
        for one in check(worked):
            if level in CATALOGUE[one.code].levels:
                yield one


def _order(one: Finding) -> tuple[int, str, str, str, str]:
    return ORDER.index(one.severity), one.code, one.group, one.place.words, one.what_is
