"""Ctrl-C while a command starts or ends prints nothing, in processes of their own."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from cli.shell import environment

WHILE_IMPORTING = """
import builtins, os, signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
plain = builtins.__import__
def interrupted(name, *rest):
    if name == {module!r}:
        os.kill(os.getpid(), signal.SIGINT)
    return plain(name, *rest)
from unspool import starting
builtins.__import__ = interrupted
sys.argv = ["unspool", "--version"]
starting.main()
"""
IGNORED = """
import signal, sys
signal.signal(signal.SIGINT, signal.SIG_IGN)
from unspool import starting
sys.argv = ["unspool", "--version"]
try:
    starting.main()
finally:
    print(signal.getsignal(signal.SIGINT) is signal.SIG_IGN)
"""
SWALLOWED = """
import logging
from unspool.cli.stopping import hide_interrupts
class Finalized:
    def __del__(self):
        raise {error}
hide_interrupts()
Finalized()
try:
    raise {error}
except BaseException:
    logging.getLogger("sqlalchemy.pool").exception("given back")
raise {error}
"""


def python(code: str, tmp_path: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", code]
    return subprocess.run(
        command, capture_output=True, text=True, timeout=60.0, env=environment(tmp_path)
    )


@pytest.mark.parametrize("module", ["typer", "rich.console", "platformdirs", "unspool.cli"])
def test_interrupted_while_a_module_is_imported(module: str, tmp_path: Path) -> None:
    done = python(WHILE_IMPORTING.format(module=module), tmp_path)
    assert (done.returncode, done.stdout, done.stderr) == (-signal.SIGINT, "", "")


def test_an_ignored_ctrl_c_stays_ignored(tmp_path: Path) -> None:
    done = python(IGNORED, tmp_path)
    assert done.stdout.splitlines()[-1] == "True"


def test_an_interrupt_that_python_swallows_is_not_printed(tmp_path: Path) -> None:
    assert python(SWALLOWED.format(error="KeyboardInterrupt"), tmp_path).stderr == ""


def test_any_other_fault_is_still_printed(tmp_path: Path) -> None:
    said = python(SWALLOWED.format(error="ValueError('x')"), tmp_path).stderr
    assert said.count("ValueError: x") == 3
