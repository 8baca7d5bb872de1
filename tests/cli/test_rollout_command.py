"""`rollout` from files and from the store, for people and for programs; bad input in a sentence."""

from __future__ import annotations

import json
import sqlite3
from dataclasses import replace
from datetime import datetime
from math import pi
from pathlib import Path

import pytest

from cli.shell import complaint, here
from sample_run import sample_motion
from study.rollout.hand import Hand, push
from unspool.car import parse_car
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.runs import stored_run
from unspool.store import Field, Store
from unspool.virtual.demo.scenario import DUNLIN, SANDPIPER

BY_CAR = f"--car={SANDPIPER}"
TRUE_M = 0.3850
KEYS = {
    "unspool",
    "car",
    "wheel",
    "level",
    "tape_sd_m",
    "circumference_m",
    "nominal_m",
    "verdict",
    "text",
    "values",
    "edges_per_turn",
    "proposed",
    "pushes",
    "findings",
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pushes")
    for seed in (1, 2, 3):
        write_edge_file(made / f"p{seed}.csv", push(Hand(circumference_m=TRUE_M), seed, 7))
    write_edge_file(made / "twice.csv", push(Hand(edges=40), 1, 7))
    write_edge_file(made / "far.csv", push(Hand(length_m=3.5), 1, 7))
    (made / "few.csv").write_text("time_s\n1.0\n2.0\n")
    (made / "torn.csv").write_text("time_s,direction\n1.0,1\n0.5,1\n")
    return made


def files(folder: Path) -> list[Path]:
    return [folder / f"p{seed}.csv" for seed in (1, 2, 3)]


def test_for_programs(folder: Path, tmp_path: Path) -> None:
    done = here("rollout", *files(folder), BY_CAR, "--length", "5", "--json", home=tmp_path)
    assert (done.status, done.err) == (0, "")
    assert done.out.count("\n") == 1
    assert done.answer.keys() == KEYS
    found = done.answer["circumference_m"]
    assert found["low"] < TRUE_M < found["high"]
    assert found["high"] - found["low"] < 0.006 * TRUE_M
    assert done.answer["nominal_m"] == pytest.approx(0.3882)
    assert done.answer["edges_per_turn"]["by_pattern"] == 20
    assert done.answer["proposed"]["circumference_m"] == found
    assert [one["left_out"] for one in done.answer["pushes"]] == [None] * 3


def test_lines_for_the_car_file_make_a_car(folder: Path, tmp_path: Path) -> None:
    done = here("rollout", *files(folder), BY_CAR, "--length", "5", home=tmp_path)
    assert (done.status, done.err) == (0, "")
    line = next(one for one in done.out.splitlines() if one.startswith("rolling_circ"))
    text = SANDPIPER.read_text().replace("rolling_circumference_mm = 388.2", line)
    assert parse_car(text, "car.toml").encoder_wheel.radius_m * 6.283185 == pytest.approx(
        TRUE_M, rel=2e-3
    )
    assert 'the one with name = "rear"' in done.out
    assert "388.2\u00a0mm" in done.out


def test_a_miscounted_disc_and_one_that_nothing_explains(folder: Path, tmp_path: Path) -> None:
    twice = here("rollout", folder / "twice.csv", BY_CAR, "--length=5", home=tmp_path)
    assert "pulses_per_turn = 40" in twice.out
    far = here("rollout", folder / "far.csv", BY_CAR, "--length=5", "--json", home=tmp_path)
    assert far.status == 0
    assert far.answer["verdict"] == "unexplained"
    assert far.answer["proposed"] is None


def test_stored_pushes_and_a_length_each(folder: Path, tmp_path: Path) -> None:
    for file in files(folder)[:2]:
        assert here("import", file, BY_CAR, home=tmp_path).status == 0
    lengths = ["--length=5.0", "--length=5.004"]
    done = here("rollout", "1", "2", *lengths, "--json", home=tmp_path)
    assert done.status == 0, done.err
    assert [one["run"] for one in done.answer["pushes"]] == ["run 1", "run 2"]
    assert [one["length_m"] for one in done.answer["pushes"]] == [5.0, 5.004]


def test_page_with_pictures_and_never_over_a_file(folder: Path, tmp_path: Path) -> None:
    page = tmp_path / "rolled.html"
    asked = ["rollout", *files(folder), BY_CAR, "--length=5", f"--html={page}"]
    assert here(*asked, home=tmp_path).status == 0
    text = page.read_text(encoding="utf-8")
    assert text.count('id="picture-') == 2
    assert "rolling_circumference_mm = " in text
    refused = here(*asked, home=tmp_path)
    assert refused.status == 2
    assert "--force" in refused.complaints[0]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["p1.csv", "--length=5"], "give it with --car"),
        (["p1.csv", BY_CAR], "--length is missing"),
        (["--length=5", BY_CAR], "RUN... is missing"),
        (["p1.csv", BY_CAR, "--length=five"], "--length takes a number"),
        (["p1.csv", BY_CAR, "--length=nan"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=-5"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=5000"], "expected metres"),
        (["p1.csv", BY_CAR, "--length=0.06", "--tape-sd=20"], "push over a longer one"),
        (["p1.csv", BY_CAR, "--length=5", "--tape-sd=-1"], "--tape-sd: found"),
        (["p1.csv", BY_CAR, "--length=5", "--tape-sd=inf"], "--tape-sd: found"),
        (["p1.csv", "p2.csv", "p3.csv", BY_CAR, "--length=5", "--length=4"], "2 times for 3 runs"),
        (["p1.csv", "p1.csv", BY_CAR, "--length=5"], "given twice"),
        (["few.csv", BY_CAR, "--length=5"], "by only 2 edges"),
        (["torn.csv", BY_CAR, "--length=5"], "line 3"),
        (["none.csv", BY_CAR, "--length=5"], "cannot be read"),
        (["9", "--length=5"], "no run '9'"),
    ],
)
def test_bad_input(
    arguments: list[str],
    says: str,
    folder: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(folder)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert run(["rollout", *arguments]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert err.count("\n") == 1


def test_pushes_of_two_wheels(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.toml"
    other.write_text(SANDPIPER.read_text().replace("388.2", "390.0"))
    asked = [str(folder / "p1.csv"), str(folder / "p2.csv"), BY_CAR, f"--car={other}"]
    assert run(["rollout", *asked, "--length=5"]) == 2
    assert "has another wheel or disc" in capsys.readouterr().err


@pytest.fixture
def runs_of_wheels(folder: Path, tmp_path: Path) -> Path:
    """A store with two runs of the wheel, one of a smaller wheel and one of another car."""
    path, train = tmp_path / "s.sqlite", sample_motion().train
    text = SANDPIPER.read_text("utf-8")
    with Store.open(path) as store:
        for n, car in enumerate((text, text.replace("mass_g = 910", "mass_g = 900"))):
            store.add_import(replace(train, time_s=train.time_s + n), car, source="a.csv")
        smaller = text.replace("diameter_mm = 124", "diameter_mm = 100")
        smaller = smaller.replace("rolling_circumference_mm = 388.2", "")
        store.add_import(train, smaller, source="smaller.csv")
        store.add_import(train, DUNLIN.read_text("utf-8"), source="other.csv")
    return path


def circumferences(path: Path) -> list[float]:
    with Store.open(path) as store:
        cars = [stored_run(store.run(row.id)).car for row in store.runs()]
    return [round(2e3 * pi * car.encoder_wheel.radius_m, 2) for car in cars]


def rolled(folder: Path, path: Path, *more: str) -> list[str]:
    pushes = [str(file) for file in files(folder)]
    return ["rollout", *pushes, BY_CAR, "--length", "5", "--store", str(path), *more]


def test_a_roll_out_corrects_all_runs_of_its_wheel(
    folder: Path, runs_of_wheels: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = circumferences(runs_of_wheels)
    assert run(rolled(folder, runs_of_wheels, "--correct", "--json")) == 0
    answer = json.loads(capsys.readouterr().out)
    found = round(1e3 * answer["proposed"]["circumference_m"]["value"], 2)
    assert answer["corrected"] == ["1", "2"]
    assert circumferences(runs_of_wheels) == [found, found, *before[2:]]
    with Store.open(runs_of_wheels) as store:
        wheel = stored_run(store.run("1")).car.encoder_wheel
        assert 0.0 < (wheel.radius_sd_m or 0.0) < 0.003 * wheel.radius_m
        assert [one.field for one in store.history("2")] == [
            Field.CIRCUMFERENCE_MM,
            Field.CIRCUMFERENCE_SD_MM,
        ]


def test_a_roll_out_corrects_runs_since_a_day(
    folder: Path, runs_of_wheels: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with sqlite3.connect(runs_of_wheels) as direct:
        old = datetime(2024, 5, 4, 12).astimezone().timestamp() * 1e6
        direct.execute("UPDATE runs SET started_us = ? WHERE id = 1", (int(old),))
    before = circumferences(runs_of_wheels)
    since = ["--correct", "--since", "2024-05-05"]
    assert run(rolled(folder, runs_of_wheels, *since)) == 0
    assert "from now on: 2." in capsys.readouterr().out
    assert circumferences(runs_of_wheels)[0] == before[0]
    assert run(rolled(folder, runs_of_wheels, "--correct", "--since", "2024-05-04")) == 0
    assert "from now on: 1, 2." in capsys.readouterr().out
    assert run(rolled(folder, runs_of_wheels, "--correct", "--since", "2999-01-01")) == 0
    assert "no run of this wheel" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--since", "2024-05-05"], "--since needs --correct"),
        (["--correct", "--since", "yesterday"], '--since: found "yesterday"'),
        (["--correct", "--since", "0001-01-01"], '--since: found "0001-01-01"'),
    ],
)
def test_a_day_that_is_none(
    folder: Path,
    runs_of_wheels: Path,
    options: list[str],
    says: str,
    capsys: pytest.CaptureFixture[str],
) -> None:
    before = circumferences(runs_of_wheels)
    assert says in complaint(rolled(folder, runs_of_wheels, *options), capsys)
    assert circumferences(runs_of_wheels) == before


def test_a_roll_out_of_a_miscounted_disc_corrects_no_run(
    folder: Path, runs_of_wheels: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = circumferences(runs_of_wheels)
    twice = ["rollout", str(folder / "twice.csv"), BY_CAR, "--length", "5", "--correct"]
    assert "mend pulses_per_turn" in complaint([*twice, "--store", str(runs_of_wheels)], capsys)
    assert circumferences(runs_of_wheels) == before
