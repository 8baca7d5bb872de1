"""What is odd about a run, in builder's words, with what to do about it."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.events.confront import Account, excess_over_coast
from unspool.events.law import Law
from unspool.events.ledger import paid_out
from unspool.events.types import Finding
from unspool.model.machine import Machine
from unspool.model.outcome import EnergyLedger, EventKind, Prediction
from unspool.motion.types import Motion

NOTE, WARNING = "note", "warning"
# Shares above which a note becomes a warning.
MANY_MISSING, MANY_CHATTER = 0.02, 0.02
EARLY_SDS, EARLY_SLOTS = 4.0, 1.0  # how far before its place a release is early
LEFT_SHARE = 0.05  # of the stored energy, left in the weight, that is worth a word
OPEN_SHARE = 0.1  # of the stored energy, unexplained, that is worth a word
HELD_SDS = 5.0


@dataclass(frozen=True)
class Seen:
    """All that findings are made from; account is None where no law could be fitted."""

    motion: Motion
    machine: Machine
    prediction: Prediction
    account: Account | None
    energy: EnergyLedger
    pitch_m: float
    returned: bool


def findings(seen: Seen) -> tuple[Finding, ...]:
    """All findings of a run that started, in the order of the run."""
    found = [*_sensor(seen.motion)]
    if seen.account is not None:
        found += _start(seen.account, seen.motion)
        if seen.account.fit.law.placed:
            found += _changes(seen.account)
            found += _end(seen, seen.account)
            found += _open_energy(seen)
    if not seen.motion.stop_seen:
        found.append(_cut_short(seen.motion))
    if seen.returned:
        back = seen.motion.furthest_m - seen.motion.stop_m
        found.append(
            Finding(
                "rollback",
                WARNING,
                f"The car rolled back {back:.2f} m from its furthest point: the floor there is "
                "steeper than its rolling resistance holds. Use less energy or another line.",
            )
        )
    return tuple(found)


def _cut_short(motion: Motion) -> Finding:
    last = abs(float(motion.speed_m_s[-1]))
    return Finding(
        "cut_short",
        WARNING,
        f"The edges end while the car still did {last:.2f} m/s: it was caught, hit something or "
        "was no longer recorded. The distance is where it was last seen, no stop was measured.",
    )


def did_not_start(motion: Motion, prediction: Prediction) -> Finding:
    reason = (
        "The model agrees: this tier pulls with "
        f"{prediction.start_margin:.2f} of what it takes. Wind on a larger tier first."
        if not prediction.starts
        else "The model says that it should: look for a string that is caught, a rubbing wheel or "
        "a weight that was still held."
    )
    return Finding(
        "did_not_start",
        WARNING,
        f"The wheel never set off (edges seen: {len(motion.train)}). {reason}",
    )


def _sensor(motion: Motion) -> list[Finding]:
    found = []
    total = max(len(motion.train), 1)
    if motion.handled:
        found.append(
            Finding(
                "handled",
                NOTE,
                f"{motion.handled} edges before or after the run are a hand's doing and were put "
                "aside.",
            )
        )
    if motion.missing:
        many = motion.missing > MANY_MISSING * total or motion.uncertain
        sure = (
            f" At {motion.uncertain} of the gaps it is not certain how many: distances after it "
            "may be off by a slot."
            if motion.uncertain
            else " All gaps were bridged with certainty."
        )
        found.append(
            Finding(
                "missing_edges",
                WARNING if many else NOTE,
                f"{motion.missing} edges are missing.{sure} Check the sensor's distance to the "
                "disc and shade it from bright light.",
            )
        )
    if motion.chatter:
        found.append(
            Finding(
                "chatter",
                WARNING if motion.chatter > MANY_CHATTER * total else NOTE,
                f"The sensor gave {motion.chatter} edges that no slot made. Clean the disc's "
                "slots and fix the sensor so that it cannot shake.",
            )
        )
    return found


def _start(account: Account, motion: Motion) -> list[Finding]:
    """A start that was not seen, or a wheel that ran ahead of what the drum can give."""
    law = account.fit.law
    if motion.spun:
        return [_slipped(law, motion)]
    if law.launch_speed > 0.0:
        text = (
            f"At the first edge the car already did {law.launch_speed:.2f} m/s. Distances count "
            "from there; start recording before the launch."
        )
        return [Finding("launch_not_seen", WARNING, text)]
    if not account.forced:
        return []
    first = account.forced[0]
    begin = law.kink_m[first - 1] if first else 0.0
    place = f"From {begin:.2f} to {law.kink_m[first]:.2f} m"
    if first == 0 and account.slipped:
        text = (
            f"{place} the wheel gained speed faster than the drum can drive the car, and then "
            "waited for it: the tyre slipped. Clean the tyre, put more load on the driven axle or "
            "start on a smaller tier."
        )
        return [Finding("slip_at_start", WARNING, text)]
    text = (
        f"{place} the car gained speed faster than the weight can drive it: a hand pushed it, or "
        "the wheel or the pulses per turn in the car file are wrong. What came after is not the "
        "weight's alone."
    )
    return [Finding("handled", WARNING, text)]


def _slipped(law: Law, motion: Motion) -> Finding:
    """A sliding tyre pushes its car steadily: the car goes half its speed times the time."""
    took = law.launch_s - motion.launch_s
    vain = max(law.begin_m - 0.5 * law.launch_speed * took, 0.0)
    text = (
        f"At the start the wheel spun for {took:.2f} s and turned {law.begin_m:.2f} m of its rim, "
        f"about {vain:.2f} m of it in vain, before the tyre gripped and it dropped to the car's "
        f"{law.launch_speed:.2f} m/s. All distances are the wheel's: the car itself is that much "
        "nearer to the start. Clean the tyre, put more load on the driven axle or start on a "
        "smaller tier."
    )
    return Finding("slip_at_start", WARNING, text)


def _changes(account: Account) -> list[Finding]:
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


def _end(seen: Seen, account: Account) -> list[Finding]:
    if account.end_kink is None:
        return []
    found_m = account.fit.law.kink_m[account.end_kink]
    out = []
    if account.end_kind is EventKind.LANDING:
        out.append(_landed_first(seen, found_m))
    else:
        out += _early(seen, account, found_m)
    if _held(account):
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


def _open_energy(seen: Seen) -> list[Finding]:
    rest, stored = seen.energy.unexplained, seen.energy.stored
    if rest is None or abs(rest) < OPEN_SHARE * stored:
        return []
    if seen.motion.spun and rest > 0.0:  # what the sliding tyre ate
        return []
    way = "more went than" if rest < 0.0 else "less went than"
    return [
        Finding(
            "energy_unexplained",
            WARNING,
            f"{abs(rest):.2f} J of {stored:.2f} J do not add up: {way} the weight gave. Check the "
            "masses, the drop, the rolling circumference and the pulses per turn in the car file, "
            "and whether a hand pushed.",
        )
    ]


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
    return bool(excess[end + 1] < -HELD_SDS * sd[end + 1])
