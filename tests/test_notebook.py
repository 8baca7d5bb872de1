"""unspool as a notebook uses it."""

from __future__ import annotations

import doctest
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import unspool
from study.rollout.hand import Hand, push
from unspool import notebook
from unspool.errors import InputError
from unspool.virtual.demo.scenario import SANDPIPER, sandpiper
from unspool.virtual.truth import PERFECT
from unspool.virtual.truth import run as true_run


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder as the examples have it: a car file and an edge file."""
    shutil.copy(SANDPIPER, tmp_path / "sandpiper.toml")
    truth = true_run(sandpiper(), unspool.FLAT, PERFECT, seed=3)
    unspool.write_edges(tmp_path / "run.csv", truth.train)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_example_of_the_package(folder: Path) -> None:
    found = doctest.testmod(unspool)
    assert found.attempted > 5
    assert found.failed == 0


def test_all_that_is_offered_is_there() -> None:
    assert sorted(unspool.__all__) == sorted(notebook.__all__)
    for name in unspool.__all__:
        assert getattr(unspool, name) is getattr(notebook, name)
    assert set(unspool.__all__) <= set(dir(unspool))
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = unspool.nothing


def test_import_loads_nothing_heavy() -> None:
    code = "import unspool, sys; print(*sorted(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=_environment()
    )
    loaded = {name.split(".")[0] for name in done.stdout.split()}
    assert not loaded & {"numpy", "pandas", "plotly", "dash", "sqlalchemy", "scipy", "typer"}


def _environment() -> dict[str, str]:
    import os

    return {**os.environ, "PYTHONPATH": str(Path(unspool.__file__).parents[1])}


def test_paths_do_as_well_as_objects(folder: Path) -> None:
    by_path = unspool.analyse("run.csv", "sandpiper.toml")
    by_object = unspool.analyse(
        unspool.read_edges("run.csv"), unspool.load_car(folder / "sandpiper.toml"), unspool.FLAT
    )
    assert by_path.events == by_object.events
    expected = unspool.predict("sandpiper.toml")
    assert expected.distance_m == unspool.predict(unspool.load_car("sandpiper.toml")).distance_m


def test_a_plan_in_a_notebook(folder: Path) -> None:
    planned = unspool.plan("sandpiper.toml", goal="reach", distance_m=8.0)
    assert unspool.predict(planned.car).distance_m == pytest.approx(8.0, abs=0.02)
    frame = unspool.changes_frame(planned)
    assert list(frame.columns) == ["name", "less", "more"]
    assert list(unspool.tornado_figure(planned).data[1].y) == list(frame["name"])


def test_a_roll_out_in_a_notebook(folder: Path) -> None:
    unspool.write_edges("push.csv", push(Hand(), 1))
    out = unspool.roll_out(["push.csv"], "sandpiper.toml", length_m=5.0)
    assert out.circumference_m.low < 0.3882 < out.circumference_m.high
    assert out.verdict.code == "agrees"


def test_frames_hold_the_reading(folder: Path) -> None:
    reading = unspool.analyse("run.csv", "sandpiper.toml")
    motion = unspool.motion_frame(reading)
    assert len(motion) == len(reading.motion.used)
    assert np.array_equal(motion["distance_m"], reading.motion.distance_m)
    events = unspool.events_frame(reading)
    assert list(events["kind"]) == ["launch", "tier_change", "release", "stop"]
    assert list(events["to_tier"])[1] == "run"


def test_frames_hold_the_prediction() -> None:
    expected = unspool.predict(SANDPIPER)
    curve = unspool.curve_frame(expected)
    assert list(curve.columns) == ["time_s", "distance_m", "speed_m_s"]
    assert curve["distance_m"].iloc[-1] == pytest.approx(expected.distance_m)
    assert list(unspool.events_frame(expected)["kind"])[-1] == "stop"


def test_store_as_a_frame(folder: Path) -> None:
    with unspool.open_store(folder / "store.sqlite") as store:
        train = unspool.read_edges("run.csv")
        store.add_import(train, SANDPIPER.read_text(), None, source="run.csv")
        runs = unspool.runs_frame(store)
    assert list(runs["car"]) == ["Sandpiper"]
    assert list(runs["edges"]) == [len(train)]


def test_edges_and_cars_calibrate_and_the_losses_serve_the_next_run() -> None:
    car = sandpiper()
    trains = [true_run(car, unspool.FLAT, PERFECT, seed=seed).train for seed in range(2)]
    calibration = unspool.calibrate(trains, car)
    frame = unspool.losses_frame(calibration).set_index("name")
    efficiency = frame.loc["drive_efficiency"]
    assert efficiency["low"] <= 0.92 <= efficiency["high"]
    assert not frame.loc["constant_drag_n", "known"]
    expected = unspool.predict(car, calibration=calibration)
    assert expected.distance_high_m == unspool.predict(car, calibration=trains).distance_high_m
    assert expected.distance_low_m < unspool.analyse(trains[0], car).distance_m
    plan = unspool.plan(car, goal="reach", distance_m=8.0, calibration=calibration)
    assert plan.learnt_from == ("run 1", "run 2")


def test_a_car_and_a_track_for_all_runs_or_one_a_run() -> None:
    car, ramp = sandpiper(), unspool.Track("ramp", (0.0, 30.0), (0.0, 0.15), 1.2)
    train = true_run(car, ramp, PERFECT, seed=1).train
    as_one = unspool.calibrate([train], [car], [ramp])
    assert as_one.terms == unspool.calibrate([train], car, ramp).terms
    assert as_one.terms != unspool.calibrate([train], car).terms
    with pytest.raises(InputError, match="1 runs and 2 cars"):
        unspool.calibrate([train], [car, car])
    with pytest.raises(InputError, match="1 runs and 0 tracks"):
        unspool.calibrate([train], car, [])


def test_a_limit_that_is_asked_for_is_kept() -> None:
    plan = unspool.plan(SANDPIPER, limits={"start_margin": 4.0})
    assert plan.prediction.start_margin >= 4.0


def test_a_part_that_is_owned_is_fitted() -> None:
    owned = unspool.Owned.measured(sandpiper(), weights_g=[900])
    assert unspool.plan(SANDPIPER, owned=owned).car.weight_mass_kg == pytest.approx(0.9)


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ({"goal": "far"}, "the goal is 'far'; expected one of farthest, fastest, reach"),
        ({"limits": {"start": 2.0}}, "no limit 'start'; the limits are start_margin, "),
        ({"goal": "fastest"}, "--distance"),
    ],
)
def test_a_goal_or_limit_that_does_not_exist_is_refused(
    asked: dict[str, object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        unspool.plan(SANDPIPER, **asked)


def test_groups_of_readings_are_compared() -> None:
    car = sandpiper()
    less = car.wound(tuple(0.8 * tier.turns for tier in car.drum))
    groups = {
        name: [
            unspool.analyse(true_run(made, unspool.FLAT, PERFECT, seed=seed).train, made)
            for seed in range(2)
        ]
        for name, made in (("all", car), ("less", less))
    }
    frame = unspool.differences_frame(unspool.compare(groups, car))
    distance = frame[frame["quantity"] == "distance_m"].iloc[0]
    assert (distance["first"], distance["second"]) == ("all", "less")
    gone = groups["less"][0].distance_m - groups["all"][0].distance_m
    assert distance["difference"] == pytest.approx(gone, rel=0.01)
    assert distance["verdict"] == "different"


def test_a_sweep_in_a_notebook() -> None:
    found = unspool.sweep(
        sandpiper(), tiers_mm={"run": range(8, 13, 2)}, weights_g=[400, 900], counts="furthest"
    )
    assert found.best.values == (0.008, 0.9)
    table = unspool.sweep_frame(found)
    assert list(table.columns)[:2] == ["tier_run_m", "weight_kg"]
    assert len(table) == 6
    assert table["distance_m"].max() == pytest.approx(found.score.max())
    assert unspool.sweep_figure(found).layout.xaxis.title.text == "tier run (mm)"
    assert unspool.limits_figure(found).layout.yaxis.title.text == "weight (g)"


def test_a_sweep_without_ranges_is_refused() -> None:
    with pytest.raises(InputError, match="nothing to vary"):
        unspool.sweep(sandpiper())


def test_a_run_of_the_store_is_read_once_and_corrected(folder: Path) -> None:
    with unspool.open_store(folder / "store.sqlite") as store:
        text = (folder / "sandpiper.toml").read_text("utf-8")
        store.add_import(unspool.read_edges("run.csv"), text, source="run.csv")
        assert unspool.stored_run(store, "1").turns_from == "planned"
        first = unspool.read_run(store, "1")
        assert unspool.read_run(store, "1").events == first.events
        run = unspool.correct_run(store, "1", turns=(3, 5.5), weight_g=655.0, taped_m=12.5)
        assert (run.turns_from, run.counted, run.taped_m) == ("said", (3.0, 5.5), 12.5)
        assert run.car.weight_mass_kg == pytest.approx(0.655)
        assert unspool.read_run(store, "1").winding == (3.0, 5.5)
        assert {one.field for one in store.history("1")} == {"weight_g", "taped_m", "turns"}
        for wrong in ({"turns": (1, 2, 3)}, {"turns": (0, 0)}, {"weight_g": 0.655}):
            with pytest.raises(InputError):
                unspool.correct_run(store, "1", **wrong)
        assert list(unspool.runs_frame(store)["turns_from"]) == ["said"]
