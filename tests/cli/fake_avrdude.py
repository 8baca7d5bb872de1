"""An avrdude that only says what the real one (7.1) says, and writes nothing."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

DONE = """
avrdude: AVR device initialized and ready to accept instructions
avrdude: device signature = 0x1e950f (probably m328p)

Writing | ################################################## | 100% 1.91s

avrdude: 15084 bytes of flash written

Reading | ################################################## | 100% 1.53s

avrdude: 15084 bytes of flash verified

avrdude done.  Thank you.
"""
OUT_OF_SYNC = """
avrdude warning: attempt 10 of 10: not in sync: resp=0x00
avrdude error: unable to open programmer arduino on port /dev/pts/0

avrdude done.  Thank you.
"""
Fake = Callable[..., dict[str, str]]


def fake_in(tmp_path: Path) -> Fake:
    """An avrdude on PATH that says one text at each run, the last again and again."""

    def make(*says: tuple[int, str]) -> dict[str, str]:
        folder = tmp_path / "bin"
        folder.mkdir()
        (folder / "says.json").write_text(json.dumps(says))
        program = folder / "avrdude"
        program.write_text(
            f"#!{sys.executable}\n"
            "import json, pathlib, sys\n"
            "here = pathlib.Path(__file__).parent\n"
            "runs = here / 'runs'\n"
            "done = runs.read_text().splitlines() if runs.exists() else []\n"
            "runs.write_text('\\n'.join([*done, json.dumps(sys.argv[1:])]))\n"
            "says = json.loads((here / 'says.json').read_text())\n"
            "status, text = says[min(len(done), len(says) - 1)]\n"
            "sys.stderr.write(text)\n"
            "sys.exit(status)\n"
        )
        program.chmod(0o755)
        return {"PATH": f"{folder}{os.pathsep}{os.environ['PATH']}"}

    return make


def runs(tmp_path: Path) -> list[list[str]]:
    path = tmp_path / "bin" / "runs"
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
