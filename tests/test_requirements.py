"""What `make` installs is locked, and the lock holds what pyproject.toml asks for."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
EXTRA = PROJECT["optional-dependencies"]["dev"]
WANTED = {
    "run": PROJECT["dependencies"],
    "dev": [*PROJECT["dependencies"], *EXTRA],
}


PINNED = re.compile(r"^([a-z0-9.-]+)==(\S+)", re.MULTILINE)


def locked(name: str) -> dict[str, set[str]]:
    """By name: its versions, which may differ from Python to Python."""
    versions: dict[str, set[str]] = {}
    for package, version in PINNED.findall((ROOT / "requirements" / f"{name}.txt").read_text()):
        versions.setdefault(package, set()).add(version)
    return versions


@pytest.mark.parametrize("name", WANTED)
def test_lock_holds_what_the_project_asks_for(name: str) -> None:
    have = locked(name)
    for wanted in map(Requirement, WANTED[name]):
        assert wanted.name.lower() in have, wanted
        assert all(map(wanted.specifier.contains, have[wanted.name.lower()])), wanted


def test_both_locks_agree() -> None:
    run, dev = locked("run"), locked("dev")
    assert {name: dev[name] for name in run} == run


@pytest.mark.parametrize("name", WANTED)
def test_every_file_has_a_hash(name: str) -> None:
    text = (ROOT / "requirements" / f"{name}.txt").read_text()
    pinned = re.split(r"^(?=[a-z0-9.-]+==)", text, flags=re.MULTILINE)[1:]
    assert len(pinned) == sum(map(len, locked(name).values()))
    assert all("--hash=sha256:" in one for one in pinned)
