"""Tier changes that do not show, and an end of the drive that is not as it should be."""

from __future__ import annotations

from unspool.model.outcome import EventKind
from unspool.reading.events.energy import paid_out
from unspool.reading.events.findings.evidence import NOTE, WARNING, Seen
from unspool.reading.events.match_winding import Account, excess_over_coast
from unspool.reading.events.types import Finding

EARLY_SDS, EARLY_SLOTS = 4.0, 1.0  # how far before its place a release is early
LEFT_SHARE = 0.05  # of the stored energy, left in the weight, that is worth a word
HELD_SDS = 5.0
# Of the last tier's pull: a string that holds lifts the weight again by about that; less is drag.
HELD_SHARE = 0.3


def of_changes(account: Account) -> list[Finding]:
    return [
        Finding(
            "tier_change_not_seen",
            NOTE,
            f"The change from {change.from_tier.name} to {change.to_tier.name}, due at "
            f"{change.expected_m:.2f} m, does not show in the motion. Either the string crossed "
            "over at once, or the tiers pull too much alike to tell.",
        )
        for change in account.changes
        if change.kink is None
    ]


def of_end(seen: Seen, account: Account) -> list[Finding]:
    if account.end_kink is None:
        return []
    found_m = account.fit.law.kink_m[account.end_kink]
    out = []
    if account.end_kind is EventKind.LANDING:
        out.append(_landed_first(seen, found_m))
    else:
        out += _early(seen, account, found_m)
    # A weight that swings leaves the car with a speed that no law without it explains.
    swings = seen.tone is not None and seen.tone.of_weight
    if _held(account) and not swings:
        out.append(
            Finding(
                "string_held",
                WARNING,
                f"At {found_m:.2f} m, where the string should let go, the car was braked hard"
                f"{_lost(account)}: the string held at the peg. File the peg smooth, lean it "
                "towards the pull and tie no knot at the loop.",
            )
        )
    return out


def _landed_first(seen: Seen, found_m: float) -> Finding:
    tiers = seen.machine.tiers
    slack = paid_out(seen.machine, tiers[-1].end_m) - seen.machine.drop_m
    return Finding(
        "weight_landed_first",
        WARNING,
        f"The weight landed at {found_m:.2f} m with {1000 * slack:.0f} mm of string still wound; "
        "from there the string unwound slack and the car coasted. Wind that much less, so that "
        "it does not tangle.",
    )


def _early(seen: Seen, account: Account, found_m: float) -> list[Finding]:
    end, expected, fit = account.end_kink, account.end_expected_m, account.fit
    left, stored = seen.energy.left_in_weight, seen.energy.stored
    if end is None or left is None or left < LEFT_SHARE * stored:
        return []
    sd = float(fit.output_sd[1 + end])
    short = (expected or 0.0) - found_m
    if expected is not None and short > EARLY_SDS * sd + EARLY_SLOTS * seen.pitch_m:
        text = (
            f"The string let go at {found_m:.2f} m, {short:.2f} m before it was off the drum, "
            f"with {left:.2f} J of {stored:.2f} J left in the weight. Look at the loop and the "
            "peg."
        )
        return [Finding("early_release", WARNING, text)]
    text = (
        f"The wound string is shorter than the drop: it let go with {left:.2f} J of "
        f"{stored:.2f} J left in the weight. Wind more turns if the tower allows."
    )
    return [Finding("early_release", NOTE, text)]


def _lost(account: Account) -> str:
    law, trace = account.fit.law, account.fit.trace
    if law.brake_kink is None:
        return ""
    before = trace.kink_speed[law.brake_kink]
    return f" and lost {law.brake_speed:.2f} of {before:.2f} m/s at once"


def _held(account: Account) -> bool:
    """Speed was lost at once, or a stretch right after the drive brakes harder than the coast."""
    if account.fit.law.brake_kink is not None:
        return True
    end = account.end_kink
    if end is None or end + 1 >= len(account.fit.law.kink_m):
        return False
    excess, sd = excess_over_coast(account.fit)
    least = max(HELD_SDS * sd[end + 1], HELD_SHARE * excess[end])
    return bool(excess[end + 1] < -least)
