"""`unspool shortcut`: a file to click on each system."""

from __future__ import annotations

import configparser
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.shell import here
from unspool.cli.shortcut import shortcut_for

PROGRAM = ("/home/a b/$venv/bin/python", "-m", "unspool")
WORDS = st.text(st.characters(min_codepoint=32, exclude_categories=("Cs",)), min_size=1)


def test_linux_gets_a_menu_entry() -> None:
    made = shortcut_for("linux", PROGRAM)
    entry = configparser.RawConfigParser()
    entry.read_string(made.text)
    section = entry["Desktop Entry"]
    assert made.name == "unspool.desktop"
    assert section["exec"] == r'"/home/a b/\\$venv/bin/python" "-m" "unspool"'
    assert section["terminal"] == "true"
    assert Path(section["icon"]).is_file()


def test_windows_gets_a_command_file() -> None:
    made = shortcut_for("win32", (r"C:\100% mine\python.exe", "-m", "unspool"))
    assert made.name == "unspool.cmd"
    assert made.text.splitlines()[1] == r'@"C:\100%% mine\python.exe" "-m" "unspool"'


@given(st.lists(WORDS, min_size=1, max_size=4))
def test_macos_gets_a_script_with_every_word_whole(program: list[str]) -> None:
    made = shortcut_for("darwin", tuple(program))
    assert made.executable
    command = made.text.removeprefix("#!/bin/sh\nexec ").removesuffix("\n")
    assert shlex.split(command) == program


def test_it_is_written_where_the_menu_looks(tmp_path: Path) -> None:
    done = here("shortcut", home=tmp_path)
    assert (done.status, done.err) == (0, "")
    written = tmp_path / "data" / "applications" / "unspool.desktop"
    assert written.exists()
    assert str(written) in done.out
    assert sys.executable in written.read_text()


def test_it_replaces_nothing_unless_forced(tmp_path: Path) -> None:
    assert here("shortcut", "--folder", tmp_path, home=tmp_path).status == 0
    assert here("shortcut", "--folder", tmp_path, home=tmp_path).status == 2
    assert here("shortcut", "--folder", tmp_path, "--force", home=tmp_path).status == 0


def test_the_script_runs_unspool(tmp_path: Path) -> None:
    made = shortcut_for("darwin", (sys.executable, "-m", "unspool"))
    script = tmp_path / made.name
    script.write_text(made.text + "\n")
    script.chmod(0o755)
    paths = {"PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    text = script.read_text().replace("unspool\n", "unspool --version\n", 1)
    script.write_text(text)
    done = subprocess.run(
        [str(script)], capture_output=True, text=True, check=True, env=os.environ | paths
    )
    assert done.stdout.startswith("unspool ")


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
def test_every_system_is_served(platform: str) -> None:
    assert shortcut_for(platform, PROGRAM).text.endswith("\n")
