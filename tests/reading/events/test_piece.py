"""A piece's closed forms against scipy's integrators, and its derivatives against differences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from unspool.reading.events.piece import Flow, Piece

CASES = [
    (0.5, 0.01, 0.0, 0.0),
    (0.5, 0.01, 0.0, 1.0),
    (-0.1, 0.01, 0.0, 1.5),
    (-0.1, 1e-5, 0.0, 1.5),
    (0.02, 0.05, 0.0, 1.5),
    (0.0, 0.01, 0.0, 1.0),
    (1e-9, 0.01, 0.0, 1.0),
    (0.5, 0.01, 0.03, 0.0),
    (-0.1, 0.01, 0.03, 1.5),
    (-0.1, 1e-5, 0.2, 1.5),
    (-0.1, 1e-5, 0.02, 1.5),
    (-0.1, 0.01, -0.01, 1.5),
    (0.5, 0.01, 1.5, 2.0),
]


def _many(piece: Piece, since: np.ndarray) -> Flow:
    numbers = (np.full(len(since), x) for x in (piece.speed, piece.a, piece.b, piece.f))
    return Flow.of(since, *numbers)


@pytest.mark.parametrize(("a", "b", "f", "v0"), CASES)
def test_against_an_integrator(a: float, b: float, f: float, v0: float) -> None:
    times = np.array([1.0, 3.0, 5.0])
    solved = solve_ivp(
        lambda _, y: [y[1], a - f * y[1] - b * y[1] ** 2], (0, 5), [0.0, v0],
        rtol=1e-11, atol=1e-12, t_eval=times,
    )  # fmt: skip
    piece = Piece(10.0, 2.0, v0, a, b, f)
    flow = _many(piece, times)
    assert flow.reach_m == pytest.approx(solved.y[0], abs=1e-9)
    assert flow.speed == pytest.approx(solved.y[1], abs=1e-9)
    for time, way, speed in zip(times, *solved.y, strict=True):
        assert piece.after(float(time)) == pytest.approx((way, speed), abs=1e-9)
        assert piece.time_to(2.0 + way) == pytest.approx((time, speed), abs=1e-8)


@pytest.mark.parametrize(("a", "b", "f", "v0"), CASES)
def test_derivatives_against_differences(a: float, b: float, f: float, v0: float) -> None:
    since = np.array([0.0, 0.5, 2.0, 4.0])
    piece = Piece(0.0, 0.0, v0, a, b, f)
    flow = _many(piece, since)
    way, speed = flow.distance_derivatives(), flow.speed_derivatives()
    earlier, later = (_many(piece, since + 1.0 + step) for step in (-1e-6, 1e-6))
    assert _many(piece, since + 1.0).acceleration == pytest.approx(
        (later.speed - earlier.speed) / 2e-6, abs=1e-6
    )
    for i, name in ((2, "speed"), (3, "a"), (4, "b"), (5, "f")):
        step = 3e-6 if name == "b" else 1e-4
        up, down = (
            _many(replace(piece, **{name: getattr(piece, name) + s}), since) for s in (step, -step)
        )
        assert way[:, i] == pytest.approx(
            (up.reach_m - down.reach_m) / (2 * step), rel=1e-4, abs=1e-4
        )
        assert speed[:, i] == pytest.approx(
            (up.speed - down.speed) / (2 * step), rel=1e-4, abs=1e-4
        )
    assert way[:, 0] == pytest.approx(-flow.speed)
    assert way[:, 1] == pytest.approx(1.0)


@pytest.mark.parametrize("f", [0.0, 0.05])
def test_a_piece_that_stops(f: float) -> None:
    piece = Piece(0.0, 1.0, 1.0, -0.25, 1e-5, f)
    rest = piece.rest_after_s()
    # v = (1 + a / f) exp(-f t) - a / f, without the square part
    assert rest == pytest.approx(np.log1p(f / 0.25) / f if f else 4.0, rel=1e-4)
    assert piece.after(rest) == pytest.approx((piece.rest_m() - 1.0, 0.0), abs=1e-9)
    assert piece.time_to(piece.rest_m() + 0.1) == (float("inf"), 0.0)
    almost, speed = piece.time_to(piece.rest_m() - 1e-6)
    assert almost < rest
    assert 0.0 < speed < 0.01


def test_a_piece_that_never_stops() -> None:
    assert Piece(0.0, 0.0, 1.0, 0.1, 0.01, 0.02).rest_after_s() == float("inf")
    assert Piece(0.0, 0.0, 1.0, -0.1, 0.01, -0.5).rest_after_s() == float("inf")
