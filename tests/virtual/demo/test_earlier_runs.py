"""The runs that the demo's cars are said to have made before."""

from __future__ import annotations

from pathlib import Path

import pytest

from unspool.contest import board, forecasters
from unspool.judging import contest_in
from unspool.reading.events import analyse
from unspool.runs import stored_run
from unspool.store import Store
from unspool.study.compare import ComparedRun, Distinction, compare
from unspool.virtual.demo import add_contest, add_earlier_runs
from unspool.virtual.demo.earlier_runs import EARLIER
from unspool.virtual.demo.scenario import LIVE_WINDINGS, corridor, sandpiper
from unspool.virtual.demo.wheel_script import wheel_script


def test_they_are_added_once_with_what_was_wound(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s.sqlite") as store:
        add_earlier_runs(store)
        add_earlier_runs(store)
        runs = [stored_run(store.run(row.id)) for row in store.runs()]
    assert len(runs) == len(EARLIER)
    for run, (_, turns) in zip(runs, EARLIER, strict=True):
        assert run.counted == pytest.approx(turns)


def test_a_visitor_sees_windings_that_differ(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s.sqlite") as store:
        add_earlier_runs(store)
        add_contest(store)
        runs = [stored_run(store.run(row.id)) for row in store.runs()]
        entries = contest_in(store, "1").competing()
    wheels = [one.wheel for entry in entries for one in entry.made() if one.wheel]
    readings = [(run, analyse(run.train, run.car, run.track, run.counted)) for run in runs]
    for car in ("Sandpiper", "Dunlin"):
        compared = [ComparedRun.of(run, it) for run, it in readings if run.car.name == car]
        comparison = compare(compared, "winding")
        assert len(comparison.groups) == 2
        verdicts = {one.quantity.key: one.verdict for one in comparison.differences}
        assert verdicts["peak_speed_m_s"] is Distinction.DIFFERENT
    measured = {str(n): reading.furthest_m for n, (_run, reading) in enumerate(readings, 1)}
    assert {one.run: one.furthest_m for one in wheels} == pytest.approx(
        {one.run: measured[one.run] for one in wheels}, abs=0.001
    )


def test_the_contest_waits_for_the_live_car(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s.sqlite") as store:
        add_earlier_runs(store)
        add_contest(store)
        add_contest(store)
        assert store.contests.listed() == ["1"]
        contest = contest_in(store, "1")
    entry, number = contest.called or (0, 0)
    assert (contest.entries[entry].car, number) == (sandpiper().name, 2)
    (everybody,) = board(contest)
    assert [row.place for row in everybody.rows] == [1, 2, 3, 4, None]
    assert len(forecasters(contest)) == 3


def test_live_runs_are_wound_in_turn() -> None:
    script = wheel_script(sandpiper(), corridor(), runs=4, windings=LIVE_WINDINGS)
    wound = [tuple(tier.turns for tier in truth.car.drum) for truth in script.truths]
    assert wound == [*LIVE_WINDINGS, LIVE_WINDINGS[0]]
    # a turn too few leaves energy in the weight
    assert script.truths[1].rest_m < script.truths[0].rest_m - 1.0
