"""The kinks that the edges show, against the winding: which one is which tier change.

First the stretches speak for themselves: driven are those that pull harder than the coast, and the
kink after the last of them is where the drive ended. Only then the winding is asked where it puts
the changes, and each of its changes takes the kink that fits best. A change without a kink is
looked for once more at its own place, where less evidence will do (no choice among a hundred
places); if there is none, it is said not to be seen. A kink without a change is never called one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from unspool.model.outcome import EventKind, Prediction
from unspool.model.params import Params, TierPath
from unspool.reading.events.changepoints import kink_near
from unspool.reading.events.likelihood import Fit, Problem
from unspool.reading.events.string_held import with_brake

# A stretch drives when its pull beats the coast by this many sd and by this share of the strongest.
DRIVEN_SDS, DRIVEN_SHARE = 4.0, 0.03
FORCED = 1.3  # times the largest tier's lever: more than a wrong mass or efficiency explains
# A found kink within this much of the landing's place, in slots or of the drive's way, may be it.
NEAR_SLOTS, NEAR_SHARE = 1.5, 0.02
# A string wound to the drop lets go as the weight lands; no tape tells a drop better than this.
LEAST_SLACK_M = 0.001


@dataclass(frozen=True)
class Change:
    """A tier change of the winding; kink is the fit's number of it, None where it was not seen."""

    from_tier: TierPath
    to_tier: TierPath
    expected_m: float
    kink: int | None


@dataclass(frozen=True)
class Account:
    """What each kink of a fit is; end_kind is RELEASE or LANDING, odd kinks fit nothing."""

    fit: Fit
    changes: tuple[Change, ...]
    end_kink: int | None
    end_kind: EventKind
    end_expected_m: float | None
    odd: tuple[int, ...]
    forced: tuple[int, ...] = ()  # stretches that gain speed faster than any tier can drive
    slipped: bool = False  # the first of them is followed by a pull below the tier's

    def tier_of(self, stretch: int, machine: Params) -> TierPath | None:
        """The tier that drives a stretch of the fit, None on the coast."""
        if self.end_kink is None or stretch > self.end_kink:
            return None
        passed = [c.to_tier for c in self.changes if c.kink is not None and c.kink < stretch]
        return passed[-1] if passed else self.first_tier(machine)

    def first_tier(self, machine: Params) -> TierPath:
        """The tier that pulls where the law begins: past a long slip it need not be the first."""
        begun = [tier for tier in machine.tiers if tier.begin_m <= self.fit.law.begin_m]
        return begun[-1] if begun else machine.tiers[0]


def account_for(fit: Fit, problem: Problem, machine: Params, prediction: Prediction) -> Account:
    """Say what each kink is; the answer's fit may have kinks that only the winding suggested."""
    expected = _expected_changes(machine, prediction, fit.law.begin_m)
    account = _assign(fit, problem, machine, prediction, expected)
    for change in account.changes:
        if change.kink is None:
            better = _second_look(account, change, problem)
            if better is not None:
                account = _assign(better, problem, machine, prediction, expected)
    if account.end_kink is None:
        return account
    braked = with_brake(problem, account.fit, account.end_kink, account.end_expected_m)
    held = _assign(braked, problem, machine, prediction, expected) if braked else account
    return held if held.end_kink == held.fit.law.brake_kink else account


def drive_end(fit: Fit, undriven: tuple[int, ...] = ()) -> int | None:
    """The kink at which the weight's drive ends; None where it drives nothing.

    undriven: stretches that something else than the weight explains.
    """
    excess, sd = excess_over_coast(fit)
    excess[list(undriven)] = 0.0
    least = np.maximum(DRIVEN_SDS * sd, DRIVEN_SHARE * excess.max(initial=0.0))
    driven = np.flatnonzero(excess > least)
    return int(driven[-1]) if len(driven) else None


def excess_over_coast(fit: Fit) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How much harder each stretch but the last pulls than the coast, and its sd; (k,) each."""
    k = len(fit.law.kink_m)
    a = np.array(fit.law.acceleration)
    first = len(fit.covariance) - (k + 1)
    cov = fit.covariance[first:, first:]
    variance = np.diag(cov) + cov[-1, -1] - 2.0 * cov[-1]
    return a[:-1] - a[-1], np.sqrt(np.maximum(variance[:-1], 0.0))


def _expected_changes(
    machine: Params, prediction: Prediction, begin_m: float
) -> list[tuple[TierPath, TierPath, float]]:
    """Changes that the prediction makes from begin_m on under tension: before the weight lands."""
    landed = [e.distance_m for e in prediction.events if e.kind is EventKind.LANDING]
    end = min(landed, default=float("inf"))
    pairs = zip(machine.tiers, machine.tiers[1:], strict=False)
    return [(one, two, two.begin_m) for one, two in pairs if begin_m < two.begin_m < end - 1e-6]


def _assign(
    fit: Fit,
    problem: Problem,
    machine: Params,
    prediction: Prediction,
    expected: list[tuple[TierPath, TierPath, float]],
) -> Account:
    forced = _forced(fit, problem, machine)
    end = drive_end(fit, forced + _after_the_string(fit, problem, prediction))
    found = [i for i in range(end) if i not in forced] if end is not None else []
    kinks = fit.law.kink_m
    taken = _pair([e for _, _, e in expected], [kinks[i] for i in found])
    changes = tuple(
        Change(one, two, place, found[taken[j]] if j in taken else None)
        for j, (one, two, place) in enumerate(expected)
    )
    known = {change.kink for change in changes} | {end}
    kind, place = _end(kinks[end] if end is not None else None, problem, machine, prediction)
    odd = tuple(i for i in range(len(kinks)) if i not in known)
    slipped = bool(forced) and end is not None and _gives_way(fit, forced[0], problem, machine)
    return Account(fit, changes, end, kind, place, odd, forced, slipped)


def _forced(fit: Fit, problem: Problem, machine: Params) -> tuple[int, ...]:
    coast = fit.law.acceleration[-1]
    strongest = max(tier.lever for tier in machine.tiers)
    most = problem.masses.acceleration(FORCED * strongest, coast)
    sds = fit.output_sd[-len(fit.law.acceleration) :]
    surely = np.array(fit.law.acceleration) - DRIVEN_SDS * sds > most
    return tuple(int(i) for i in np.flatnonzero(surely[:-1]))


def _after_the_string(fit: Fit, problem: Problem, prediction: Prediction) -> tuple[int, ...]:
    """Stretches that lose speed where no string is left: a floor that rises later bends them."""
    ends = [
        event.distance_m
        for event in prediction.events
        if event.kind in (EventKind.RELEASE, EventKind.LANDING)
    ]
    if not ends:
        return ()
    near = NEAR_SLOTS * problem.edges.pitch_m + NEAR_SHARE * max(ends)
    slows = np.array(fit.law.acceleration) < 0.0
    late = np.array([0.0, *fit.law.kink_m]) > max(ends) - near
    return tuple(int(i) for i in np.flatnonzero(late & slows)[:-1])


def _gives_way(fit: Fit, stretch: int, problem: Problem, machine: Params) -> bool:
    """Whether the stretch after a forced one pulls clearly less than the first tier should."""
    a = fit.law.acceleration
    due = problem.masses.acceleration(machine.tiers[0].lever, a[-1])
    return stretch + 2 < len(a) and a[stretch + 1] < due - 0.3 * abs(due - a[-1])


def _pair(expected: list[float], found: list[float]) -> dict[int, int]:
    """Expected -> found, in order, so that the distances add up to least."""
    few = min(len(expected), len(found))
    best: tuple[float, dict[int, int]] = (float("inf"), {})
    for these in combinations(range(len(expected)), few):
        for those in combinations(range(len(found)), few):
            off = sum(abs(expected[i] - found[j]) for i, j in zip(these, those, strict=True))
            if off < best[0]:
                best = (off, dict(zip(these, those, strict=True)))
    return best[1]


def _end(
    found_m: float | None, problem: Problem, machine: Params, prediction: Prediction
) -> tuple[EventKind, float | None]:
    """Whether the drive ended with the string's release or with the weight's landing."""
    places = {e.kind: e.distance_m for e in prediction.events}
    release, landing = places.get(EventKind.RELEASE), places.get(EventKind.LANDING)
    if found_m is None or landing is None:
        return EventKind.RELEASE, release
    if release is not None and (release - landing) * machine.tiers[-1].lever < LEAST_SLACK_M:
        return EventKind.RELEASE, release
    near = NEAR_SLOTS * problem.edges.pitch_m + NEAR_SHARE * landing
    # A car that is foretold to stop with its string still on is foretold no release.
    nearer = near if release is None else min(near, abs(found_m - release))
    landed = abs(found_m - landing) < nearer
    return (EventKind.LANDING, landing) if landed else (EventKind.RELEASE, release)


def _second_look(account: Account, change: Change, problem: Problem) -> Fit | None:
    masses, fit = problem.masses, account.fit
    coast = fit.law.acceleration[-1]
    before = masses.acceleration(change.from_tier.lever, coast)
    after = masses.acceleration(change.to_tier.lever, coast)
    return kink_near(problem, fit, change.expected_m, after - before)
