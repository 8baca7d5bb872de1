"""Edge files that are well formed and that no wheel ever made."""

from __future__ import annotations

import random
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Times = NDArray[np.float64]


def odd_edges(rng: random.Random) -> str:
    """The text of an edge file with one kind of odd times, directions and perhaps numbers."""
    count = rng.choice((0, 1, 2, 3, 5, 6, 7, 20, 21, 100, 500, 2000))
    noise = np.random.default_rng(rng.randrange(2**32))
    times = rng.choice(TIMES)(rng, count, noise)
    rows = [
        f"{time!r},{direction}"
        for time, direction in zip(times.tolist(), _directions(rng, count), strict=True)
    ]
    if rng.random() < 0.3:
        rows = [f"{row},{number}" for row, number in zip(rows, _numbers(rng, count), strict=True)]
        return "\n".join(["time_s,direction,number", *rows, ""])
    return "\n".join(["time_s,direction", *rows, ""])


def _even(rng: random.Random, count: int, _noise: np.random.Generator) -> Times:
    return np.arange(count) * 10.0 ** rng.uniform(-6, 3)


def _spread(rng: random.Random, count: int, _noise: np.random.Generator) -> Times:
    """Over many powers of ten."""
    return np.geomspace(10.0 ** rng.uniform(-12, 0), 10.0 ** rng.uniform(0, 9), count)


def _random(rng: random.Random, count: int, noise: np.random.Generator) -> Times:
    return np.cumsum(noise.exponential(10.0 ** rng.uniform(-5, 1), count))


def _heavy(_rng: random.Random, count: int, noise: np.random.Generator) -> Times:
    """Mostly at once, with pauses of any length."""
    return np.cumsum(np.minimum(noise.pareto(0.3, count) * 1e-3, 1e6))


def _equal(rng: random.Random, count: int, _noise: np.random.Generator) -> Times:
    return np.full(count, rng.choice((0.0, -5.0, 1.0, 1e9, 9e10)))


def _coarse(rng: random.Random, count: int, noise: np.random.Generator) -> Times:
    """A clock with few steps."""
    step = rng.choice((0.001, 0.01, 0.1, 1.0))
    return np.floor(_random(rng, count, noise) / step) * step


def _far(rng: random.Random, count: int, noise: np.random.Generator) -> Times:
    """From a clock that began in 1970, or long before."""
    return rng.choice((1.8e9, -1e10, 9.9e10)) + _random(rng, count, noise)


def _falling(_rng: random.Random, count: int, _noise: np.random.Generator) -> Times:
    """Ever faster, to an end in finite time."""
    return 10.0 * (1.0 - 0.99 ** np.arange(count))


TIMES: tuple[Callable[[random.Random, int, np.random.Generator], Times], ...] = (
    *(_even, _spread, _random, _heavy, _equal, _coarse, _far, _falling),
)


def _directions(rng: random.Random, count: int) -> list[int]:
    match rng.randrange(5):
        case 0:
            return [rng.choice((1, -1)) for _ in range(count)]
        case 1:
            return [-1] * count
        case 2:
            turn = rng.randrange(count + 1)
            return [-1] * turn + [1] * (count - turn)
        case 3:
            return [1 - 2 * (i % 2) for i in range(count)]
        case _:
            return [1] * count


def _numbers(rng: random.Random, count: int) -> list[int]:
    step = rng.choice((1, 2, 7, 1000, 90_000, 2**40))
    number, numbers = rng.choice((0, 1, 65_535, 2**31, 2**62, -5)), []
    for _ in range(count):
        number += 1 if rng.random() < 0.95 else step
        numbers.append(number)
    return numbers
