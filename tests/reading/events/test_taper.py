"""A taper against scipy's integrator and as the limit of many steps; the law's derivatives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from unspool.car import FLAT, Track
from unspool.reading.edges.wheel_edges import WheelEdges
from unspool.reading.events.law_jacobian import all_derivatives, way_derivatives
from unspool.reading.events.law_parameters import LawParameters
from unspool.reading.events.law_problem import Problem
from unspool.reading.events.masses import GradeAcceleration, Masses
from unspool.reading.events.piecewise_law import PiecewiseLaw, follow_law
from unspool.reading.events.trace import Trace
from unspool.virtual.truth import random_car

CAR = random_car(np.random.default_rng(3))
MASSES = Masses(free_kg=1.5, caught_kg=0.5, pull_n=4.9, rolling_kg=1.4)
RAMP = Track("ramp", (0.0, 0.7, 1.1, 4.0), (0.0, 0.0, 0.008, 0.008), 1.2)
TAPERED = PiecewiseLaw(
    5.0, 0.0, (0.4, 1.3), (0.9, 0.8, -0.1), 0.008, linear_per_s=0.03, catch=0.8, drive=1.05,
    taper=(1.0, 0.5, 1.0),
)  # fmt: skip


def _followed(law: PiecewiseLaw, track: Track = FLAT) -> Trace:
    return follow_law(law, GradeAcceleration.of(track, CAR, MASSES), MASSES)


@pytest.mark.parametrize("track", [FLAT, RAMP], ids=["flat", "ramp"])
@pytest.mark.parametrize("first", [0.4, 0.0], ids=["after a tier", "from the launch"])
def test_a_taper_against_an_integrator(first: float, track: Track) -> None:
    law = TAPERED
    if not first:
        law = replace(law, changepoint_m=(1.3,), acceleration=(0.8, -0.1), taper=(0.5, 1.0))
    trace, masses = _followed(law, track), MASSES.driven(law.drive)
    grade = GradeAcceleration.of(track, CAR, MASSES)
    coast, rho = law.acceleration[-1], masses.lever(0.8, law.acceleration[-1])
    per_m = -0.5 * rho / (1.3 - first)

    def rates(_: float, y: np.ndarray) -> list[float]:
        lever = rho + per_m * (y[0] - first)
        pull = coast + grade.acceleration_at(y[0]) - (0.03 + 0.008 * y[1]) * y[1]
        force = masses.pull_n * lever + masses.free_kg * pull
        force -= masses.caught_kg * lever * per_m * y[1] ** 2
        return [y[1], force / (masses.free_kg + masses.caught_kg * lever**2)]

    begin_s = trace.changepoint_s[0] if first else law.launch_s
    speed = trace.speed_after[0] if first else 0.0
    end_s = trace.changepoint_s[-1]
    times = np.linspace(begin_s, end_s, 40)
    solved = solve_ivp(
        rates, (begin_s, end_s), [first, speed], rtol=1e-10, atol=1e-12, max_step=1e-3,
        t_eval=times,
    )  # fmt: skip
    near_m = 2e-6 if first else 2e-5
    assert solved.y[0, -1] == pytest.approx(1.3, abs=near_m)
    assert trace.changepoint_speed[-1] == pytest.approx(solved.y[1, -1], abs=1e-5)
    distance, speeds = trace.at(times[:-1])
    assert distance == pytest.approx(solved.y[0, :-1], abs=1.5 * near_m)
    assert speeds == pytest.approx(solved.y[1, :-1], abs=5e-4)


def test_a_taper_is_the_limit_of_many_steps() -> None:
    """A catch loses by its step's square, so that all of them together lose as one step does."""
    law = replace(TAPERED, catch=1.0, linear_per_s=0.0)
    masses = MASSES.driven(law.drive)
    rho, coast = masses.lever(0.8, -0.1), -0.1
    whole = _followed(law)
    off = []
    for steps in (50, 100, 200):
        middles = (np.arange(steps) + 0.5) / steps
        levers = rho * (1.0 - 0.5 * middles)
        places = 0.4 + 0.9 * np.arange(steps + 1) / steps
        stepped = replace(
            law,
            changepoint_m=tuple(places.tolist()),
            acceleration=(0.9, *(masses.acceleration(x, coast) for x in levers.tolist()), coast),
            taper=(),
        )
        trace = _followed(stepped)
        off.append([trace.stop_m - whole.stop_m, trace.changepoint_s[-1] - whole.changepoint_s[-1]])
    off = np.array(off)
    assert np.abs(off[-1]) == pytest.approx(0.0, abs=2e-3)
    assert np.abs(off[1:]) == pytest.approx(0.5 * np.abs(off[:-1]), rel=0.2)


@pytest.mark.parametrize("track", [FLAT, RAMP], ids=["flat", "ramp"])
@pytest.mark.parametrize("braked", [False, True])
@pytest.mark.parametrize("tapered", [False, True])
@pytest.mark.parametrize("from_rest", [False, True])
def test_derivatives_of_a_law_against_differences(
    track: Track, braked: bool, tapered: bool, from_rest: bool
) -> None:
    law = replace(TAPERED, brake_changepoint=1, brake_speed=0.02) if braked else TAPERED
    law = law if tapered else replace(law, taper=(), drive=1.0)
    law = law if from_rest else replace(law, launch_speed=0.3)
    trace = _followed(law, track)
    times = np.linspace(5.2, trace.stop_s - 0.2, 60)
    edges = WheelEdges(times, np.arange(60), 20, 0.01)
    grade = GradeAcceleration.of(track, CAR, MASSES)
    problem = Problem(edges, grade, MASSES, {})
    parameters = LawParameters(law, from_rest)
    there = trace.instants(times)
    of_distance, of_speed, derived = all_derivatives(problem, parameters, law, trace, there)
    numbers = parameters.vector(law)
    for i, name in enumerate(parameters.names):
        sides = []
        for step in (1e-5, -1e-5):
            moved = numbers.copy()
            moved[i] += step
            tried = parameters.law(moved)
            one = problem.trace(tried)
            sides.append((*one.at(times), parameters.derived(tried, one)))
        # A changepoint that passes an edge makes the edge's speed jump: no derivative there.
        smooth = np.abs(times[:, None] - np.array(trace.changepoint_s)).min(axis=1) > 1e-3
        for found, side in ((of_distance[smooth, i], 0), (of_speed[smooth, i], 1)):
            expected = (sides[0][side] - sides[1][side])[smooth] / 2e-5
            assert found == pytest.approx(expected, rel=1e-3, abs=2e-3), name
        expected = (sides[0][2] - sides[1][2]) / 2e-5
        assert derived[:, i] == pytest.approx(expected, rel=1e-3, abs=1e-3), name
    rough = way_derivatives(problem, parameters, law, trace, there)
    assert rough == pytest.approx(of_distance, rel=1e-2, abs=1e-2)


def test_a_car_that_stops_on_its_taper_rests_there() -> None:
    law = replace(TAPERED, acceleration=(0.9, -0.05, -0.3), changepoint_m=(0.4, 9.0))
    trace = _followed(law)
    assert trace.changepoint_s[1] == float("inf")
    assert trace.stop_m < 9.0
