"""Tier changes that do not show, and an end of the drive that is not as it should be."""

from __future__ import annotations

from unspool.finding import Finding, note, warning, warning_if
from unspool.model.outcome import EventKind
from unspool.reading.events.codes import ReadingCode
from unspool.reading.events.energy import paid_out
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.winding import string_sd_m
from unspool.reading.events.match_winding import WindingMatch, excess_over_coast

# String beyond the drop by this, and by so many sds of what drop and drum are measured to, tangles.
SLACK_M, SLACK_SDS = 0.01, 2.0
HELD_SDS = 5.0  # beyond chance: a wrong warning sends a builder to a sound peg
# Of the last tier's pull: a string that holds lifts the weight again by about that; less is drag.
HELD_SHARE = 0.3


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


def of_end(seen: Evidence, match: WindingMatch, rounded: bool) -> list[Finding]:
    """rounded: times as coarse as slots, which an edge missed there makes look like a brake."""
    if match.end_changepoint is None:
        return []
    found_m = match.fit.law.changepoint_m[match.end_changepoint]
    out = []
    if match.end_kind is EventKind.LANDING:
        out.append(_landed_first(seen, found_m))
    # A weight that swings leaves the car with a speed that no law without it explains.
    swings = seen.tone is not None and seen.tone.of_weight
    if _held(match) and not (swings or rounded):
        out.append(_string_held(match, found_m))
    return out


def _landed_first(seen: Evidence, found_m: float) -> Finding:
    tiers = seen.machine.tiers
    slack = paid_out(seen.machine, tiers[-1].end_m) - seen.machine.drop_m
    grave = slack > max(SLACK_M, SLACK_SDS * string_sd_m(seen))
    values = {"at_m": float(found_m), "slack_m": float(slack)}
    return warning_if(grave, ReadingCode.WEIGHT_LANDED_FIRST, **values)


def _string_held(match: WindingMatch, found_m: float) -> Finding:
    law, trace = match.fit.law, match.fit.trace
    lost = before = None
    if law.brake_changepoint is not None:  # it lost speed at once, not over a stretch
        lost, before = float(law.brake_speed), float(trace.changepoint_speed[law.brake_changepoint])
    return warning(ReadingCode.STRING_HELD, at_m=float(found_m), lost_m_s=lost, before_m_s=before)


def _held(match: WindingMatch) -> bool:
    """Speed was lost at once, or a stretch right after the drive brakes harder than the coast."""
    if match.fit.law.brake_changepoint is not None:
        return True
    end = match.end_changepoint
    if end is None or end + 1 >= len(match.fit.law.changepoint_m):
        return False
    excess, sd = excess_over_coast(match.fit)
    least = max(HELD_SDS * sd[end + 1], HELD_SHARE * excess[end])
    return bool(excess[end + 1] < -least)
