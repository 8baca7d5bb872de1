"""The code's version changes with every source that a result is computed with."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

HOST = Path(__file__).parents[2] / "host"
VERSION = "from unspool.kept.code_version import code_version; print(code_version())"
LOADED = """
import sys
from unspool.reading.events import analyse
from unspool.study.calibration import calibrate
for name, module in sorted(sys.modules.items()):
    if name.split(".")[0] == "unspool":
        print(module.__file__)
"""


def python(code: str, host: Path) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], env={"PYTHONPATH": str(host)}, capture_output=True, check=True
    )
    return done.stdout.decode()


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    host = tmp_path_factory.mktemp("host")
    shutil.copytree(
        HOST / "unspool", host / "unspool", ignore=shutil.ignore_patterns("__pycache__")
    )
    return host


def test_it_is_the_same_for_the_same_code(copied: Path) -> None:
    assert python(VERSION, copied) == python(VERSION, HOST)
    assert len(python(VERSION, HOST).strip()) == 64


@pytest.mark.parametrize(
    "name",
    [
        "reading/events/analyse.py",
        "reading/motion/types.py",
        "model/simulate.py",
        "study/calibration/priors.py",
        "car/gravity.py",
        "fitting.py",
        "kept/codec.py",
    ],
)
def test_it_changes_with_the_source(copied: Path, name: str) -> None:
    before = python(VERSION, copied)
    path = copied / "unspool" / name
    text = path.read_text("utf-8")
    path.write_text(text + "\n# another line\n", "utf-8")
    assert python(VERSION, copied) != before
    path.write_text(text, "utf-8")
    assert python(VERSION, copied) == before


def test_it_does_not_change_with_what_only_shows_readings(copied: Path) -> None:
    before = python(VERSION, copied)
    (copied / "unspool" / "render" / "words" / "more.py").write_text("MORE = 1\n")
    assert python(VERSION, copied) == before


def test_all_that_readings_and_calibrations_load_counts() -> None:
    """A module that one of them begins to import must not be forgotten."""
    from unspool.kept.code_version import sources

    counted = set(map(str, sources()))
    loaded = python(LOADED, HOST).split()
    assert len(loaded) > 50
    assert [path for path in loaded if path not in counted] == []
