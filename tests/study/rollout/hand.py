"""Seeded pushes by hand with known answers, from a few lines that share nothing with unspool.

The hand brings the car up to a walk, its speed wobbles with the steps, and it is brought to rest at
the end mark. Boundaries pass where the disc has them; the first mark is anywhere in a slot.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from unspool.reading.edges.pulse_train import PulseTrain


@dataclass(frozen=True)
class Hand:
    """length_m: really rolled. missed: share of edges; slid_m: rolled with the wheel locked."""

    circumference_m: float = 0.3882
    edges: int = 20
    length_m: float = 5.0
    speed_m_s: float = 0.8
    wobble: float = 0.15
    slot_sd: float = 0.02
    tooth: float = 0.5  # share of a slot's pitch that is tooth
    jitter_s: float = 50e-6
    missed: float = 0.0
    slid_m: float = 0.0


def disc(hand: Hand, rng: np.random.Generator) -> np.ndarray:
    """Places of the boundaries within a turn, in turns."""
    even = np.arange(hand.edges, dtype=float)
    even[1::2] += 2.0 * hand.tooth - 1.0
    return np.sort((even + rng.normal(0.0, hand.slot_sd, hand.edges)) / hand.edges)


def way(hand: Hand, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Times and distances of the car, fine enough to interpolate; at rest at both ends."""
    ramp = rng.uniform(0.4, 1.2, 2)
    steps, phase = rng.uniform(1.4, 2.2), rng.uniform(0.0, 6.28, 2)
    total = hand.length_m / hand.speed_m_s + ramp.mean()
    t = np.linspace(0.0, total, 20_001)
    up, down = np.clip(t / ramp[0], 0.0, 1.0), np.clip((total - t) / ramp[1], 0.0, 1.0)
    v = np.sin(up * np.pi / 2.0) ** 2 * np.sin(down * np.pi / 2.0) ** 1.5
    v *= 1.0 + hand.wobble * np.sin(2.0 * np.pi * steps * t + phase[0])
    v *= 1.0 + 0.5 * hand.wobble * np.sin(2.0 * np.pi * 0.37 * steps * t + phase[1])
    x = np.concatenate([[0.0], np.cumsum((v[1:] + v[:-1]) / 2.0 * np.diff(t))])
    return t, x / x[-1] * hand.length_m


def push(hand: Hand, seed: int, disc_seed: int | None = None) -> PulseTrain:
    """The edges of one push; pushes of one disc_seed are made with one disc."""
    rng = np.random.default_rng(seed)
    slots = disc(hand, np.random.default_rng(seed + 10_000 if disc_seed is None else disc_seed))
    t, x = way(hand, rng)
    if hand.slid_m:
        x = np.maximum(x - hand.slid_m, np.minimum(x, hand.length_m * 0.6))
    start = rng.uniform(0.0, 1.0)  # turns
    turned = start + x / hand.circumference_m
    passes = (np.arange(int(turned[-1]) + 2)[:, None] + slots).ravel()
    passes = passes[(passes > turned[0]) & (passes < turned[-1])]
    time_s = np.interp(passes, turned, t) + rng.normal(0.0, hand.jitter_s, len(passes))
    time_s = np.sort(time_s[rng.uniform(size=len(time_s)) >= hand.missed])
    n = len(time_s)
    return PulseTrain(time_s + 3.0, np.ones(n, np.int8), np.arange(n, dtype=np.int64))


def joined(*trains: PulseTrain, rest_s: float = 1.5) -> PulseTrain:
    """Trains one after the other, with a rest between."""
    time_s: list[np.ndarray] = []
    now = 0.0
    for train in trains:
        time_s.append(train.time_s - train.time_s[0] + now)
        now = float(time_s[-1][-1]) + rest_s
    ways = np.concatenate([train.direction for train in trains])
    return PulseTrain(np.concatenate(time_s), ways, np.arange(len(ways), dtype=np.int64))


def turned_round(train: PulseTrain) -> PulseTrain:
    """The same edges, rolled backwards."""
    return PulseTrain(train.time_s, -train.direction, train.number)
