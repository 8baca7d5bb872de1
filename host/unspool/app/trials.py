"""Trials: the run of a car with other sizes, answered while a hand moves a slider.

The car with its losses is kept for as long as its page is likely to be open, so that a step costs
one prediction.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from math import isfinite
from threading import Lock
from typing import Any

import numpy as np
from fastapi import FastAPI, Request, Response
from fastapi.responses import JSONResponse

from unspool.app.attempt_names import fault_words
from unspool.app.query import Query, parse_query
from unspool.app.studies import Studies
from unspool.app.workers import in_worker
from unspool.car import Car, Track
from unspool.errors import InputError, UnspoolError
from unspool.language import _, later
from unspool.model.outcome import Prediction
from unspool.render.words.reading_units import reading_of
from unspool.render.words.trial import against_words, trial_words
from unspool.study.calibration import Calibration
from unspool.study.plan.trial import Trial, run_of, tried

PATH = "/next-winding/try"
KEPT = 24
POINTS = 160  # of the curve; as many as a phone shows
TIER, TURNS = "tier_mm:", "turns:"
BUSY = later("the losses are still being calibrated; move the slider again in a moment")


@dataclass(frozen=True)
class Base:
    car: Car
    track: Track
    calibration: Calibration | None


class Trials:
    """Safe to use from several threads."""

    def __init__(self, studies: Studies) -> None:
        self._studies = studies
        self._bases: OrderedDict[tuple[str, ...], Base] = OrderedDict()
        self._lock = Lock()

    def run(self, query: Query) -> Prediction:
        """The run that the query tries. Raises UnspoolError if there is none."""
        base = self._base(query)
        return run_of(tried(base.car, _trial(query, base.car)), base.track, base.calibration)

    def _base(self, query: Query) -> Base:
        """`page`: when the page was made, so that a later correction brings another base."""
        key = (*query.ids("run"), query.text("page"), *query.ids("learn"))
        with self._lock:
            if key in self._bases:
                self._bases.move_to_end(key)
                return self._bases[key]
        made = self._made(query)
        with self._lock:
            self._bases[key] = made
            while len(self._bases) > KEPT:
                self._bases.popitem(last=False)
        return made

    def _made(self, query: Query) -> Base:
        runs, learn = query.ids("run"), query.ids("learn")
        if len(runs) != 1:
            raise InputError(_("a trial is of the car of one attempt"))
        run = self._studies.runs.measured(runs[0])
        if not learn:
            return Base(run.car, run.track, None)
        losses = self._studies.calibrated(learn, _(BUSY))
        return Base(run.car, run.track, losses)


def serve_trials(server: FastAPI, studies: Studies) -> None:
    """Adds the address that the sliders ask. It changes nothing, so guests may ask it too."""
    trials = Trials(studies)

    @server.get(PATH)
    async def trial(request: Request) -> Response:
        query = parse_query(request.url.query)
        try:
            run = await in_worker(lambda: trials.run(query))
        except UnspoolError as error:
            why = fault_words(_("Not tried: {why}", why=error), studies.runs.store)
            return JSONResponse({"said": why, "against": []}, 409)
        return JSONResponse(_answer(run, query.number("planned_m")))


def _answer(run: Prediction, planned_m: float | None) -> dict[str, Any]:
    curve = run.curve
    some = np.linspace(0, len(curve.distance_m) - 1, POINTS).round().astype(int)
    ends = (run.distance_low_m, run.distance_high_m)
    far, fast = reading_of("m").factor, reading_of("m/s").factor  # as the picture is drawn
    return {
        "said": trial_words(run, planned_m),
        "against": against_words(run),
        "x": (far * curve.distance_m[some]).round(4).tolist(),
        "y": (fast * curve.speed_m_s[some]).round(4).tolist(),
        "stop": [round(far * end, 3) for end in ends] if all(map(isfinite, ends)) else [],
    }


def _trial(query: Query, car: Car) -> Trial:
    """Diameters of tiers are as callipers give them, without the string."""
    weight, wheel = query.number("weight_g"), query.number("wheel_mm")
    thick = car.string_diameter_m
    tiers = _by_tier(query, TIER)
    return Trial(
        None if weight is None else 1e-3 * weight,
        None if wheel is None else 0.5e-3 * wheel,
        {name: 0.5e-3 * mm + 0.5 * thick for name, mm in tiers.items()},
        _by_tier(query, TURNS),
    )


def _by_tier(query: Query, prefix: str) -> dict[str, float]:
    names = [key for key, _ in query.pairs if key.startswith(prefix)]
    found = {key.removeprefix(prefix): query.number(key) for key in names}
    return {name: value for name, value in found.items() if value is not None}
