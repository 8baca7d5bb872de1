"""Changepoints of a drum with tapered tiers: the winding says where to begin.

On a taper the pull changes all along, so that no search for kinks can separate its ends from its
middle. The law therefore begins as the winding has it, each tier a stretch with its own taper. A
taper that begins without a step hardly shows its place. So each place is also known from the turns
wound, to what a miscount and the drum's diameters leave open. A change that the edges place no
better than that was not seen.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, pi

from unspool.car.vehicle import Car
from unspool.model.outcome import EventKind, Prediction
from unspool.model.params import Params, TierPath
from unspool.reading.events.changepoints import with_missing
from unspool.reading.events.known import Known
from unspool.reading.events.law_fit import LawFit, fit_law
from unspool.reading.events.law_parameters import changepoint_m
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.match_winding import TierChange, WindingMatch
from unspool.reading.events.piecewise_law import PiecewiseLaw

PLACE_SD_TURNS = 0.3  # of a tier's begin by the turns wound: three usual miscounts
SEEN_SHARE = 0.9  # of that sd, within which edges must place a change: else they add nothing


@dataclass(frozen=True)
class Wound:
    """A car as it was wound, and the run that this makes likely."""

    car: Car
    machine: Params
    prediction: Prediction

    @property
    def tapered(self) -> bool:
        return any(tier.tapered for tier in self.car.drum)

    @property
    def place_sd_m(self) -> float:
        """How well the turns wound place a change."""
        return PLACE_SD_TURNS * 2.0 * pi * self.car.driven_wheel.radius_m


def fit_tapered(problem: Problem, first: PiecewiseLaw, wound: Wound, worth: float) -> LawFit | None:
    """The most likely law of a car with tapered tiers; None if nothing like its winding fits.

    worth: twice the log-likelihood that a changepoint beyond the winding's must gain.
    """
    law = wound_law(problem, first, wound.machine, wound.prediction)
    if law is None:
        return None
    sd = wound.place_sd_m
    places = {changepoint_m(i): Known(m, sd) for i, m in enumerate(law.changepoint_m[:-1])}
    fit = fit_law(replace(problem, known={**problem.known, **places}), law)
    if fit is None:
        return None
    more = with_missing(problem, fit, worth)
    return fit if more is fit else fit_law(problem, more.law, more.noise) or more


def wound_law(
    problem: Problem, first: PiecewiseLaw, machine: Params, prediction: Prediction
) -> PiecewiseLaw | None:
    """The law that the winding makes likely; `first` gives the mean pull and the coast."""
    end = _drive_end_m(machine, prediction)
    tiers = [tier for tier in machine.tiers if first.begin_m < tier.end_m and tier.begin_m < end]
    if not tiers:
        return None
    coast, masses = first.acceleration[-1], problem.masses
    pulls = [masses.acceleration(tier.lever, coast) for tier in tiers]
    ends = [min(tier.end_m, end) for tier in tiers]
    expected = sum(
        (pull - coast) * (to - tier.begin_m) * 0.5 * (1.0 + _taper(tier, to))
        for tier, pull, to in zip(tiers, pulls, ends, strict=True)
    )
    seen = (first.acceleration[0] - coast) * (ends[-1] - tiers[0].begin_m)
    share = max(seen / expected, 0.1) if expected > 0.0 else 1.0
    return replace(
        first,
        changepoint_m=tuple(ends),
        acceleration=(*(coast + share * (pull - coast) for pull in pulls), coast),
        taper=(*(_taper(tier, to) for tier, to in zip(tiers, ends, strict=True)), 1.0),
    )


def _taper(tier: TierPath, to_m: float) -> float:
    return tier.lever_at(to_m) / tier.lever


def _drive_end_m(machine: Params, prediction: Prediction) -> float:
    ends = (EventKind.LANDING, EventKind.RELEASE)
    found = [event.distance_m for event in prediction.events if event.kind in ends]
    return min([*found, machine.tiers[-1].end_m], default=inf)


def without_unseen(match: WindingMatch, wound: Wound) -> WindingMatch:
    """The match without the tier changes that only the turns wound place."""
    if not wound.tapered:
        return match
    most = SEEN_SHARE * wound.place_sd_m

    def seen(change: TierChange) -> bool:
        i = change.changepoint
        return i is None or match.fit.values[changepoint_m(i)].sd < most

    changes = (one if seen(one) else replace(one, changepoint=None) for one in match.changes)
    return replace(match, changes=tuple(changes))
