"""Tier changes that do not show, and an end of the drive that is not as it should be."""

from __future__ import annotations

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.finding import Finding, note, warning, warning_if
from unspool.model.outcome import EventKind
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.energy import paid_out
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.slip import slipping
from unspool.reading.events.law_parameters import BRAKE
from unspool.reading.events.match_winding import WindingMatch, excess_over_coast

# String beyond the drop by this, and by so many sds of what drop and drum are measured to, tangles.
SLACK_M, SLACK_SDS = 0.01, 2.0
HELD_SDS = 5.0  # beyond chance: a wrong warning sends a builder to a sound peg
# Of the last tier's pull: a string that holds lifts the weight again by about that; less is drag.
HELD_SHARE = 0.3
# A string that holds turns the weight about, with this share of the ideal impulse at least. It then
# lifts the weight over this way at most, and as many slots, or a stretch of its own would show it.
LEAST_TURNED, LIFTED_M, LIFTED_SLOTS = 0.5, 0.03, 2.0
SPEED_SDS = 3.0


def of_changes(match: WindingMatch) -> list[Finding]:
    return [
        note(
            ReadingCode.TIER_CHANGE_NOT_SEEN,
            from_tier=change.from_tier.name,
            to_tier=change.to_tier.name,
            expected_m=float(change.expected_m),
            edges=change.edges,
        )
        for change in match.changes
        if change.changepoint is None
    ]


def of_end(seen: Evidence, match: WindingMatch, rounded: bool, doubted: bool) -> list[Finding]:
    """rounded: times as coarse as slots, which an edge missed there makes look like a brake.
    doubted: the turns may be other ones than said.
    """
    if match.end_changepoint is None:
        return []
    found_m = match.fit.law.changepoint_m[match.end_changepoint]
    out = []
    if match.end_kind is EventKind.LANDING:
        out.append(_landed_first(seen, found_m, doubted))
    # A weight that swings leaves the car with a speed that no law without it explains.
    swings = seen.tone is not None and seen.tone.of_weight
    if _held(match) and not (swings or rounded):
        out.append(_braked(seen, match, found_m))
    return out


def _landed_first(seen: Evidence, found_m: float, doubted: bool) -> Finding:
    tiers = seen.machine.tiers
    slack = paid_out(seen.machine, tiers[-1].end_m) - seen.machine.drop_m
    grave = slack > max(SLACK_M, SLACK_SDS * seen.string_sd_m)
    return warning_if(
        grave,
        ReadingCode.WEIGHT_LANDED_FIRST,
        at_m=float(found_m),
        slack_m=float(slack),
        turns_doubted=doubted,
    )


def _braked(seen: Evidence, match: WindingMatch, found_m: float) -> Finding:
    """A string held at the peg, or a wheel that had slipped and fell to its car's speed."""
    law, trace = match.fit.law, match.fit.trace
    if law.brake_changepoint is None:  # it lost speed over a stretch: only a string does that
        none = {"lost_m_s": None, "before_m_s": None, "slip_share": None}
        return warning(ReadingCode.STRING_HELD, at_m=float(found_m), **none)
    before = float(trace.changepoint_speed[law.brake_changepoint])
    lost = match.fit.values[BRAKE]
    share, slips = lost.value / before, seen.car.encoder_wheel.driven
    if slips and not _may_be_held(seen, match, share, lost.sd / before, before):
        return slipping(share, found_m, None)
    values = {"lost_m_s": float(lost.value), "before_m_s": before}
    slip = float(share) if slips else None
    return warning(ReadingCode.STRING_HELD, at_m=float(found_m), **values, slip_share=slip)


def _may_be_held(
    seen: Evidence, match: WindingMatch, share: float, sd: float, before_m_s: float
) -> bool:
    """Whether a string that holds takes that share of the speed."""
    if match.end_kind is EventKind.LANDING:  # nothing hangs on it
        return False
    if _brakes_on(match):
        return True
    machine, end = seen.machine, match.end_changepoint
    last = machine.tiers[-1]
    lever, lifted = last.lever_at(last.end_m), machine.weight_kg / machine.efficiency
    turned = (lifted + machine.pulley_kg) * lever**2
    ideal = 2.0 * turned / (machine.coasting_kg + turned)
    late_m = 0.0 if end is None else match.fit.law.changepoint_m[end] - last.end_m
    way_m = LIFTED_M + LIFTED_SLOTS * seen.pitch_m + max(late_m, 0.0)
    lift = lifted * STANDARD_GRAVITY * lever * way_m / (machine.coasting_kg * before_m_s**2)
    return LEAST_TURNED * ideal - SPEED_SDS * sd < share < ideal + lift + SPEED_SDS * sd


def _held(match: WindingMatch) -> bool:
    """Speed was lost at once, or a stretch right after the drive brakes harder than the coast."""
    return match.fit.law.brake_changepoint is not None or _brakes_on(match)


def _brakes_on(match: WindingMatch) -> bool:
    end = match.end_changepoint
    if end is None or end + 1 >= len(match.fit.law.changepoint_m):
        return False
    excess, sd = excess_over_coast(match.fit)
    least = max(HELD_SDS * sd[end + 1], HELD_SHARE * excess[end])
    return bool(excess[end + 1] < -least)
