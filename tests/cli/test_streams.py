"""Text on streams that lack its characters."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from cli.shell import environment

SAY = "from unspool.cli import streams; streams.prepare(); print({text!r})"


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("utf-8", "1.2\u00a0± \u22123 ▲▂▄▆█ é ☃"),
        ("cp1252", "1.2\u00a0± -3 ^.:+# é ?"),
        ("ascii", "1.2 +/- -3 ^.:+# ? ?"),
    ],
)
def test_what_an_encoding_lacks_gets_a_near_relative(
    encoding: str, shown: str, tmp_path: Path
) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SAY.format(text="1.2\u00a0± \u22123 ▲▂▄▆█ é ☃")],
        capture_output=True,
        check=True,
        env=environment(tmp_path, PYTHONIOENCODING=encoding),
    )
    assert done.stdout.decode(encoding).rstrip() == shown
