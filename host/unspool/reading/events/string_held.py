"""A string that does not let go: the car loses speed at once where the drive ends.

Fast at the peg, the string winds up the other way round and has to turn the falling weight about:
v drops by 2 mu rho^2 v / (Mc + mu rho^2), all within a millimetre or two, before the car lifts the
weight for as long as it holds. The drop shows long after, however short the hold: every edge of the
coast tells of it. So the law is fitted with a drop at that kink, and asked whether it is worth it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from unspool.reading.events.changepoints import merged
from unspool.reading.events.law import Law
from unspool.reading.events.likelihood import BRAKE, Fit, Problem, fit_law, log_likelihood

WORTH_BRAKE = 12.0  # twice the log-likelihood
WORTH_KINK = 25.0  # likewise, for one kink more
SCORE_SHARE = 0.5
LEAST_SHARE = 0.003  # of the speed; the bluntest drums and lightest weights give twice that
SURE_SDS = 5.0
SURE_SDS_BRAKING = 3.0  # where a stretch that brakes on shares the blame
FIRST_GUESS = 0.01  # of the speed
NEAR_SHARE = 0.3  # of the way: a brake any longer is no hold at the peg


def with_brake(problem: Problem, fit: Fit, end: int, expected_m: float | None) -> Fit | None:
    """The fit with a drop of the speed at kink number `end`; None where there is none.

    expected_m: where the string should let go, None where that is not known.
    """
    best = _best(problem, _tries(problem, fit, end, expected_m))
    if best is not None and _brakes_on(best, end):
        alone = _best(problem, [merged(best.law, end + 1)])
        best = max((one for one in (best, alone) if one is not None), key=_paid)
    if best is None or _paid(best) < _paid(fit) + WORTH_BRAKE:
        return None
    return best if _clear(best, end) else None


def _best(problem: Problem, laws: list[Law]) -> Fit | None:
    fits = [fit for law in laws if (fit := fit_law(problem, law)) is not None]
    return max(fits, key=_paid, default=None)


def _brakes_on(fit: Fit, end: int) -> bool:
    """Whether a short stretch follows that brakes harder than the coast, as one does for a drop."""
    kinks, a = fit.law.kink_m, fit.law.acceleration
    near = end + 1 < len(kinks) and kinks[end + 1] - kinks[end] < NEAR_SHARE * kinks[end]
    return near and a[end + 1] < a[-1]


def _tries(problem: Problem, fit: Fit, end: int, expected_m: float | None) -> list[Law]:
    """Laws with a drop to start from: without one, a kink too early or two kinks mimic it."""
    law, speed, place = fit.law, fit.trace.kink_speed, fit.law.kink_m[end]
    places = [place]
    if expected_m is not None and abs(expected_m - place) < NEAR_SHARE * place:
        places.append(expected_m)
    if not _brakes_on(fit, end):
        worth = [at for at in places if _score(problem, fit, at) > SCORE_SHARE * WORTH_BRAKE]
        return [_braked(law, end, at, FIRST_GUESS * speed[end]) for at in worth]
    took = fit.trace.kink_s[end + 1] - fit.trace.kink_s[end]
    lost = (law.acceleration[-1] - law.acceleration[end + 1]) * took
    alone, middle = merged(law, end + 1), 0.5 * (place + law.kink_m[end + 1])
    starts = [(law, place, 0.5 * lost), (law, places[-1], 0.5 * lost)]
    starts += [(alone, places[-1], lost), (alone, middle, lost)]
    return [_braked(one, end, at, by) for one, at, by in starts]


def _braked(law: Law, end: int, place_m: float, lost: float) -> Law:
    kinks = (*law.kink_m[:end], place_m, *law.kink_m[end + 1 :])
    return replace(law, kink_m=kinks, brake_kink=end, brake_speed=lost)


def _paid(fit: Fit) -> float:
    return 2.0 * log_likelihood(fit) - WORTH_KINK * len(fit.law.kink_m)


def _clear(fit: Fit, end: int) -> bool:
    lost, sd = fit.law.brake_speed, float(np.sqrt(max(fit.covariance[BRAKE, BRAKE], 0.0)))
    sds = SURE_SDS_BRAKING if _brakes_on(fit, end) else SURE_SDS
    return lost > sds * sd and lost > LEAST_SHARE * fit.trace.kink_speed[end]


def _score(problem: Problem, fit: Fit, place_m: float) -> float:
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
