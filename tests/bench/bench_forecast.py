"""How often a run under way stops within the band that Track shows, and how wide the band is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

import numpy as np

from bench.figures import Figure
from unspool.car import load_car, load_track
from unspool.model import predict
from unspool.model.forecast import forecast_stop
from unspool.reading.motion import LiveMotion
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER
from unspool.virtual.demo.wheel_script import DEMO_IMPERFECTIONS, real_car
from unspool.virtual.truth import run

RUNS, FIRST_SEED = 100, 4000
SHARES = (0.2, 0.5, 0.6, 0.7, 0.8, 0.9)  # of the run's length


def figures() -> Iterable[Figure]:
    within, widths = defaultdict(list), defaultdict(list)
    track = load_track(CORRIDOR)
    for seed in range(FIRST_SEED, FIRST_SEED + RUNS):
        car = load_car((SANDPIPER, DUNLIN)[seed % 2])
        truth = run(real_car(car, seed), track, DEMO_IMPERFECTIONS, seed=seed)
        train, stop_m, expected = truth.train, float(truth.distance_m[-1]), predict(car, track)
        points = LiveMotion(car).push(train.time_s, train.direction, train.number)
        for share in SHARES:
            count = int(np.searchsorted(points.distance_m, share * stop_m))
            seen = points.distance_m[:count], points.speed_m_s[:count]
            forecast = forecast_stop(car, track, expected, *seen)
            assert forecast is not None
            within[share].append(forecast.low_m <= stop_m <= forecast.high_m)
            widths[share].append(forecast.high_m - forecast.low_m)
    for share in SHARES:
        name = f"stop in the band at {100 * share:.0f} % of the way"
        yield Figure(name, 100.0 * float(np.mean(within[share])), "% of runs", "asked for", 90.0)
        yield Figure("width of that band, median", float(np.median(widths[share])), "m")
