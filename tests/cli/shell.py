"""The `unspool` command run as a user runs it: another process, its two streams and its status."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HOST = Path(__file__).parents[2] / "host"


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


def environment(home: Path, **more: str) -> dict[str, str]:
    """A user's environment whose data and logs stay inside `home`."""
    mine = {
        "HOME": str(home),
        "XDG_DATA_HOME": str(home / "data"),
        "XDG_STATE_HOME": str(home / "state"),
        "PYTHONPATH": str(HOST),
        "COLUMNS": "100",
    }
    return {**os.environ, **mine, **more}


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
