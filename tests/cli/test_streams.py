"""Text on streams that lack its characters."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from cli.shell import environment
from unspool.cli.streams import to_stderr

SAY = "from unspool.cli import streams; streams.prepare(); print({text!r})"


def test_a_line_end_in_a_name_makes_no_second_line(capsys: pytest.CaptureFixture[str]) -> None:
    to_stderr("a\nb.toml: 2 faults\n  line 3: found x\n  line 4: found y")
    assert capsys.readouterr().err == (
        "unspool: a\\nb.toml: 2 faults\n  line 3: found x\n  line 4: found y\n"
    )


def test_a_complaint_is_never_as_long_as_its_input(capsys: pytest.CaptureFixture[str]) -> None:
    to_stderr(f"{'x' * 100_000}: cannot be read")
    err = capsys.readouterr().err
    assert len(err) < 1100
    assert err.endswith("xxx: cannot be read\n")


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
