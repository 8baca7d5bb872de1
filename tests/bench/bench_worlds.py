"""Readings whose intervals hold, in cars that are not as their files say (see worlds.py).

UNSPOOL_BENCH_WORLDS sets how many runs each world has.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator

import numpy as np

from bench.bound import changepoint_bound
from bench.figures import Figure
from bench.worlds import TRUE_CARS, Case, case

RUNS = int(os.environ.get("UNSPOOL_BENCH_WORLDS", "40"))
# Of no run here: each of them is a false one.
FALSE = (
    "tiers_in_wrong_order",
    "winding_differs",
    "released_late",
    "slipping",
    "string_held",
    "swaying",
    "slip_at_start",
    "slot_count_doubtful",
    "energy_unexplained",
)


def figures() -> Iterable[Figure]:
    for world in TRUE_CARS:
        yield from _of(world, [case(world, seed) for seed in range(RUNS)])


def _of(world: str, done: list[Case]) -> Iterator[Figure]:
    good = [one for one in done if one.matched]
    z = np.concatenate([one.in_sds for one in good])
    yield Figure(f"worlds_{world}_95_interval_holds", _percent(np.abs(z) < 1.96), "%")
    yield Figure(f"worlds_{world}_error_over_sd_rms", float(np.sqrt(np.mean(z**2))), "")
    off = np.abs(np.concatenate([one.found_m - one.true_m for one in good]))
    yield Figure(f"worlds_{world}_median_error", 1e3 * float(np.median(off)), "mm")
    if world != "taper":  # the bound has no tapers
        yield from _against_bound(world, good)
    counts = [len(one.found_m) - len(one.true_m) for one in done]
    yield Figure(f"worlds_{world}_invented", _percent(np.greater(counts, 0)), "%")
    yield Figure(f"worlds_{world}_unseen", _percent(np.less(counts, 0)), "%")
    codes = [{str(finding.code) for finding in one.reading.findings} for one in done]
    most = max(FALSE, key=lambda code: sum(code in one for one in codes))
    share = _percent(np.array([most in one for one in codes]))
    yield Figure(f"worlds_{world}_most_frequent_false_finding", share, "%")


def _against_bound(world: str, good: list[Case]) -> Iterator[Figure]:
    """The edges' part of the error alone: places in turns of the file's wheel, as it is."""
    ratios = []
    for one in good:
        wheel = one.truth.car.encoder_wheel.radius_m / one.file.encoder_wheel.radius_m
        ratios.append((wheel * one.found_m - one.true_m) / changepoint_bound(one.truth))
    rms = float(np.sqrt(np.mean(np.concatenate(ratios) ** 2)))
    yield Figure(f"worlds_{world}_rms_over_bound", rms, "", "cramer_rao_bound", 1.0)


def _percent(hits: np.ndarray) -> float:
    return 100.0 * float(np.mean(hits))
