"""Whatever a path or a number on the command line is: exit 2, one sentence, no traceback."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.shell import here
from unspool.virtual.demo.scenario import SANDPIPER

LONG = "x" * 300
PATHS = {
    "name too long": f"{LONG}",
    "through a file": f"{SANDPIPER}/in.csv",
    "folder that is not there": "no/such/folder/in.csv",
}
COMMANDS = {
    "analyse": ["analyse", "{}", "--car", str(SANDPIPER)],
    "car": ["predict", "{}"],
    "track": ["predict", str(SANDPIPER), "--track", "{}"],
    "store": ["runs", "--store", "{}"],
    "part": ["part", "disc", "--slots", "10", "--out", "{}.svg"],
    "card": ["card", str(SANDPIPER), "--out", "{}"],
    "html": ["predict", str(SANDPIPER), "--runs", "{}"],
    "replay": ["record", "--replay", "{}", "--car", str(SANDPIPER), "--no-page"],
}


@pytest.mark.parametrize("path", PATHS.values(), ids=PATHS)
@pytest.mark.parametrize("command", COMMANDS.values(), ids=COMMANDS)
def test_path_that_cannot_be_used(command: list[str], path: str, tmp_path: Path) -> None:
    done = here(*(word.format(path) for word in command), home=tmp_path)
    assert done.status == 2, done.err
    assert done.out == ""
    assert len(done.complaints) == 1
    assert done.err.startswith("unspool: ")


@pytest.mark.parametrize(
    "arguments",
    [
        ["demo", "--speed", "1e6"],
        ["demo", "--speed", "0"],
        ["demo", "--speed", "nan"],
        ["record", "--replay", "/dev/zero", "--car", str(SANDPIPER)],
        ["part", "disc", "--slots", "10", "--kerf-mm", "1e300", "--out", "disc.svg"],
        ["plan", str(SANDPIPER), "--goal", "reach", "--distance", "1e300"],
        ["rollout", "1", "--length", "nan"],
    ],
    ids=" ".join,
)
def test_number_that_cannot_be_meant(arguments: list[str], tmp_path: Path) -> None:
    done = here(*arguments, home=tmp_path)
    assert done.status == 2, done.err
    assert len(done.complaints) == 1
