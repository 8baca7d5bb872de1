"""How many kinks a run has, and where, from its edges alone.

A linear stand-in (scan.py) proposes the best places for each number of kinks; the law itself is
then fitted from there. What decides is the law's likelihood: a kink more must gain WORTH. At the
end a score test (Rao 1948) over the whole run asks once more whether a kink is missing, and each
kink has to show that the run cannot be explained without it."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.reading.events.candidates import Candidate
from unspool.reading.events.law import Law
from unspool.reading.events.likelihood import Fit, Problem, fit_law, log_likelihood

Array = NDArray[np.float64]

# Twice the gain in log-likelihood that a kink must bring. A kink has two numbers and is the best of
# some hundred places; chi-squared with 2 degrees passes 25 once in 270,000.
WORTH = 25.0
CLEAR_SDS = 10.0  # a change this sure needs no second fit to show that it is needed
WORTH_EXPECTED = 12.0  # where the winding says that there is one
NEAR_SDS, NEAR_SLOTS = 3.0, 2.0  # how far off that place it may be found
SCORE_SHARE = 0.5  # of WORTH: the score is only a forecast of the gain
MOST_KINKS = 8
PLACES = 160  # looked at in each search for the next kink


def find_kinks(
    problem: Problem, first: Law, proposals: list[Candidate], worth: float = WORTH
) -> Fit | None:
    """The fit with as many kinks as the edges ask for.

    first: a guess with one kink; proposals: for each number of kinks, as scan.candidates gives
    them. None when nothing fits. A run from rest has one kink at least: its drive's end.
    """
    fit = _proposed(problem, proposals, worth) or fit_law(problem, first)
    while fit is not None and len(fit.law.kink_m) < MOST_KINKS:
        better = _with_one_more(problem, fit, worth)
        if better is None or _gain(better, fit) < worth:
            break
        fit = better
    return None if fit is None else _without_needless(problem, fit, worth)


def _proposed(problem: Problem, proposals: list[Candidate], worth: float) -> Fit | None:
    """The proposal that pays best for its kinks, or one with fewer that the law fits as well."""
    paid = [one.twice_log_likelihood - worth * len(one.law.kink_m) for one in proposals]
    best: Fit | None = None
    for i in reversed(range(int(np.argmax(paid)) + 1 if paid else 0)):
        fit = fit_law(problem, proposals[i].law)
        if fit is None:
            continue
        if best is not None and _gain(best, fit) >= worth:
            break
        best = fit
    return best


def kink_near(problem: Problem, fit: Fit, place_m: float, change: float) -> Fit | None:
    """The fit with one more kink, where there is reason to expect one; None if it is not there."""
    law = split(fit.law, place_m, change)
    tried = fit_law(problem, law) if law else None
    if tried is None or _gain(tried, fit) < WORTH_EXPECTED:
        return None
    k = len(tried.law.kink_m)
    places, sds = np.array(tried.law.kink_m), tried.output_sd[1 : 1 + k]
    i = int(np.argmin(np.abs(places - place_m)))
    near = NEAR_SDS * sds[i] + NEAR_SLOTS * problem.edges.pitch_m
    return tried if abs(places[i] - place_m) < near else None


def _gain(more: Fit, less: Fit) -> float:
    return 2.0 * (log_likelihood(more) - log_likelihood(less))


def _with_one_more(problem: Problem, fit: Fit, worth: float) -> Fit | None:
    """The best of the few most promising places, each fitted in full."""
    best: Fit | None = None
    for place_m, change in promising(problem, fit, SCORE_SHARE * worth):
        law = split(fit.law, place_m, change)
        tried = fit_law(problem, law) if law else None
        if tried is not None and (best is None or log_likelihood(tried) > log_likelihood(best)):
            best = tried
    return best


def _without_needless(problem: Problem, fit: Fit, worth: float) -> Fit:
    """Take kinks out again, the least needed first, while what is left explains as much."""
    while len(fit.law.kink_m) > int(problem.from_rest):
        tries = [
            tried
            for i in np.flatnonzero(kink_sds(fit) < CLEAR_SDS)
            if (tried := fit_law(problem, merged(fit.law, int(i)))) is not None
        ]
        if not tries:
            break
        best = max(tries, key=log_likelihood)
        if _gain(fit, best) >= worth:
            break
        fit = best
    return fit


def kink_sds(fit: Fit) -> Array:
    """(k,) change of acceleration at each kink, in sds: large where it cannot be done without."""
    k = len(fit.law.kink_m)
    a = np.array(fit.law.acceleration)
    cov = fit.covariance[-(k + 1) :, -(k + 1) :]
    variance = np.diag(cov)[1:] + np.diag(cov)[:-1] - 2.0 * np.diag(cov, 1)
    return np.asarray(np.abs(np.diff(a)) / np.sqrt(np.maximum(variance, 1e-30)))


def promising(
    problem: Problem, fit: Fit, least: float, count: int = 2
) -> list[tuple[float, float]]:
    """Places (m) for one more kink, most promising first, with the change of acceleration there.

    least: the score that a place must have; twice the gain in log-likelihood, to first order.
    """
    time_s = problem.edges.time_s
    places = _places(fit)
    at_m, speed = fit.trace.at(places)
    columns = _kink_columns(problem, fit, time_s, places, speed)
    weighted = fit.columns * fit.weight[:, None]
    mimicry = np.linalg.pinv(weighted.T @ fit.columns, hermitian=True)
    free = problem.edges.projection(fit.weight).residuals(columns)
    free -= fit.columns @ (mimicry @ (weighted.T @ free))
    energy = np.einsum("n,nk,nk->k", fit.weight, free, free)
    pull = (fit.weight * fit.residual_m) @ free
    change = pull / np.maximum(energy, 1e-30)
    score = np.where(energy > 1e-6 * energy.max(), pull * change, 0.0)
    chosen: list[tuple[float, float]] = []
    for i in np.argsort(-score)[: PLACES // 2]:
        apart = all(abs(at_m[i] - place) > 0.1 * fit.trace.stop_m for place, _ in chosen)
        if apart and score[i] > least:
            chosen.append((float(at_m[i]), float(change[i])))
        if len(chosen) == count:
            break
    return chosen


def _places(fit: Fit) -> Array:
    """Instants to look at: close together while the car is driven, further apart on the coast."""
    start, stop = fit.law.launch_s, fit.trace.stop_s
    last_kink = fit.trace.kink_s[-1] if fit.trace.kink_s else start
    driven = np.linspace(start, last_kink, PLACES * 2 // 3 + 2)[1:-1]
    end = min(stop, fit.trace.pieces[-1].time_s + 3600.0)
    return np.concatenate([driven, np.linspace(last_kink, end, PLACES // 3 + 2)[1:-1]])


def _kink_columns(problem: Problem, fit: Fit, time_s: Array, places: Array, speed: Array) -> Array:
    """What a unit change of acceleration at each place does to the distances, (n, k).

    A change to a smaller pull comes with the catch's jump, dv = -da v rho / g (to first order in
    the law's formula), rho of the pull that is there now.
    """
    coast = fit.law.acceleration[-1]
    stretch = np.searchsorted(np.array(fit.trace.kink_s), places)
    levers = np.array([problem.masses.lever(a, coast) for a in fit.law.acceleration])
    jump = -speed * levers[stretch] / STANDARD_GRAVITY
    since = np.maximum(time_s[:, None] - places[None, :], 0.0)
    return np.asarray(0.5 * since**2 + jump * since)


def split(law: Law, place_m: float, change: float) -> Law | None:
    """The law with one more kink; the pull before and after it share the change."""
    i = int(np.searchsorted(law.kink_m, place_m))
    kinks = [*law.kink_m[:i], place_m, *law.kink_m[i:]]
    if min(np.diff([law.begin_m, *kinks])) < 1e-3:
        return None
    a = law.acceleration
    halves = (a[i] - 0.5 * change, a[i] + 0.5 * change)
    return replace(law, kink_m=tuple(kinks), acceleration=(*a[:i], *halves, *a[i + 1 :]))


def merged(law: Law, kink: int) -> Law:
    """The law without one kink; the longer of the stretches beside it gives the pull."""
    ends = [law.begin_m, *law.kink_m, 1.5 * law.kink_m[-1]]
    lengths = [b - a for a, b in pairwise(ends)]
    keep = kink if lengths[kink] >= lengths[kink + 1] else kink + 1
    a = law.acceleration
    return replace(
        law,
        kink_m=(*law.kink_m[:kink], *law.kink_m[kink + 1 :]),
        acceleration=(*a[:kink], a[keep], *a[kink + 2 :]),
    )
