"""Lost edges by time beside a hand's rhythm, and the disc's pattern beside a hand's."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.study.rollout.disc import slot_places
from unspool.study.rollout.gaps import lost_between


def rolled(speed: np.ndarray, places: np.ndarray) -> np.ndarray:
    """Times at which boundaries at `places` pass; speed: (n,) slots/s over 10 s."""
    t = np.linspace(0.0, 10.0, len(speed))
    x = np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2.0 * np.diff(t))])
    return np.interp(places[(places > x[0]) & (places < x[-1])], x, t)


T = np.linspace(0.0, 10.0, 40_001)
STEADY = np.full(len(T), 20.0)
WOBBLING = 20.0 * (1.0 + 0.3 * np.sin(2.0 * np.pi * 1.8 * T))
SHOVES = 30.0 * np.abs(np.sin(np.pi * (T + 0.13) / 3.0))  # rests for a moment, three times
TEETH = np.arange(400) + 0.15 * (-1.0) ** np.arange(400)  # 1.3 and 0.7 slots wide


@pytest.mark.parametrize("speed", [STEADY, WOBBLING, SHOVES], ids=["steady", "wobbling", "shoves"])
@pytest.mark.parametrize("places", [np.arange(400.0), TEETH], ids=["even", "teeth"])
def test_nothing_is_lost_where_nothing_is(speed: np.ndarray, places: np.ndarray) -> None:
    time_s = rolled(speed, places)
    lost, unsure = lost_between(time_s, np.zeros(len(time_s) - 1, dtype=np.int64))
    assert (lost.sum(), unsure) == (0, 0)


@pytest.mark.parametrize("speed", [STEADY, WOBBLING], ids=["steady", "wobbling"])
@pytest.mark.parametrize("places", [np.arange(400.0), TEETH], ids=["even", "teeth"])
@pytest.mark.parametrize("gone", [[50], [50, 51], [50, 90], [2], [50, 54, 58]])
def test_lost_edges_are_found_where_they_are(
    speed: np.ndarray, places: np.ndarray, gone: list[int]
) -> None:
    time_s = np.delete(rolled(speed, places), gone)
    lost, _ = lost_between(time_s, np.zeros(len(time_s) - 1, dtype=np.int64))
    assert lost.sum() == len(gone)
    # Interval i now begins with what was edge i, plus those lost before it.
    assert lost[gone[0] - 1] > 0


def test_what_the_numbering_tells_is_not_guessed_again() -> None:
    time_s = np.delete(rolled(STEADY, np.arange(400.0)), [50, 51])
    known = np.zeros(len(time_s) - 1, dtype=np.int64)
    known[49] = 2
    assert np.array_equal(lost_between(time_s, known)[0], known)


def test_too_few_to_judge() -> None:
    time_s = np.array([0.0, 0.1, 0.2, 0.5, 0.6])
    assert lost_between(time_s, np.zeros(4, dtype=np.int64))[0].sum() == 0


def test_an_eccentric_disc_is_told() -> None:
    off = 0.2 * np.sin(2.0 * np.pi * np.arange(20) / 20)
    time_s = rolled(STEADY, np.arange(400) + off[np.arange(400) % 20])
    places, sd = slot_places(time_s, np.arange(1, len(time_s) + 1), 20)
    assert places == pytest.approx(off, abs=0.02)
    assert sd < 0.02


def test_teeth_are_told_and_a_jerking_hand_is_no_disc() -> None:
    knots = np.random.default_rng(4).uniform(8.0, 32.0, 14)
    jerking = np.interp(T, np.linspace(0.0, 10.0, 14), knots)
    time_s = rolled(jerking, TEETH)
    places, _ = slot_places(time_s, np.arange(len(time_s)), 20)
    teeth = 0.15 * (-1.0) ** np.arange(20)
    assert places == pytest.approx(teeth, abs=0.1)


def test_a_short_push_leaves_the_even_pitch() -> None:
    places, sd = slot_places(np.arange(60) * 0.05, np.arange(60), 20)
    assert (places.tolist(), sd) == ([0.0] * 20, 0.0)
