"""The changepoints that the edges show, against the winding: which one is which tier change.

First the stretches speak for themselves. Driven are those that pull harder than the coast, and the
changepoint after the last of them is where the drive ended. Only then each tier change of the
winding takes the changepoint that fits best. A change that finds none is looked for once more at
its own place, where less evidence will do, as there is no choice among a hundred places. A
changepoint that no change takes is never called one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations, pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from unspool.model.outcome import EventKind, Prediction
from unspool.model.params import Params, TierPath
from unspool.reading.events.changepoints import changepoint_near
from unspool.reading.events.law_fit import LawFit
from unspool.reading.events.law_parameters import acceleration
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.string_held import with_brake

# A stretch drives if its pull beats the coast surely, and by a share of the strongest pull that no
# uneven floor gives.
DRIVEN_SDS, DRIVEN_SHARE = 4.0, 0.03
FORCED = 1.3  # times the largest tier's lever: more than a wrong mass or efficiency explains
# A changepoint so near the landing's place may be it. The slots are for the launch's place on the
# disc and the changepoint's own error. The share is what diameters are wrong by, of the drive's
# way.
NEAR_SLOTS, NEAR_SHARE = 1.5, 0.02
# A string wound to the drop lets go as the weight lands; no tape measures a drop better than this.
LEAST_SLACK_M = 0.001
# A slipping tyre passes on clearly less than the tier pulls: by a share of that pull beyond what
# masses and efficiency are wrong by.
GIVES_WAY = 0.3
_SAME_PLACE_M = 1e-6  # rounding: a tier that begins as the weight lands never drives


@dataclass(frozen=True)
class TierChange:
    """A tier change of the winding; changepoint is its number in the fit, None if not seen.

    edges: of the stretch that has too few of them to place it; None if that is not why.
    """

    from_tier: TierPath
    to_tier: TierPath
    expected_m: float
    changepoint: int | None
    edges: int | None = None


@dataclass(frozen=True)
class WindingMatch:
    """What each changepoint of a fit is; end_kind, of the drive's end, is RELEASE or LANDING."""

    fit: LawFit
    changes: tuple[TierChange, ...]
    end_changepoint: int | None
    end_kind: EventKind
    end_expected_m: float | None
    forced: tuple[int, ...] = ()  # stretches that gain speed faster than any tier can drive
    slipped: bool = False  # the first of them is followed by a pull below the tier's

    @property
    def unexplained(self) -> tuple[int, ...]:
        """Changepoints of the drive that are no tier change and not its end."""
        if self.end_changepoint is None or self.forced:
            return ()
        known = {change.changepoint for change in self.changes}
        return tuple(i for i in range(self.end_changepoint) if i not in known)

    def tier_of(self, stretch: int, machine: Params) -> TierPath | None:
        """The tier that drives a stretch of the fit, None on the coast."""
        if self.end_changepoint is None or stretch > self.end_changepoint:
            return None
        passed = [
            c.to_tier for c in self.changes if c.changepoint is not None and c.changepoint < stretch
        ]
        return passed[-1] if passed else self.first_tier(machine)

    def first_tier(self, machine: Params) -> TierPath:
        """The tier that pulls where the law begins: past a long slip it need not be the first."""
        begun = [tier for tier in machine.tiers if tier.begin_m <= self.fit.law.begin_m]
        return begun[-1] if begun else machine.tiers[0]


def match_winding(
    fit: LawFit, problem: Problem, machine: Params, prediction: Prediction
) -> WindingMatch:
    """What each changepoint is. The match's fit may have some that only the winding suggested."""
    winding = _Winding(problem, machine, prediction)
    match = winding.matched(fit)
    for change in match.changes:
        if change.changepoint is None:
            better = _second_look(match, change, problem)
            if better is not None:
                match = winding.matched(better)
    if match.end_changepoint is None:
        return match
    braked = with_brake(problem, match.fit, match.end_changepoint, match.end_expected_m)
    held = winding.matched(braked) if braked else match
    return held if held.end_changepoint == held.fit.law.brake_changepoint else match


@dataclass(frozen=True)
class _Winding:
    """What the winding makes one expect of a fit to these edges."""

    problem: Problem
    machine: Params
    prediction: Prediction

    def matched(self, fit: LawFit) -> WindingMatch:
        forced = _forced(fit, self.problem, self.machine)
        end = drive_end(fit, forced + _after_the_string(fit, self.problem, self.prediction))
        found = [i for i in range(end) if i not in forced] if end is not None else []
        places = fit.law.changepoint_m
        expected = self._changes_from(fit.law.begin_m)
        taken = _pair([tier.begin_m for _, tier in expected], [places[i] for i in found])
        changes = tuple(
            TierChange(one, two, two.begin_m, found[taken[j]] if j in taken else None)
            for j, (one, two) in enumerate(expected)
        )
        kind, place = self._end(places[end] if end is not None else None)
        slipped = bool(forced) and end is not None and self._gives_way(fit, forced[0])
        return WindingMatch(fit, changes, end, kind, place, forced, slipped)

    def _changes_from(self, begin_m: float) -> list[tuple[TierPath, TierPath]]:
        """Changes that the prediction makes under tension: before the weight lands."""
        landed = self._places.get(EventKind.LANDING, inf)
        pairs = pairwise(self.machine.tiers)
        return [(one, two) for one, two in pairs if begin_m < two.begin_m < landed - _SAME_PLACE_M]

    def _end(self, found_m: float | None) -> tuple[EventKind, float | None]:
        """Whether the drive ended with the string's release or with the weight's landing."""
        release = self._places.get(EventKind.RELEASE)
        landing = self._places.get(EventKind.LANDING)
        if found_m is None or landing is None:
            return EventKind.RELEASE, release
        last_lever = self.machine.tiers[-1].lever
        if release is not None and (release - landing) * last_lever < LEAST_SLACK_M:
            return EventKind.RELEASE, release
        near = NEAR_SLOTS * self.problem.edges.pitch_m + NEAR_SHARE * landing
        # A car that should stop with its string still on has no predicted release.
        nearer = near if release is None else min(near, abs(found_m - release))
        landed = abs(found_m - landing) < nearer
        return (EventKind.LANDING, landing) if landed else (EventKind.RELEASE, release)

    def _gives_way(self, fit: LawFit, stretch: int) -> bool:
        """Whether the stretch after a forced one pulls clearly less than the first tier should."""
        a = fit.law.acceleration
        due = self.problem.masses.acceleration(self.machine.tiers[0].lever, a[-1])
        return stretch + 2 < len(a) and a[stretch + 1] < due - GIVES_WAY * abs(due - a[-1])

    @property
    def _places(self) -> dict[EventKind, float]:
        return {event.kind: event.distance_m for event in self.prediction.events}


def drive_end(fit: LawFit, undriven: tuple[int, ...] = ()) -> int | None:
    """The changepoint at which the weight's drive ends; None if it drives nothing.

    undriven: stretches that something else than the weight explains.
    """
    excess, sd = excess_over_coast(fit)
    excess[list(undriven)] = 0.0
    least = np.maximum(DRIVEN_SDS * sd, DRIVEN_SHARE * excess.max(initial=0.0))
    driven = np.flatnonzero(excess > least)
    return int(driven[-1]) if len(driven) else None


def excess_over_coast(fit: LawFit) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """How much harder each stretch but the last pulls than the coast, and its sd; (k,) each."""
    k = len(fit.law.changepoint_m)
    excess = [fit.values.difference(acceleration(i), acceleration(k)) for i in range(k)]
    return np.array([one.value for one in excess]), np.array([one.sd for one in excess])


def _forced(fit: LawFit, problem: Problem, machine: Params) -> tuple[int, ...]:
    coast = fit.law.acceleration[-1]
    strongest = max(tier.lever for tier in machine.tiers)
    most = problem.masses.acceleration(FORCED * strongest, coast)
    driven = (fit.values[acceleration(i)] for i in range(len(fit.law.changepoint_m)))
    return tuple(i for i, one in enumerate(driven) if one.value - DRIVEN_SDS * one.sd > most)


def _after_the_string(fit: LawFit, problem: Problem, prediction: Prediction) -> tuple[int, ...]:
    """Stretches where no string is left: one that loses speed there, and all after it.

    A floor that rises later bends them, and so do edges that were missed unseen.
    """
    ends = [
        event.distance_m
        for event in prediction.events
        if event.kind in (EventKind.RELEASE, EventKind.LANDING)
    ]
    if not ends:
        return ()
    near = NEAR_SLOTS * problem.edges.pitch_m + NEAR_SHARE * max(ends)
    slows = np.array(fit.law.acceleration) < 0.0
    late = np.array([0.0, *fit.law.changepoint_m]) > max(ends) - near
    gone = np.maximum.accumulate(late & slows)
    return tuple(int(i) for i in np.flatnonzero(gone)[:-1])


def _pair(expected: list[float], found: list[float]) -> dict[int, int]:
    """Expected -> found, in order, so that the distances add up to least."""
    few = min(len(expected), len(found))
    best: tuple[float, dict[int, int]] = (inf, {})
    for these in combinations(range(len(expected)), few):
        for those in combinations(range(len(found)), few):
            off = sum(abs(expected[i] - found[j]) for i, j in zip(these, those, strict=True))
            if off < best[0]:
                best = (off, dict(zip(these, those, strict=True)))
    return best[1]


def _second_look(match: WindingMatch, change: TierChange, problem: Problem) -> LawFit | None:
    masses, fit = problem.masses, match.fit
    coast = fit.law.acceleration[-1]
    before = masses.acceleration(change.from_tier.lever, coast)
    after = masses.acceleration(change.to_tier.lever, coast)
    return changepoint_near(problem, fit, change.expected_m, after - before)
