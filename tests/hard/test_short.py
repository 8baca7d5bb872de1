"""A few cases of every class of hard use, always the same ones; `make hard` runs thousands."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]


def test_a_few_cases_of_every_class_hold(tmp_path: Path) -> None:
    paths = os.pathsep.join((str(TESTS.parent / "host"), str(TESTS)))
    done = subprocess.run(
        [sys.executable, "-m", "hard", "--short", "--kept", tmp_path / "kept.jsonl"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": paths},
    )
    assert done.returncode == 0, done.stdout + done.stderr
