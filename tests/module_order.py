"""The order of the test modules: those that wait lie among those that compute.

Boards, browsers and chips go on in real time, so a worker waits for them most of the time. If all
workers waited at once, the processors would stand idle; later all would compute, and wait for each
other. The longest modules begin first, so that none is left over when all others have ended.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath

import pytest

WAITING = ("cli", "e2e", "firmware", "hard", "instrument")
LONGEST = (
    "e2e/test_contest_day.py",
    "hard/test_short.py",
    "e2e/test_pages.py",
    "e2e/test_accessibility.py",
    "e2e/test_studies.py",
    "instrument/record/test_recorder_interrupted.py",
    "instrument/record/test_ble_recorder.py",
    "cli/test_flash_command.py",
    "cli/test_record_command.py",
    "e2e/test_firmware_run.py",
    "e2e/test_first_attempt.py",
    "e2e/test_ble_firmware.py",
    "study/calibration/test_calibrate.py",
    "study/calibration/test_slope_profile.py",
    "study/plan/test_make_plan.py",
    "study/calibration/test_known.py",
)


def in_order(items: Sequence[pytest.Item], root: PurePath) -> list[pytest.Item]:
    """root: the folder of the tests. The order is the same in each process."""
    modules: dict[str, list[pytest.Item]] = {}
    for item in items:
        modules.setdefault(item.path.relative_to(root).as_posix(), []).append(item)
    names = sorted(modules, key=_rank)  # keeps the order among those of one rank
    waiting = [name for name in names if name.startswith(WAITING)]
    others = [name for name in names if name not in waiting]
    return [item for name in _mixed(waiting, others) for item in modules[name]]


def _rank(name: str) -> int:
    return LONGEST.index(name) if name in LONGEST else len(LONGEST)


def _mixed(one: list[str], two: list[str]) -> list[str]:
    """Both lists in their own orders, evenly spread over the whole."""
    placed = [
        ((at + 0.5) / len(names), which, name)
        for which, names in enumerate((one, two))
        for at, name in enumerate(names)
    ]
    return [name for _, _, name in sorted(placed)]
