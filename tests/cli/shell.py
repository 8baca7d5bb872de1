"""The `unspool` command run as a user runs it: another process, its two streams and its status."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from threading import Timer
from typing import Any

import pytest

from unspool.cli.entry import run

HOST = Path(__file__).parents[2] / "host"
PATIENCE_S = 90.0


@dataclass(frozen=True)
class Done:
    status: int
    out: str
    err: str

    @property
    def answer(self) -> dict[str, Any]:
        """Standard output as the one JSON object that it must be."""
        answer = json.loads(self.out)
        assert isinstance(answer, dict)
        return answer

    @property
    def complaints(self) -> list[str]:
        assert "Traceback" not in self.err
        return self.err.splitlines()


def complaint(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> str:
    """The one line in which a command refuses, run in this process: quicker than another one."""
    assert run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    return err


def environment(home: Path, **more: str) -> dict[str, str]:
    """A user's environment whose data and logs stay inside `home`."""
    return {**os.environ, **_own(home), **more}


def _own(home: Path) -> dict[str, str]:
    return {
        "HOME": str(home),
        "XDG_DATA_HOME": str(home / "data"),
        "XDG_STATE_HOME": str(home / "state"),
        "PYTHONPATH": str(HOST),
        "COLUMNS": "100",
    }


def here(*arguments: str | Path, home: Path, **env: str) -> Done:
    """The command in this process: that saves the second in which another one starts."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        for name, value in {**_own(home), **env}.items():
            patch.setenv(name, value)
        status = run([str(one) for one in arguments])
    return Done(status, out.getvalue(), err.getvalue())


def unspool(
    *arguments: str | Path,
    home: Path,
    timeout_s: float = 120.0,
    encoding: str = "utf-8",
    **env: str,
) -> Done:
    done = subprocess.run(
        [sys.executable, "-m", "unspool", *map(str, arguments)],
        capture_output=True,
        timeout=timeout_s,
        check=False,
        env=environment(home, PYTHONIOENCODING=encoding, **env),
    )
    return Done(done.returncode, done.stdout.decode(encoding), done.stderr.decode(encoding))


@contextmanager
def served(
    home: Path, *arguments: str | Path, **env: str
) -> Iterator[tuple[subprocess.Popen, str]]:
    """The command under way, and the address that it prints."""
    command = [sys.executable, "-m", "unspool", *map(str, arguments)]
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(home, **env),
    ) as process:
        rescue = Timer(PATIENCE_S, process.kill)
        rescue.start()
        try:
            assert process.stdout is not None
            yield process, process.stdout.readline().split()[1]
        finally:
            rescue.cancel()
            process.kill()
