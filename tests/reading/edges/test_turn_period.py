"""Edges a turn by the slots' unevenness, on discs whose number is known."""

from __future__ import annotations

import numpy as np
import pytest

from unspool.reading.edges.turn_period import Repetition, edges_a_turn, likelier_number


def disc(pulses: int, turns: float, sd: float, seed: int = 0) -> np.ndarray:
    """Places of edges in slots, each boundary off by its own share and each edge by a hundredth."""
    rng = np.random.default_rng(seed)
    boundary = np.arange(int(turns * pulses))
    pattern = rng.normal(0.0, sd, pulses)
    return boundary + pattern[boundary % pulses] + rng.normal(0.0, 0.1 * sd, len(boundary))


def repetition(place: np.ndarray, kept: np.ndarray | None = None) -> Repetition:
    number = np.arange(len(place))
    kept = np.ones(len(place), dtype=bool) if kept is None else kept
    return Repetition(number[kept], (place - number)[kept])


@pytest.mark.parametrize("stated", [40, 10, 21, 19, 22, 18])
@pytest.mark.parametrize("seed", range(5))
def test_a_wrong_number_is_contradicted(stated: int, seed: int) -> None:
    assert likelier_number(repetition(disc(20, 12.0, 0.02, seed)), stated) == 20


@pytest.mark.parametrize("seed", range(5))
def test_the_right_number_is_not(seed: int) -> None:
    assert likelier_number(repetition(disc(20, 12.0, 0.02, seed)), 20) is None


def test_missed_and_wrong_edges_do_not_hide_the_period() -> None:
    rng = np.random.default_rng(5)
    place = disc(20, 20.0, 0.02)
    place[rng.choice(len(place), 20)] += 0.3
    kept = rng.uniform(size=len(place)) > 0.1
    assert likelier_number(repetition(place, kept), 21) == 20


def test_an_even_disc_says_nothing() -> None:
    """Teeth wider than gaps repeat every second edge, with any number of them."""
    place = np.arange(300) + 0.1 * (np.arange(300) % 2)
    place += np.random.default_rng(1).normal(0.0, 0.002, 300)
    assert likelier_number(repetition(place), 22) is None


def test_too_few_turns_say_nothing() -> None:
    assert likelier_number(repetition(disc(20, 2.9, 0.02)), 10) is None


@pytest.mark.parametrize("pulses", [12, 20, 60])
def test_a_wheel_turned_by_hand_shows_its_number(pulses: int) -> None:
    place = disc(pulses, 6.0, 0.03, seed=2)
    hand = place + 0.4 * pulses / (2.0 * np.pi) * np.sin(2.0 * np.pi * place / (0.7 * pulses))
    assert edges_a_turn(0.01 * hand) == pulses


def test_noise_has_no_period() -> None:
    random = np.random.default_rng(3)
    assert edges_a_turn(np.cumsum(random.normal(0.05, 0.001, 150))) is None
