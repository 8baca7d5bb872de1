"""`unspool cars` and `unspool tracks`: what the store knows by name, and the files out of it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.shell import complaint
from sample_run import sample_motion
from unspool.cli.entry import run
from unspool.corrections import this_user
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def store(tmp_path: Path) -> list[str]:
    """The options that name a store with one run."""
    path = tmp_path / "s.sqlite"
    with Store.open(path) as opened:
        files = SANDPIPER.read_text("utf-8"), CORRIDOR.read_text("utf-8")
        opened.add_import(sample_motion().train, *files, source="a.csv")
    return ["--store", str(path)]


@pytest.fixture
def heavier(tmp_path: Path) -> Path:
    """The demo's car at 930 g, with line ends of another system."""
    text = SANDPIPER.read_text("utf-8").replace("mass_g = 910", "mass_g = 930")
    (tmp_path / "heavier.toml").write_bytes(text.replace("\n", "\r\n").encode())
    return tmp_path / "heavier.toml"


def answer(arguments: list[str], capsys: Capsys) -> dict[str, Any]:
    assert run([*arguments, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_file_is_kept_as_a_version_and_comes_back_byte_for_byte(
    store: list[str], heavier: Path, tmp_path: Path, capsys: Capsys
) -> None:
    car = answer(["cars", "--keep", str(heavier), *store], capsys)["car"]
    assert (car["name"], car["version"], car["runs"]) == ("Sandpiper", 2, ["1"])
    first, second = car["versions"]
    assert (first["how"], first["runs"], first["changes"]) == ("run", ["1"], [])
    assert (second["how"], second["who"], second["runs"]) == ("saved", this_user(), [])
    assert second["changes"] == [{"key": "body.mass_g", "before": 910, "after": 930}]
    out = tmp_path / "out.toml"
    assert run(["cars", "sandpiper", "--out", str(out), *store]) == 0
    assert out.read_bytes() == heavier.read_bytes()
    assert run(["cars", "Sandpiper", "--out", str(out), "--version", "1", "--force", *store]) == 0
    assert out.read_bytes() == SANDPIPER.read_bytes()


def test_a_version_is_chosen_and_the_car_put_away(
    store: list[str], heavier: Path, capsys: Capsys
) -> None:
    assert run(["cars", "--keep", str(heavier), *store]) == 0
    capsys.readouterr()
    car = answer(["cars", "Sandpiper", "--use", "1", *store], capsys)["car"]
    assert (car["version"], car["away"]) == (1, False)
    assert [(line["how"], line["version"]) for line in car["history"]] == [
        ("run", 1),
        ("saved", 2),
        ("saved", 1),
    ]
    assert answer(["cars", "Sandpiper", "--put-away", *store], capsys)["car"]["away"]
    (line,) = answer(["cars", *store], capsys)["cars"]
    assert line == {
        "name": "Sandpiper",
        "version": 1,
        "versions": 2,
        "runs": ["1"],
        "away": True,
    }


def test_tracks_are_the_same(store: list[str], capsys: Capsys) -> None:
    assert run(["tracks", "--keep", str(CORRIDOR), *store]) == 0
    capsys.readouterr()
    (line,) = answer(["tracks", *store], capsys)["tracks"]
    assert (line["name"], line["versions"], line["runs"]) == ("Corridor", 1, ["1"])


def test_people_read_what_changed(store: list[str], heavier: Path, capsys: Capsys) -> None:
    assert run(["cars", "--keep", str(heavier), *store]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Sandpiper"
    assert lines[2].endswith(f"saved by {this_user()}, current")
    assert lines[3].strip() == "body.mass_g: 930, before 910"
    assert run(["cars", *store]) == 0
    assert capsys.readouterr().out == "Sandpiper: version 2 of 2, 1 run\n"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["cars", "Dunlin"], "has no car 'Dunlin'"),
        (["cars", "Sandpiper", "--use", "9"], "has no version 9"),
        (["cars", "Sandpiper", "--out", "x.toml", "--version", "9"], "has no version 9"),
        (["cars", "--use", "1"], "give its name first"),
        (["cars", "--put-away"], "give its name first"),
        (["cars", "Sandpiper", "--version", "1"], "--version needs --out"),
        (["cars", "Sandpiper", "--use", "1", "--put-away"], "give one of"),
        (["cars", "--keep", str(CORRIDOR)], "is a track file"),
        (["tracks", "--keep", str(SANDPIPER)], "is a car file"),
    ],
)
def test_what_cannot_be_done_is_said(
    store: list[str], capsys: Capsys, arguments: list[str], says: str
) -> None:
    assert says in complaint([*arguments, *store], capsys)
