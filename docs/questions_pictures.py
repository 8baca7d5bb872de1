"""The pictures of docs/questions.md, each from the car files that its question names."""

from __future__ import annotations

from dataclasses import replace
from math import pi
from pathlib import Path

import numpy as np
from chart import Chart

from unspool import calibrate
from unspool.car import FLAT, Car, load_car, load_track
from unspool.model import predict, split_times
from unspool.model.params import params_of
from unspool.render.figures import palette
from unspool.study.calibration import predict_with

FILES = Path(__file__).parent / "questions"
LOOKS = [(colour, dash) for colour, dash, _ in palette.GROUPS]
RUNS = (("run-1", "unknown"), ("run-2", "unknown"), ("run-3", "unknown-second"))


def car_of(name: str) -> Car:
    return load_car(FILES / f"{name}.toml")


def calibrated_next() -> tuple[float, float, float]:
    """The next run's distance and its 90 % interval in m, after the three runs on file."""
    runs, cars = zip(*RUNS, strict=True)
    edges = [FILES / f"{run}.csv" for run in runs]
    told = predict_with(calibrate(edges, [car_of(car) for car in cars]), car_of("unknown-next"))
    return told.distance_m, told.distance_low_m, told.distance_high_m


def pulls() -> Chart:
    chart = Chart(
        "What each tier pulls, against what holds the car",
        "Bars: the tiers of 24, 16, 8 and 4 mm pull less and less. Only the 4 mm bar stays below "
        "the line of what holds the car at rest, and still above that of what it rolls against.",
        (0, 1, 2, 3, 4, 5, 6),
        (0, 0.2, 0.4, 0.6, 0.8, 1.0, 1.2),
        y_title="pull at the tyre (N)",
        x_words=("24 mm", "16 mm", "8 mm", "4 mm"),
    )
    hold = params_of(car_of("tier-24"), FLAT)
    for i, diameter in enumerate((24, 16, 8, 4)):
        one = params_of(car_of(f"tier-{diameter}"), FLAT)
        chart.bar(i + 0.2, i + 0.8, 0.0, one.drive_n(one.tiers[0].lever), palette.GAINED)
    for level, word, dash, above in (
        (hold.holding_n(0.0), "holds it at rest", "", 0.03),
        (hold.rolling_n(0.0), "rolls against", "6,4", -0.075),
    ):
        chart.line((0, 6), (level, level), palette.FOUND, dash)
        chart.word(5.98, level + above, word, "end", palette.FOUND)
    return chart


def gearing() -> Chart:
    chart = Chart(
        "Speed over distance on three tiers",
        "Three runs. On 24 mm the car is fast early and slows all the way; on 8 mm it is slow and "
        "pulled for half the way. All three stop between 15 and 16 m.",
        (0, 4, 8, 12, 16),
        (0, 0.5, 1.0, 1.5, 2.0),
        "distance (m)",
        "speed (m/s)",
    )
    places = ((3.2, 1.84), (5.2, 1.66), (8.3, 1.44))
    for name, place, look in zip(("24", "16", "8"), places, LOOKS, strict=False):
        drawn = predict(car_of(f"tier-{name}")).curve
        chart.line(list(drawn.distance_m), list(drawn.speed_m_s), *look)
        chart.word(*place, f"{name} mm", colour=look[0])
    return chart


def weight() -> Chart:
    chart = Chart(
        "Distance by the mass of the weight",
        "A curve that rises ever less steeply, from 7 m at 200 g to 28 m at 2500 g, with a dot at "
        "Sandpiper's own 640 g.",
        (0, 500, 1000, 1500, 2000, 2500),
        (0, 10, 20, 30),
        "weight (g)",
        "stops at (m)",
    )
    car = car_of("sandpiper")
    grams = np.arange(200.0, 2501.0, 100.0)
    ways = [predict(replace(car, weight_mass_kg=1e-3 * g)).distance_m for g in grams]
    chart.line(list(grams), ways, palette.MEASURED)
    chart.dot(640, predict(car).distance_m, palette.FOUND)
    chart.word(720, predict(car).distance_m - 1.6, "Sandpiper, 640 g", colour=palette.FOUND)
    return chart


def slope() -> Chart:
    chart = Chart(
        "Where the car is on floors that rise from 8 m on",
        "Distance over time. On the level and on rises of 5 and 10 mm a metre the car comes to "
        "rest; on 20 and 30 mm a metre it turns back and rolls past where the rise begins.",
        (0, 5, 10, 15, 20, 25, 30),
        (0, 4, 8, 12, 16),
        "time (s)",
        "distance (m)",
    )
    places = ((18.3, 15.2), (15.1, 13.1), (13.3, 11.5), (21.5, 7.9), (22.8, 4.3))
    names = ("level", "rise 5", "rise 10", "rise 20", "rise 30")
    for name, place, look in zip(names, places, LOOKS, strict=False):
        track = FLAT if name == "level" else load_track(FILES / f"{name.replace(' ', '-')}.toml")
        drawn = predict(car_of("sandpiper"), track).curve
        chart.line(list(drawn.time_s), list(drawn.distance_m), *look)
        chart.word(*place, name, colour=look[0])
    return chart


def start_turns() -> Chart:
    chart = Chart(
        "Time to 10 m by the turns on the starting tier",
        "A curve that falls from 8.9 s without a turn on 24 mm to 8.3 s with one, and is all but "
        "flat from three on, with a dot at Sandpiper's own 3.5 turns.",
        (0, 1, 2, 3, 4, 5, 6, 7),
        (7.5, 8.0, 8.5, 9.0),
        "turns on 24 mm, the rest of the string on 16 mm",
        "10 m after (s)",
    )
    car = car_of("sandpiper")
    turns = [x for x in np.arange(0.05, 7.01, 0.15) if x]
    chart.line(turns, [_mark(_matched(car, x)) for x in turns], palette.MEASURED)
    chart.dot(3.5, _mark(car), palette.FOUND)
    chart.word(3.6, 8.14, "Sandpiper, 3.5 turns", colour=palette.FOUND)
    return chart


def _matched(car: Car, turns: float) -> Car:
    start, run = car.drum
    rest = car.drop_m - 2.0 * pi * start.radius_m * turns
    return car.wound((turns, rest / (2.0 * pi * run.radius_m)))


def _mark(car: Car) -> float:
    time = split_times(car, FLAT, [10.0])[0]
    assert time is not None
    return time


def sureness() -> Chart:
    chart = Chart(
        "How wide the prediction of one run is",
        "Three bars, each a 90 % interval. With handbook losses it reaches from 4 to 45 m, with "
        "guessed losses from 13 to 18 m, after three runs it is half a metre wide.",
        (0, 10, 20, 30, 40, 50, 60),
        (0, 1, 2, 3),
        "stops at (m)",
    )
    rows = (
        ("handbook losses", _interval("unknown-next")),
        ("losses guessed in the file", _interval("step-24-8")),
        ("after three runs", calibrated_next()),
    )
    for i, (word, (middle, low, high)) in enumerate(rows):
        base = 2.25 - i
        chart.bar(low, high, base, base + 0.3, palette.GAINED)
        chart.dot(middle, base + 0.15, palette.FOUND)
        chart.word(0.8, base + 0.42, word)
    return chart


def _interval(name: str) -> tuple[float, float, float]:
    told = predict(car_of(name))
    return told.distance_m, told.distance_low_m, told.distance_high_m


PICTURES = {
    "pulls": pulls,
    "gearing": gearing,
    "weight": weight,
    "slope": slope,
    "start-turns": start_turns,
    "sureness": sureness,
}
