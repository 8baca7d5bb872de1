"""How many changepoints a run has, and where, from its edges alone.

A linear stand-in (candidates.py) proposes the best places for each number of changepoints, and the
law itself is fitted from there. Its likelihood decides: one more changepoint must gain WORTH. At
the end a score test (Rao 1948) over the whole run asks once more whether a changepoint is missing.
Then each changepoint has to show that the run cannot be explained without it.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from unspool.car.gravity import STANDARD_GRAVITY
from unspool.reading.events.candidates import LEAST_STRETCH_M, Candidate
from unspool.reading.events.law_fit import ROUGHLY, LawFit, fit_law, log_likelihood
from unspool.reading.events.law_parameters import acceleration, changepoint_m
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw

Array = NDArray[np.float64]

# Twice the gain in log-likelihood that a changepoint must bring. It has two numbers and is the best
# of some hundred places; chi-squared with 2 degrees passes 25 once in 270,000.
WORTH = 25.0
CLEAR_SDS = 10.0  # a change this sure needs no second fit to show that it is needed
# If the winding says that there is one: no choice among places, so once in 400 will do.
WORTH_EXPECTED = 12.0
# How far off that place it may be found: its own error, and a winding good to a slot or two.
NEAR_SDS, NEAR_SLOTS = 3.0, 2.0
SCORE_SHARE = 0.5  # of WORTH: the score predicts the gain to first order only
MOST_CHANGEPOINTS = 8  # one more than the stand-in proposes
_LEAST_SD = 1e-15  # m/s2: keeps a perfectly known acceleration from dividing by 0
# Looked at for the next changepoint: dense while the car is driven, sparse on the coast.
DRIVEN_PLACES, COAST_PLACES = 106, 53
LONGEST_COAST_S = 3600.0  # of a law that never stops
# The best two are fitted. Places within a tenth of the way are one changepoint seen twice.
FITTED, APART_SHARE = 2, 0.1
NO_ENERGY = 1e-6  # of the best column's: what is left of a column that the law mimics


def find_changepoints(
    problem: Problem, first: PiecewiseLaw, proposals: list[Candidate], worth: float = WORTH
) -> LawFit | None:
    """The fit with as many changepoints as the edges ask for.

    first: a guess with one changepoint; proposals: as candidates.candidates gives them. None if
    nothing fits. A run from rest has one changepoint at least: its drive's end.
    """
    fit = _proposed(problem, proposals, worth) or fit_law(problem, first)
    if fit is None:
        return None
    fit = _without_needless(problem, with_missing(problem, fit, worth), worth)
    return fit_law(problem, fit.law, fit.noise) or fit


def with_missing(problem: Problem, fit: LawFit, worth: float = WORTH) -> LawFit:
    """The fit with as many more changepoints as are worth it."""
    while len(fit.law.changepoint_m) < MOST_CHANGEPOINTS:
        better = _with_one_more(problem, fit, worth)
        if better is None or _gain(better, fit) < worth:
            break
        fit = better
    return fit


def _proposed(problem: Problem, proposals: list[Candidate], worth: float) -> LawFit | None:
    """The proposal that gains most, or one with fewer changepoints that the law fits as well."""
    paid = [one.twice_log_likelihood - worth * len(one.law.changepoint_m) for one in proposals]
    best: LawFit | None = None
    for i in reversed(range(int(np.argmax(paid)) + 1 if paid else 0)):
        fit = fit_law(problem, proposals[i].law, enough=ROUGHLY)
        if fit is None:
            continue
        if best is not None and _gain(best, fit) >= worth:
            break
        best = fit
    return best


def changepoint_near(problem: Problem, fit: LawFit, place_m: float, change: float) -> LawFit | None:
    """The fit with one more changepoint at an expected place; None if it is not there."""
    law = split(fit.law, place_m, change)
    tried = fit_law(problem, law) if law else None
    if tried is None or _gain(tried, fit) < WORTH_EXPECTED:
        return None
    places = np.array(tried.law.changepoint_m)
    i = int(np.argmin(np.abs(places - place_m)))
    sd = tried.values[changepoint_m(i)].sd
    near = NEAR_SDS * sd + NEAR_SLOTS * problem.edges.pitch_m
    return tried if abs(places[i] - place_m) < near else None


def _gain(more: LawFit, less: LawFit) -> float:
    return 2.0 * (log_likelihood(more) - log_likelihood(less))


def _with_one_more(problem: Problem, fit: LawFit, worth: float) -> LawFit | None:
    """The best of the few most promising places, each fitted in full."""
    best: LawFit | None = None
    for place_m, change in promising(problem, fit, SCORE_SHARE * worth):
        law = split(fit.law, place_m, change)
        tried = fit_law(problem, law, enough=ROUGHLY) if law else None
        if tried is not None and (best is None or log_likelihood(tried) > log_likelihood(best)):
            best = tried
    return best


def _without_needless(problem: Problem, fit: LawFit, worth: float) -> LawFit:
    """Take changepoints out again, the least needed first, while what is left explains as much."""
    while len(fit.law.changepoint_m) > int(problem.from_rest):
        tries = [
            tried
            for i in np.flatnonzero(changepoint_sds(fit) < CLEAR_SDS)
            if (tried := fit_law(problem, merged(fit.law, int(i)), enough=ROUGHLY)) is not None
        ]
        if not tries:
            break
        best = max(tries, key=log_likelihood)
        if _gain(fit, best) >= worth:
            break
        fit = best
    return fit


def changepoint_sds(fit: LawFit) -> Array:
    """(k,) change of acceleration at each changepoint, in sds."""
    changes = [
        fit.values.difference(acceleration(i + 1), acceleration(i))
        for i in range(len(fit.law.changepoint_m))
    ]
    return np.array([abs(change.value) / max(change.sd, _LEAST_SD) for change in changes])


def promising(
    problem: Problem, fit: LawFit, least: float, count: int = FITTED
) -> list[tuple[float, float]]:
    """Places (m) for one more changepoint, the best first, each with its change of acceleration.

    least: the score that a place must have; twice the gain in log-likelihood, to first order.
    """
    places = _places(fit)
    at_m, speed = fit.trace.at(places)
    columns = _changepoint_columns(problem, fit, places, speed)
    weighted = fit.columns * fit.weight[:, None]
    mimicry = np.linalg.pinv(weighted.T @ fit.columns, hermitian=True)
    free = problem.edges.projection(fit.weight).residuals(columns)
    free -= fit.columns @ (mimicry @ (weighted.T @ free))
    energy = np.einsum("n,nk,nk->k", fit.weight, free, free)
    pull = (fit.weight * fit.residual_m) @ free
    change = pull / np.maximum(energy, 1e-30)
    score = np.where(energy > NO_ENERGY * energy.max(), pull * change, 0.0)
    chosen: list[tuple[float, float]] = []
    for i in np.argsort(-score):
        apart = all(abs(at_m[i] - place) > APART_SHARE * fit.trace.stop_m for place, _ in chosen)
        if apart and score[i] > least:
            chosen.append((float(at_m[i]), float(change[i])))
        if len(chosen) == count:
            break
    return chosen


def _places(fit: LawFit) -> Array:
    """Instants to look at: close together while the car is driven, further apart on the coast."""
    start, stop = fit.law.launch_s, fit.trace.stop_s
    last = fit.trace.changepoint_s[-1] if fit.trace.changepoint_s else start
    driven = np.linspace(start, last, DRIVEN_PLACES + 2)[1:-1]
    end = min(stop, fit.trace.pieces[-1].time_s + LONGEST_COAST_S)
    return np.concatenate([driven, np.linspace(last, end, COAST_PLACES + 2)[1:-1]])


def _changepoint_columns(problem: Problem, fit: LawFit, places: Array, speed: Array) -> Array:
    """What a unit change of acceleration at each place does to the distances, (n, k).

    A change to a smaller pull comes with the catch's jump, dv = -da v rho / g (to first order in
    the law's formula). Here rho is of the pull that is there now.
    """
    coast = fit.law.acceleration[-1]
    stretch = np.searchsorted(np.array(fit.trace.changepoint_s), places)
    levers = np.array([problem.masses.lever(a, coast) for a in fit.law.acceleration])
    jump = -speed * levers[stretch] / STANDARD_GRAVITY
    since = np.maximum(problem.edges.time_s[:, None] - places[None, :], 0.0)
    return np.asarray(0.5 * since**2 + jump * since)


def split(law: PiecewiseLaw, place_m: float, change: float) -> PiecewiseLaw | None:
    """The law with one more changepoint; the pull before and after it share the change."""
    i = int(np.searchsorted(law.changepoint_m, place_m))
    places = (*law.changepoint_m[:i], place_m, *law.changepoint_m[i:])
    if min(np.diff([law.begin_m, *places])) < LEAST_STRETCH_M:
        return None
    a = law.acceleration
    halves = (a[i] - 0.5 * change, a[i] + 0.5 * change)
    return replace(
        law,
        changepoint_m=places,
        acceleration=(*a[:i], *halves, *a[i + 1 :]),
        taper=_split_taper(law, i, place_m),
    )


def _split_taper(law: PiecewiseLaw, stretch: int, place_m: float) -> tuple[float, ...]:
    if not law.taper:
        return ()
    ends = (law.begin_m, *law.changepoint_m)
    whole = law.taper[stretch]
    if whole == 1.0:
        return (*law.taper[:stretch], 1.0, *law.taper[stretch:])
    part = (place_m - ends[stretch]) / (ends[stretch + 1] - ends[stretch])
    first = 1.0 + (whole - 1.0) * part
    return (*law.taper[:stretch], first, whole / first, *law.taper[stretch + 1 :])


def merged(law: PiecewiseLaw, changepoint: int) -> PiecewiseLaw:
    """The law without one changepoint; the longer of the stretches beside it gives the pull."""
    ends = [law.begin_m, *law.changepoint_m, 1.5 * law.changepoint_m[-1]]
    lengths = [b - a for a, b in pairwise(ends)]
    keep = changepoint if lengths[changepoint] >= lengths[changepoint + 1] else changepoint + 1
    a, taper = law.acceleration, law.taper
    kept = (*taper[:changepoint], taper[keep], *taper[changepoint + 2 :]) if taper else ()
    return replace(
        law,
        changepoint_m=(*law.changepoint_m[:changepoint], *law.changepoint_m[changepoint + 1 :]),
        acceleration=(*a[:changepoint], a[keep], *a[changepoint + 2 :]),
        taper=kept,
    )
