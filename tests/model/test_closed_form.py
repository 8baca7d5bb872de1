"""Closed forms of one stretch against scipy's integrator, over all signs and limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from unspool.model import closed_form


def integrated(
    s: float, v0: float, net: float, drag: float, mass: float
) -> tuple[float, float, float]:
    """Time, speed and air work where the way s is done, by a Runge-Kutta method of order 8.

    Over the distance and not over time: a step in time may leap over its end.
    """
    answer = solve_ivp(
        lambda _, y: [1.0 / y[1], (net - drag * y[1] ** 2) / (mass * y[1]), drag * y[1] ** 2],
        (0.0, s), [0.0, v0, 0.0], method="DOP853", rtol=1e-11, atol=1e-13,
    )  # fmt: skip
    return float(answer.y[0, -1]), float(answer.y[1, -1]), float(answer.y[2, -1])


@settings(deadline=None, max_examples=60)
@given(
    s=st.floats(0.1, 10.0),
    v0=st.floats(0.05, 4.0),
    net=st.floats(-0.5, 2.0),
    drag=st.sampled_from([0.0, 1e-9, 1e-4]) | st.floats(1e-3, 0.5),
    mass=st.floats(0.3, 4.0),
)
@example(s=1.0, v0=1.0, net=-0.375, drag=0.0, mass=0.875)
def test_stretch_against_scipy(s: float, v0: float, net: float, drag: float, mass: float) -> None:
    u1 = closed_form.speed_squared(s, v0 * v0, net, drag, mass)
    assume(u1 > 1e-3)
    time, speed, air = integrated(s, v0, net, drag, mass)
    v1 = u1**0.5
    assert v1 == pytest.approx(speed, rel=1e-6)
    assert closed_form.duration(s, v0, v1, net, drag, mass) == pytest.approx(time, rel=1e-6)
    assert closed_form.drag_work(s, v0 * v0, net, drag, mass) == pytest.approx(
        air, rel=1e-6, abs=1e-9
    )


def test_from_rest_without_drag() -> None:
    assert closed_form.speed_squared(2.0, 0.0, 3.0, 0.0, 1.5) == pytest.approx(8.0)
    assert closed_form.duration(2.0, 0.0, 8.0**0.5, 3.0, 0.0, 1.5) == pytest.approx(2.0**0.5)


def test_at_the_terminal_speed_nothing_changes() -> None:
    assert closed_form.speed_squared(7.0, 4.0, 0.4, 0.1, 1.0) == pytest.approx(4.0)
    assert closed_form.duration(7.0, 2.0, 2.0, 0.4, 0.1, 1.0) == pytest.approx(3.5)


def test_stop_agrees_with_passing_to_a_standstill() -> None:
    distance = closed_form.distance_to_speed(4.0, 0.0, -0.06, 0.012, 1.05)
    assert closed_form.speed_squared(distance, 4.0, -0.06, 0.012, 1.05) == pytest.approx(
        0.0, abs=1e-12
    )
    passed = closed_form.duration(distance, 2.0, 0.0, -0.06, 0.012, 1.05)
    assert passed == pytest.approx(closed_form.time_to_speed(2.0, 0.0, -0.06, 0.012, 1.05))


def test_arrays_broadcast() -> None:
    drag = np.array([0.0, 0.1, 0.2])
    four, rest, net, mass = (np.full(3, x) for x in (4.0, 0.0, -0.1, 1.0))
    distances = closed_form.distance_to_speed(four, rest, net, drag, mass)
    assert distances == pytest.approx([20.0, 8.047189562, 5.493061443])
