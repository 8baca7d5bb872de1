"""A short run of the fuzzers of the core; `make fuzz` runs them for long."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest

from fuzz.line import Case
from native_core import CORE, WARNINGS, NativeBoard

FUZZER = Path(__file__).parents[1] / "fuzz" / "core.c"
SANITIZERS = ("-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-g", "-O1")


def build(folder: Path, core: Path) -> Path:
    sources = [str(path) for path in sorted(core.glob("*.c"))]
    flags = (*WARNINGS, *SANITIZERS, "-DOWN_DRIVER", f"-I{core}")
    program = folder / "fuzzer"
    subprocess.run(["gcc", *flags, str(FUZZER), *sources, "-o", program], check=True)
    return program


def test_anything_in_nothing_broken(tmp_path: Path) -> None:
    done = subprocess.run([build(tmp_path, CORE), "1", "50000"], capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (0, "50000 inputs\n"), done.stderr


def test_fuzzer_sees_a_fault(tmp_path: Path) -> None:
    """With room for a code forgotten, the log runs over its oldest block."""
    for file in CORE.iterdir():
        text = file.read_text().replace(
            "while (LOG_BYTES - ring_used() < ROOM)", "while (LOG_BYTES - ring_used() < 4)"
        )
        (tmp_path / file.name).write_text(text)
    done = subprocess.run([build(tmp_path, tmp_path), "1", "50000"], capture_output=True, text=True)
    assert done.returncode != 0
    assert "broken: " in done.stderr or "ERROR: AddressSanitizer" in done.stderr


@pytest.mark.parametrize("seed", range(100, 106))
def test_edge_that_arrives_is_the_edge_that_was(seed: int) -> None:
    told = Case(NativeBoard(boot=7), seed).run(1500)
    assert told.edges >= 1500
    assert told.frames > 100
