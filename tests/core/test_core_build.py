"""The core compiles without a warning and asks nothing of its board."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from native_core import CORE, WARNINGS

SOURCES = [str(path) for path in sorted(CORE.glob("*.c"))]
STRICT = ("-Wconversion", "-Wshadow", "-Wstrict-prototypes", "-Wmissing-prototypes")


@pytest.mark.parametrize("optimise", ["-O0", "-O2"])
def test_gcc_finds_nothing(optimise: str, tmp_path: Path) -> None:
    for source in SOURCES:
        subprocess.run(
            ["gcc", *WARNINGS, *STRICT, optimise, "-c", source, "-o", str(tmp_path / "out.o")],
            check=True,
        )


def test_it_is_portable() -> None:
    """No registers, no allocation, no floating point, no library beyond these headers."""
    allowed = {"<stdatomic.h>", "<stdbool.h>", "<stdint.h>"}
    for path in [*CORE.glob("*.c"), *CORE.glob("*.h")]:
        text = path.read_text()
        included = set(re.findall(r"#include (<[^>]+>)", text))
        assert included <= allowed, path
        code = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
        assert not re.search(r"\b(malloc|float|double|volatile|asm)\b", code), path
