"""What the independent solver says of a run: `python docs/second_opinion.py CAR.toml`.

unspool.virtual.truth solves a run step by step and shares no formula with the model. A mistake of
one of them would show as a difference. Neither knows more of a real car than its file does.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from unspool.car import FLAT, Car, Track, load_car, load_track
from unspool.errors import UnspoolError
from unspool.virtual.truth import PERFECT, TrueRun, run
from unspool.virtual.truth.rates import coasting
from unspool.virtual.truth.true_car import STATES, Floor, TrueCar, V, X

MARK_M = 10.0
LONGEST_S = 600.0


def passes(told: TrueRun, mark_m: float = MARK_M) -> float | None:
    """When the car first passes the mark, in s from the launch; None if it never does."""
    if told.furthest_m < mark_m:
        return None
    there = int(np.argmax(told.distance_m >= mark_m)) + 1
    return float(np.interp(mark_m, told.distance_m[:there], told.time_s[:there]))


def weight_dropped(car: Car) -> float:
    """Where in m the car stops if its weight leaves it, at its speed, as the string lets go.

    On the level: the way on is the coast of the car without its weight. Raises KeyError for a car
    whose string never lets go.
    """
    release = run(car).event("release")
    empty, level = TrueCar(replace(car, weight_mass_kg=0.0), FLAT, PERFECT), Floor(0.0, 1)
    state = np.zeros(STATES)
    state[[X, V]] = release.distance_m, release.speed_m_s
    answer = solve_ivp(
        lambda t, y: coasting(empty, t, y, level),
        (0.0, LONGEST_S),
        state,
        method="DOP853",
        events=[_still],
        rtol=1e-10,
        atol=1e-12,
    )
    return float(answer.y_events[0][0][X])


def _still(_: float, y: np.ndarray) -> float:
    return float(y[V])


_still.terminal = True  # solve_ivp ends there


def lines(car: Car, track: Track) -> list[str]:
    told = run(car, track)
    if not told.started:
        return ["does not start"]
    said = [f"stops at {told.rest_m:.2f} m after {told.time_s[-1]:.2f} s"]
    if told.furthest_m > told.rest_m:
        said.append(f"furthest at {told.furthest_m:.2f} m, then rolls back")
    mark_s = passes(told)
    if mark_s is not None:
        said.append(f"passes {MARK_M:.0f} m after {mark_s:.2f} s")
    energy = told.energy
    return [*said, f"landing {energy.landing:.4f} J, tier changes {energy.catches:.4f} J"]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("car", type=Path)
    way = parser.add_mutually_exclusive_group()
    way.add_argument("--track", type=Path)
    way.add_argument("--drop-weight", action="store_true", help="on the level only")
    asked = parser.parse_args()
    try:
        car = load_car(asked.car)
        track = load_track(asked.track) if asked.track else FLAT
    except UnspoolError as error:
        parser.exit(error.exit_status, f"{error}\n")
    said = lines(car, track)
    if asked.drop_weight:
        said.append(dropped(car))
    print(*said, sep="\n")


def dropped(car: Car) -> str:
    try:
        return f"stops at {weight_dropped(car):.2f} m without the weight from the release on"
    except KeyError:
        return "keeps its weight: the string never lets go"


if __name__ == "__main__":
    main()
