"""`unspool correct`, and what `import` says of a run: kept with its history, and followed."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from cli.shell import complaint
from sample_run import sample_motion
from unspool.cli.entry import run
from unspool.corrections import this_user
from unspool.reading.edges.edge_file import write_edge_file
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def store(tmp_path: Path) -> list[str]:
    """The options that name a store with one run."""
    path = tmp_path / "s.sqlite"
    edges = tmp_path / "a.csv"
    write_edge_file(edges, sample_motion().train)
    with Store.open(path) as opened:
        opened.add_import(sample_motion().train, SANDPIPER.read_text(), source="a.csv")
    return ["--store", str(path)]


def answer(arguments: list[str], capsys: Capsys) -> dict[str, Any]:
    assert run([*arguments, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_corrected_run_is_read_and_listed_as_it_is_said(store: list[str], capsys: Capsys) -> None:
    before = answer(["analyse", "1", *store], capsys)
    options = ["--turns", "3.25,5", "--circumference-mm", "300", "--taped-m", "12.4"]
    said = answer(["correct", "1", *options, "--note", "tape again", *store], capsys)
    assert said["run"] == "1"
    assert {(one["field"], one["before"]) for one in said["history"]} == {
        ("taped_m", None),
        ("note", ""),
        ("circumference_mm", None),
        ("turns", None),
    }
    assert {one["who"] for one in said["history"]} == {this_user()}
    assert said["history"][-1]["after"] == [
        {"tier": "start", "turns": 3.25},
        {"tier": "run", "turns": 5.0},
    ]
    after = answer(["analyse", "1", *store], capsys)
    assert after["winding_turns"] == [3.25, 5.0]
    assert after["distance_m"] < 0.9 * before["distance_m"]
    (row,) = answer(["runs", *store], capsys)["runs"]
    assert (row["turns_from"], row["taped_m"], row["corrections"]) == ("said", 12.4, 4)
    assert row["builder_note"] == "tape again"


def test_the_history_is_shown_without_options(store: list[str], capsys: Capsys) -> None:
    assert run(["correct", "1", "--weight-g", "700", *store]) == 0
    assert run(["correct", "1", "--turns", "run=5.5,start=3", *store]) == 0
    capsys.readouterr()
    assert run(["correct", "1", *store]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    assert this_user() in lines[0]
    assert "weight: 700\u00a0g (before: the car file's)" in lines[0]
    assert "3.00 turns on start, 5.50 turns on run" in lines[1]
    assert answer(["correct", "1", *store], capsys)["history"][0]["after"] == 700.0


def test_a_note_is_one_harmless_line_of_the_history(store: list[str], capsys: Capsys) -> None:
    assert run(["correct", "1", "--note", "new\nstring \x1b[31m [red]", *store]) == 0
    capsys.readouterr()
    assert run(["correct", "1", *store]) == 0
    out = capsys.readouterr().out
    assert out.count("\n") == 1
    assert "\x1b" not in out
    assert "new string" in out
    assert "[red]" in out


def test_a_run_nobody_corrected_says_so(store: list[str], capsys: Capsys) -> None:
    assert run(["correct", "1", *store]) == 0
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)


def test_undo_takes_the_last_correction_back(store: list[str], capsys: Capsys) -> None:
    before = answer(["analyse", "1", *store], capsys)
    assert run(["correct", "1", "--turns", "3,5", *store]) == 0
    assert run(["correct", "1", "--undo", *store]) == 0
    capsys.readouterr()
    assert answer(["analyse", "1", *store], capsys) == before
    assert len(answer(["correct", "1", *store], capsys)["history"]) == 2


def test_a_car_and_a_floor_are_said_of_the_run(store: list[str], capsys: Capsys) -> None:
    options = ["--car", str(DUNLIN), "--track", str(CORRIDOR), "--turns", "middle=5"]
    assert run(["correct", "1", *options, *store]) == 0
    capsys.readouterr()
    (row,) = answer(["runs", *store], capsys)["runs"]
    assert (row["car"], row["track"]) == ("Dunlin", "Corridor")
    assert answer(["analyse", "1", *store], capsys)["winding_turns"] == [5.0]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--turns", "1,2,3"], "--turns: found 3 numbers, expected 2"),
        (["--turns", "0,0"], "turns: found 0 on each tier"),
        (["--turns", "0"], "--turns: found 1 number, expected 2"),
        (["--turns", "middle=3"], 'found "middle", expected tiers of the drum: start, run'),
        (["--turns", "start=three"], "a tier and its turns"),
        (["--turns", "start=nan,run=1"], "turns on start: found nan"),
        (["--weight-g", "0"], "weight.mass_g: found 0"),
        (["--circumference-mm", "38.8"], "rolling_circumference_mm"),
        (["--taped-m", "-1"], "taped distance: found -1"),
        (["--car", "no.toml"], "no.toml: cannot be read"),
        (["--car", str(CORRIDOR)], "is a track file"),
        (["--track", str(SANDPIPER)], "is a car file"),
        (["--undo"], "nothing was corrected of run 1"),
        (["--undo", "--note", "x"], "--undo takes back"),
    ],
)
def test_what_does_not_fit_is_one_sentence_and_changes_nothing(
    store: list[str], options: list[str], says: str, capsys: Capsys
) -> None:
    assert says in complaint(["correct", "1", *options, *store], capsys)
    assert answer(["correct", "1", *store], capsys)["history"] == []


@pytest.mark.parametrize("number", ["2", "0", "x", "1.5", "9" * 40])
@pytest.mark.parametrize("options", [[], ["--note", "x"], ["--turns", "3,5"], ["--undo"]])
def test_a_wrong_number_is_refused(
    store: list[str], number: str, options: list[str], capsys: Capsys
) -> None:
    assert "has no run" in complaint(["correct", number, *options, *store], capsys)


def test_a_store_of_a_newer_version_is_refused(store: list[str], capsys: Capsys) -> None:
    import sqlite3

    with sqlite3.connect(store[1]) as direct:
        direct.execute("UPDATE unspool_step SET version_num = '0099'")
    assert "newer unspool" in complaint(["correct", "1", "--note", "x", *store], capsys)


def test_an_import_takes_what_is_known_of_the_run(
    store: list[str], tmp_path: Path, capsys: Capsys
) -> None:
    file = ["import", str(tmp_path / "a.csv"), "--car", str(DUNLIN)]
    known = ["--turns", "1,2,3", "--weight-g", "800", "--taped-m", "9.5", "--note", "damp floor"]
    assert answer([*file, *known, *store], capsys)["run"] == "2"
    assert answer(["analyse", "2", *store], capsys)["winding_turns"] == [1.0, 2.0, 3.0]
    row = answer(["runs", *store], capsys)["runs"][1]
    assert (row["turns_from"], row["taped_m"], row["builder_note"]) == ("said", 9.5, "damp floor")
    assert {one["field"] for one in answer(["correct", "2", *store], capsys)["history"]} == {
        *("turns", "weight_g", "taped_m", "note")
    }
    assert run([*file, "--turns", "3,2,1", *store]) == 0
    assert "unspool correct 2" in capsys.readouterr().out
    assert answer(["analyse", "2", *store], capsys)["winding_turns"] == [1.0, 2.0, 3.0]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--turns", "1,2"], "--turns: found 2 numbers, expected 3"),
        (["--turns", "0,0,0"], "found 0 on each tier"),
        (["--weight-g", "1"], "weight.mass_g: found 1"),
        (["--taped-m", "inf"], "taped distance: found inf"),
        (["--note", "x" * 501], "note: found 501 characters"),
    ],
)
def test_an_import_that_does_not_fit_adds_nothing(
    store: list[str], tmp_path: Path, options: list[str], says: str, capsys: Capsys
) -> None:
    file = ["import", str(tmp_path / "a.csv"), "--car", str(DUNLIN)]
    assert says in complaint([*file, *options, *store], capsys)
    assert len(answer(["runs", *store], capsys)["runs"]) == 1


def test_a_discarded_run_counts_nowhere_until_it_is_restored(
    store: list[str], tmp_path: Path, capsys: Capsys
) -> None:
    edges = str(tmp_path / "a.csv")
    assert run(["import", edges, "--car", str(SANDPIPER), "--track", str(CORRIDOR), *store]) == 0
    assert run(["correct", "1", "--discard", *store]) == 0
    capsys.readouterr()
    assert [row["discarded"] for row in answer(["runs", *store], capsys)["runs"]] == [True, False]
    for command in (
        *(["compare", "1", "2"], ["calibrate", "2", "1"], ["rollout", "1", "--length", "10"]),
        ["predict", str(SANDPIPER), "--runs", "1,2"],
        ["plan", str(SANDPIPER), "--runs", "1,2"],
    ):
        said = complaint([*command, *store], capsys)
        assert "run 1 was discarded" in said
        assert "unspool correct 1 --restore" in said
    assert answer(["analyse", "1", *store], capsys)["car"] == "Sandpiper"  # it can still be seen
    assert run(["correct", "1", "--restore", *store]) == 0
    capsys.readouterr()
    assert answer(["compare", "1", "2", *store], capsys)["unspool"] == 1


def test_the_tape_stands_beside_the_wheel(store: list[str], capsys: Capsys) -> None:
    assert run(["correct", "1", "--taped-m", "12.4", *store]) == 0
    capsys.readouterr()
    read = answer(["analyse", "1", *store], capsys)
    assert (read["taped_m"], read["turns_from"]) == (12.4, "planned")
    assert run(["analyse", "1", *store]) == 0
    more = 12.4 - read["distance_m"]
    said = capsys.readouterr().out.replace("\u00a0", " ")
    assert f"{abs(more):.3f} m {'more' if more > 0 else 'less'} than by the wheel" in said
