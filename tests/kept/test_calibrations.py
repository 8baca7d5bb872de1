"""Calibrations that the store kept equal fresh ones, and change with what they rest on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from unspool.car import load_car
from unspool.kept import Calibrations, Readings
from unspool.kept.codec import plain
from unspool.runs import stored_run
from unspool.store import Store
from unspool.study.calibration import Calibration, CalibrationRun, calibrate
from unspool.study.measured_run import MeasuredRun
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.truth import USUAL
from unspool.virtual.truth import run as true_run


class Made:
    """Fits and counts how often."""

    def __init__(self, runs: list[MeasuredRun]) -> None:
        self.runs, self.times = runs, 0

    def __call__(self) -> Calibration:
        self.times += 1
        read = Readings(None)
        return calibrate([CalibrationRun.of(run, read.reading(run)) for run in self.runs])


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    car, text = load_car(SANDPIPER), SANDPIPER.read_text("utf-8")
    with Store.open(tmp_path / "runs.sqlite") as opened:
        for seed in (1, 2):
            train = true_run(car, imperfections=USUAL, seed=seed).train
            opened.add_import(train, text, None, source="a.csv")
        yield opened


def test_a_kept_calibration_is_the_fresh_one_until_something_changes(store: Store) -> None:
    runs = [stored_run(store.run("1")), stored_run(store.run("2"))]
    made = Made(runs)
    fresh = Calibrations(store).calibration(runs, made)
    kept = Calibrations(store).calibration(runs, made)
    assert made.times == 1
    assert plain(kept) == plain(fresh)
    heavier = replace(runs[1].car, body_mass_kg=1.01 * runs[1].car.body_mass_kg)
    for others in (runs[::-1], runs[:1], [runs[0], replace(runs[1], car=heavier)]):
        before = made.times
        Calibrations(store).calibration(others, made)
        assert made.times == before + 1


def test_edge_files_are_fitted_each_time(store: Store) -> None:
    runs = [stored_run(store.run("1")), replace(stored_run(store.run("2")), stored=None)]
    made = Made(runs)
    for _ in range(2):
        Calibrations(store).calibration(runs, made)
    assert made.times == 2
