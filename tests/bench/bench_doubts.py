"""How often a car file that is a little wrong leads to a hint, and how often a right one does.

Three runs a car. UNSPOOL_BENCH_CARS sets how many cars.
"""

from __future__ import annotations

import os
from collections.abc import Iterable

from bench.figures import Figure
from study.calibration.doubtful_files import FILES, hints
from unspool.study.calibration import CalibrationCode

CARS = int(os.environ.get("UNSPOOL_BENCH_CARS", "10"))
DRIVE = {CalibrationCode.DRIVE_UNUSUAL, CalibrationCode.DRIVE_OTHERWISE}


def figures() -> Iterable[Figure]:
    for name in FILES:
        done = [hints(name, seed) for seed in range(CARS)]
        for given, codes in (("alone", DRIVE), ("stated", DRIVE),
                             ("taped", {CalibrationCode.TAPE_DISAGREES})):  # fmt: skip
            told = [{one.code for one in getattr(each, given).findings} for each in done]
            rate = 100.0 * sum(bool(codes & one) for one in told) / len(told)
            yield Figure(f"doubts_{name}_{given}_hinted", rate, "%")
