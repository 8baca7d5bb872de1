"""Runs of one car on several days, as somebody measures them who does not know its losses."""

from __future__ import annotations

import numpy as np

from corpus.asked import Run, run
from corpus.cars import Table, changed, turned, without_losses


def measured(car: Table, seed: int, **more: object) -> Run:
    return run(car, seed, said=without_losses(car), **more)


def _varied(car: Table, scatter: float, rng: np.random.Generator) -> Table:
    """The car on another day."""
    rolling, drive = (float(np.exp(scatter * rng.normal())) for _ in range(2))
    losses = car["losses"]
    return changed(
        car,
        losses__rolling_coefficient=losses["rolling_coefficient"] * rolling,
        losses__break_away_coefficient=1.3 * losses["rolling_coefficient"] * rolling,
        losses__drive_efficiency=min(losses["drive_efficiency"] * drive**0.5, 0.999),
    )


def days(car: Table, shares: tuple[float, ...], scatter: float = 0.01) -> tuple[Run, ...]:
    rng = np.random.default_rng(len(shares))
    cars = [turned(_varied(car, scatter, rng), share) for share in shares]
    return tuple(measured(one, i) for i, one in enumerate(cars))


def repeats(car: Table) -> tuple[Run, ...]:
    """Three repeats of three windings."""
    rng = np.random.default_rng(0)
    cars = [turned(_varied(car, 0.005, rng), share) for share in (0.35, 0.6, 1.0) for _ in range(3)]
    return tuple(measured(one, i) for i, one in enumerate(cars))
