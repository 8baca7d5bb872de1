"""`unspool calibrate`, for people and for programs, and what it refuses."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from study.calibration.hidden_runs import varied
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Edge files of two windings, a car file for each winding, and a store with three runs."""
    made = tmp_path_factory.mktemp("runs")
    text = SANDPIPER.read_text().partition("[losses]")[0]
    files = {"a": text, "b": text.replace("turns = 3.5", "turns = 2.5")}
    for name, car in files.items():
        (made / f"{name}.toml").write_text(car)
    rng = np.random.default_rng(1)
    with Store.open(made / "runs.sqlite") as store:
        for i, (name, start) in enumerate((("a", 3.5), ("b", 2.5), ("a", 3.5))):
            car = varied(sandpiper().wound((start, 5.3)), 0.003, rng)
            train = true_run(car, corridor(), USUAL, seed=i).train
            write_edge_file(made / f"{i}.csv", train)
            store.add_import(train, files[name], CORRIDOR.read_text(), source=f"{i}.csv")
    held = replace(USUAL, held_m=0.3)
    bad = true_run(sandpiper().wound((2.5, 5.3)), corridor(), held, seed=9).train
    write_edge_file(made / "bad.csv", bad)
    (made / "short.csv").write_text("time_s,direction\n0.1,1\n0.2,1\n0.3,1\n")
    (made / "broken.toml").write_text(text.replace("mass_g = 910", "mass_g = -910"))
    return made


def arguments(folder: Path, runs: str, cars: str, *more: str) -> list[str]:
    files = [str(folder / f"{name}.csv") for name in runs.split()]
    given = [f"--car={folder / name}.toml" for name in cars.split()]
    return ["calibrate", *files, *given, f"--track={CORRIDOR}", *more]


def answer(asked: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    assert run([*asked, "--json"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    told = json.loads(said.out)
    assert isinstance(told, dict)
    return told


def test_a_car_for_each_file(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = answer(arguments(folder, "0 1 2", "a b a"), capsys)
    weight = 1.55 * 9.80665
    assert told["resistance_n"]["value"] == pytest.approx(0.996 * (0.012 * weight + 0.01), rel=0.01)
    assert told["losses"]["drive_efficiency"]["known"] is True
    assert told["losses"]["rolling_coefficient"]["known"] is False
    assert told["losses"]["constant_drag_n"]["known"] is False
    assert [Path(one["run"]).name for one in told["runs"]] == ["0.csv", "1.csv", "2.csv"]
    assert told["residual_sd_m"] < 0.2


def test_one_car_for_all(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = answer(arguments(folder, "0 2", "a"), capsys)
    odd = [one["odd"] for one in told["runs"]]
    assert odd == [0.0, 0.0], "two runs cannot outvote each other"
    (few,) = (finding for finding in told["findings"] if finding["code"] == "few_runs")
    assert few["values"] == {"more": 1}
    assert few["text"] in told["advice"]


def test_stored_runs(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    store = f"--store={folder / 'runs.sqlite'}"
    told = answer(["calibrate", "1", "2", "3", store], capsys)
    filed = answer(arguments(folder, "0 1 2", "a b a"), capsys)
    assert told["losses"] == filed["losses"]
    assert [one["run"] for one in told["runs"]] == ["run 1", "run 2", "run 3"]


def test_for_people(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments(folder, "0 1 2", "a b a")) == 0
    out = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
    assert out.startswith("Sandpiper, calibrated from 3 runs")
    assert "hold the car of 1.55 kg back with 0.19" in out
    assert "not known" in out  # the rest of the cell may be on the next line
    advice = answer(arguments(folder, "0 1 2", "a b a"), capsys)["advice"]
    assert advice
    assert all(" ".join(text.split()) in out for text in advice)


def test_a_bad_run_is_named_and_the_rest_used(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = answer(arguments(folder, "0 1 2 bad", "a b a b"), capsys)
    weight = 1.55 * 9.80665
    assert told["resistance_n"]["value"] == pytest.approx(0.996 * (0.012 * weight + 0.01), rel=0.02)
    bad = told["runs"][3]
    assert "string let go early" in bad["without_drive"]
    assert Path(told["findings"][0]["values"]["run"]).name == "bad.csv"


def test_a_run_too_short_is_left_out_and_said(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = answer(arguments(folder, "0 1 short", "a b a"), capsys)
    (first, *_) = told["findings"]
    assert first["code"] == "run_left_out"
    assert first["values"]["found"] == "did_not_start"
    assert Path(first["values"]["run"]).name == "short.csv"
    assert told["runs"][2]["left_out"] == first["text"]


@pytest.mark.parametrize(
    ("runs", "cars", "told"),
    [
        ("0 none", "a", "none.csv: cannot be read"),
        ("0 1", "a b a", "--car is given 3 times for 2 edge files"),
        ("0 1", "", "give it with --car"),
        ("0 1", "none", "none.toml: cannot be read"),
        ("0 1", "broken", "body.mass_g: found -910"),
        ("0 0", "a", "is given twice"),
        ("short", "a", "none of the runs can be used"),
    ],
)
@pytest.mark.parametrize("form", [[], ["--json"]])
def test_refusals(
    runs: str,
    cars: str,
    told: str,
    form: list[str],
    folder: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert run(arguments(folder, runs, cars, *form)) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert len(said.err.splitlines()) == 1
    assert said.out == ""
