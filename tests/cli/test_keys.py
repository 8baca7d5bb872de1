"""Single keys from a terminal, which is left as it was."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cli.shell import environment
from unspool.cli.keys import reading_keys

# A session of its own has the terminal for its controlling one, as a shell's foreground job has.
PROGRAM = """
import sys, time
from unspool.cli.keys import reading_keys
with reading_keys() as keys:
    print("available", keys.available, flush=True)
    got = ""
    while "x" not in got:
        got += keys.pressed()
        time.sleep(0.01)
    print("got", got, flush=True)
"""


@pytest.fixture
def terminal() -> Iterator[tuple[int, int]]:
    ours, theirs = pty.openpty()
    yield ours, theirs
    os.close(ours)
    os.close(theirs)


def _until(fd: int, look: bytes) -> bytes:
    said = b""
    while look not in said:
        said += os.read(fd, 1024)
    return said


def test_keys_come_without_return_and_the_terminal_is_left_as_it_was(
    terminal: tuple[int, int], tmp_path: Path
) -> None:
    ours, theirs = terminal
    before = termios.tcgetattr(theirs)
    program = [sys.executable, "-c", "import os,fcntl,termios\n" + TAKE + PROGRAM]
    with subprocess.Popen(
        program,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        env=environment(tmp_path),
    ) as process:
        assert b"available True" in _until(ours, b"available True")
        os.write(ours, b"nx")
        assert b"got nx" in _until(ours, b"got nx")
        assert process.wait(30) == 0
    assert termios.tcgetattr(theirs) == before


TAKE = "fcntl.ioctl(0, termios.TIOCSCTTY, 0)\n"


def test_a_terminal_of_somebody_else_is_left_alone(
    terminal: tuple[int, int], tmp_path: Path
) -> None:
    _, theirs = terminal
    before = termios.tcgetattr(theirs)
    program = PROGRAM.replace('while "x" not in got', "if False")
    done = subprocess.run(
        [sys.executable, "-c", program],
        stdin=theirs,
        capture_output=True,
        text=True,
        timeout=60,
        env=environment(tmp_path),
    )
    assert done.stdout.splitlines()[0] == "available False"
    assert termios.tcgetattr(theirs) == before


def test_a_pipe_has_no_keys(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "in").write_text("nnn")
    with (tmp_path / "in").open() as stream:
        monkeypatch.setattr(sys, "stdin", stream)
        with reading_keys() as keys:
            assert (keys.available, keys.pressed()) == (False, "")


def test_the_next_tier_is_marked_in_the_terminal(terminal: tuple[int, int], tmp_path: Path) -> None:
    """The demo's car winds 5.3 turns, then 3.5; the key is pressed somewhere on the way."""
    ours, theirs = terminal
    command = (
        "import fcntl, termios, sys\n"
        + TAKE
        + "from unspool.cli.entry import run\n"
        + f"sys.exit(run(['demo', '--runs', '1', '--no-page', '--store', {str(tmp_path / 's')!r},"
        "'--speed', '4']))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", command],
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        start_new_session=True,
        env=environment(tmp_path),
    ) as process:
        said = _until(ours, b"keep hands and feet")
        assert b"press n when you go on to the next tier" in said
        time.sleep(0.5)
        os.write(ours, b"n")
        said = _until(ours, b"wound: ")
        process.kill()
    assert re.search(rb"next tier, after \d\.\d\d turns", said.replace("\u00a0".encode(), b" "))
