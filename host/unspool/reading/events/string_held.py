"""A drop of the speed, at once, where the drive ends: of a string that does not let go, or a slip.

Fast at the peg, the string winds up the other way round and has to turn the falling weight about.
Speed v drops by 2 mu rho^2 v / (Mc + mu rho^2), all within a millimetre or two. Then the car lifts
the weight for as long as it holds. The drop shows long after, however short the hold: every edge of
the coast is evidence of it. So the law is fitted with a drop at that changepoint, and the drop
stays if the likelihood gains enough by it. A driven wheel that slipped drops in the same way to its
car's speed (see findings/slip.py).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.reading.events.changepoints import WORTH, merged
from unspool.reading.events.law_fit import LawFit, fit_law, log_likelihood
from unspool.reading.events.law_parameters import BRAKE
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.piecewise_law import PiecewiseLaw

# Twice the log-likelihood: as for a changepoint that is expected, since its place is known.
WORTH_BRAKE = 12.0
SCORE_SHARE = 0.5  # of WORTH_BRAKE: the score predicts the gain to first order only
LEAST_SHARE = 0.003  # of the speed; the bluntest drums and lightest weights give twice that
SURE_SDS = 5.0  # a warning that is wrong sends a builder to a sound peg
SURE_SDS_BRAKING = 3.0  # where a stretch that brakes on shares the blame
FIRST_GUESS = 0.01  # of the speed
NEAR_SHARE = 0.3  # of the way: a brake any longer is no hold at the peg


def with_brake(problem: Problem, fit: LawFit, end: int, expected_m: float | None) -> LawFit | None:
    """The fit with a drop of the speed at changepoint number `end`; None if there is none.

    expected_m: where the string should let go, None if that is not known.
    """
    best = _best(problem, _tries(problem, fit, end, expected_m))
    if best is None:
        return None
    best = _plainer(problem, best, end)
    if _paid(best) < _paid(fit) + WORTH_BRAKE:
        return None
    return best if _clear(best) else None


def _plainer(problem: Problem, braked: LawFit, end: int) -> LawFit:
    """The fit, or one without a changepoint just beside the drop that only mimicked it."""
    if _brakes_on(braked, end):
        alone = _best(problem, [merged(braked.law, end + 1)])
        braked = max((one for one in (braked, alone) if one is not None), key=_paid)
    places = braked.law.changepoint_m
    if end and places[end] - places[end - 1] < NEAR_SHARE * places[end]:
        law = replace(merged(braked.law, end - 1), brake_changepoint=end - 1)
        before = _best(problem, [law])
        braked = max((one for one in (braked, before) if one is not None), key=_paid)
    return braked


def _best(problem: Problem, laws: list[PiecewiseLaw]) -> LawFit | None:
    fits = [fit for law in laws if (fit := fit_law(problem, law)) is not None]
    return max(fits, key=_paid, default=None)


def _brakes_on(fit: LawFit, end: int) -> bool:
    """Whether a short stretch follows that brakes harder than the coast, as one does for a drop."""
    places, a = fit.law.changepoint_m, fit.law.acceleration
    if end + 1 >= len(places):
        return False
    near = places[end + 1] - places[end] < NEAR_SHARE * places[end]
    return near and a[end + 1] < a[-1]


def _tries(problem: Problem, fit: LawFit, end: int, expected_m: float | None) -> list[PiecewiseLaw]:
    """Laws with a drop to start from. Without one, other changepoints mimic it: one, or two."""
    law, speed, place = fit.law, fit.trace.changepoint_speed, fit.law.changepoint_m[end]
    places = [place]
    if expected_m is not None and abs(expected_m - place) < NEAR_SHARE * place:
        places.append(expected_m)
    if not _brakes_on(fit, end):
        worth = [at for at in places if _score(problem, fit, at) > SCORE_SHARE * WORTH_BRAKE]
        return [_braked(law, end, at, FIRST_GUESS * speed[end]) for at in worth]
    took = fit.trace.changepoint_s[end + 1] - fit.trace.changepoint_s[end]
    lost = (law.acceleration[-1] - law.acceleration[end + 1]) * took
    alone, middle = merged(law, end + 1), 0.5 * (place + law.changepoint_m[end + 1])
    starts = [(law, place, 0.5 * lost), (law, places[-1], 0.5 * lost)]
    starts += [(alone, places[-1], lost), (alone, middle, lost)]
    return [_braked(one, end, at, by) for one, at, by in starts]


def _braked(law: PiecewiseLaw, end: int, place_m: float, lost: float) -> PiecewiseLaw:
    changepoints = (*law.changepoint_m[:end], place_m, *law.changepoint_m[end + 1 :])
    return replace(law, changepoint_m=changepoints, brake_changepoint=end, brake_speed=lost)


def _paid(fit: LawFit) -> float:
    return 2.0 * log_likelihood(fit) - WORTH * len(fit.law.changepoint_m)


def _clear(fit: LawFit) -> bool:
    lost, end = fit.values[BRAKE], fit.law.brake_changepoint
    if end is None:
        return False
    sds = SURE_SDS_BRAKING if _brakes_on(fit, end) else SURE_SDS
    least = LEAST_SHARE * fit.trace.changepoint_speed[end]
    return lost.value > sds * lost.sd and lost.value > least


def _score(problem: Problem, fit: LawFit, place_m: float) -> float:
    """What a drop there would gain in twice the log-likelihood, to first order (Rao 1948)."""
    edges, weight = fit.columns, fit.weight
    passed = np.interp(place_m, fit.trace.at(problem.edges.time_s)[0], problem.edges.time_s)
    since = np.maximum(problem.edges.time_s - passed, 0.0)
    since = problem.edges.projection(weight).residual(since)
    weighted = edges * weight[:, None]
    mimicry = np.linalg.pinv(weighted.T @ edges, hermitian=True) @ (weighted.T @ since)
    free = since - edges @ mimicry
    energy = float(weight @ (free * free))
    pull = float((weight * fit.residual_m) @ free)
    return pull * pull / energy if energy > 0.0 and pull < 0.0 else 0.0
