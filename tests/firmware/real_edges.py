"""Edges of true runs of the demo's first car, one after another, each from launch to standstill."""

from __future__ import annotations

from firmware.stepped import CYCLES_PER_S, Edge
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.truth import Imperfections, run

FIRST_S = 1.0
BETWEEN_S = 3.0
DISC = Imperfections(slot_sd=0.015, tick_s=0.5e-6)  # a disc's slots off by 1.5 % of a pitch


def real_edges(runs: int) -> list[Edge]:
    edges: list[Edge] = []
    start_s = FIRST_S
    for seed in range(runs):
        train = run(sandpiper(), corridor(), DISC, seed).train
        times = train.time_s - train.time_s[0] + start_s
        edges += [
            (round(time * CYCLES_PER_S), int(way))
            for time, way in zip(times, train.direction, strict=True)
        ]
        start_s = times[-1] + BETWEEN_S
    return edges
