"""A run that was just recorded goes to the attempt that was called."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import Mock

import numpy as np
import pytest

import sample_run
from app_parts import car_text, filled_store
from unspool.errors import StoreWaitError
from unspool.judging import Judge, Organiser, attach_late, attach_run, events_in
from unspool.judging.attaching import measured_by_wheel
from unspool.reading.edges.ending import Ending
from unspool.store import FoundRun, Store, Winding


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with filled_store(tmp_path, ("Sandpiper", "Dunlin")) as opened:
        yield opened


def test_a_run_goes_to_the_called_attempt_of_its_car_once(store: Store) -> None:
    organiser = Organiser.make(store, "Ada", "Cup")
    sand, dun = organiser.enter("Reed", "Sandpiper"), organiser.enter("Sedge", "Dunlin")
    judge = Judge(store, organiser.id, "Ada")
    assert attach_run(store, "1", "Sandpiper") is None
    judge.call(sand, 1)
    judge.call(dun, 1)
    assert attach_run(store, "1", "") is None  # it could be either's
    assert attach_run(store, "1", "sandpiper") == organiser.id
    assert attach_run(store, "1", "Sandpiper") is None
    assert attach_run(store, "2", "") == organiser.id
    contest = organiser.contest
    runs = [contest.entries[entry].attempts[1].wheel for entry in (sand, dun)]
    assert [one.run if one else None for one in runs] == ["1", "2"]


def _recorded(store: Store, began: datetime, car: str, ending: Ending = Ending.STOOD_STILL) -> str:
    train = replace(sample_run.sample_motion().train, ending=ending)
    found = FoundRun(train, 1, 250_000.0, began, Winding(8.9), None)
    return store.save_found(store.begin_capture("virtual:").capture, found, car_text(car))


def _wheels(organiser: Organiser) -> dict[tuple[int, int], str | None]:
    every = [one for entry in organiser.contest.entries.values() for one in entry.made()]
    return {(one.entry, one.number): one.wheel and one.wheel.run for one in every}


def test_a_run_that_comes_late_goes_to_the_attempt_in_which_it_began(store: Store) -> None:
    organiser = Organiser.make(store, "Ada", "Cup")
    sand, dun = organiser.enter("Reed", "Sandpiper"), organiser.enter("Sedge", "Dunlin")
    judge = Judge(store, organiser.id, "Ada")
    practice = datetime.now(UTC)
    began = []
    for number in (1, 2):
        for entry in (sand, dun):
            judge.call(entry, number)
            began.append(datetime.now(UTC))
            judge.tape(entry, number, "9")
    after = datetime.now(UTC)
    _recorded(store, practice, "Sandpiper")
    _recorded(store, after, "Sandpiper")
    second, first = (_recorded(store, began[k], " sandpiper") for k in (2, 0))
    _recorded(store, began[1], "Dunlin", Ending.RECORDING_STOPPED)  # more of it may come
    newest = store.contests.newest()
    assert attach_late(store, organiser.id)
    nothing = {(dun, 1): None, (dun, 2): None}
    assert _wheels(organiser) == {(sand, 1): first, (sand, 2): second} | nothing
    assert store.contests.newest() != newest
    assert not attach_late(store, organiser.id)


def test_a_run_that_a_judge_took_back_is_not_attached_again(store: Store) -> None:
    organiser = Organiser.make(store, "Ada", "Cup")
    sand = organiser.enter("Reed", "Sandpiper")
    judge = Judge(store, organiser.id, "Ada")
    judge.call(sand, 1)
    run = _recorded(store, datetime.now(UTC), "Sandpiper")
    assert attach_late(store, organiser.id)
    judge.undo(judge.contest.revision)
    assert not attach_late(store, organiser.id)
    assert _wheels(organiser) == {(sand, 1): None}
    organiser.close()
    assert not attach_late(store, organiser.id)
    assert events_in(store, organiser.id)[-3].data["run"] == run


def test_a_clock_that_is_set_back_attaches_nothing_wrong(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    organiser = Organiser.make(store, "Ada", "Cup")
    sand = organiser.enter("Reed", "Sandpiper")
    judge = Judge(store, organiser.id, "Ada")
    judge.call(sand, 1)
    true_ns = time.time_ns
    monkeypatch.setattr("time.time_ns", lambda: true_ns() - 3_600_000_000_000)
    judge.tape(sand, 1, "9")
    run = _recorded(store, datetime.now(UTC), "Sandpiper")
    assert not attach_late(store, organiser.id)
    judge.call(sand, 2)
    assert attach_run(store, run, "Sandpiper") == organiser.id  # its recorder says so itself
    assert _wheels(organiser) == {(sand, 1): None, (sand, 2): run}


def test_a_run_waits_for_a_store_that_does_not_answer(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    organiser = Organiser.make(store, "Ada", "Cup")
    sand = organiser.enter("Reed", "Sandpiper")
    Judge(store, organiser.id, "Ada").call(sand, 1)
    with monkeypatch.context() as patch:
        patch.setattr(type(store), "run", Mock(side_effect=StoreWaitError("away")))
        with pytest.raises(StoreWaitError):
            attach_run(store, "1", "Sandpiper")
    assert _wheels(organiser) == {(sand, 1): None}
    assert attach_run(store, "1", "Sandpiper") == organiser.id


def test_what_the_wheel_measured() -> None:
    reading = sample_run.sample_reading()
    far = reading.furthest_m
    found = measured_by_wheel(reading, 0.5 * far)
    assert (found["furthest_m"], found["resting_m"]) == (far, reading.distance_m)
    motion = reading.motion
    at = np.interp(found["time_s"] or 0.0, motion.time_s - motion.launch_s, motion.distance_m)
    assert at == pytest.approx(0.5 * far, abs=1e-6)
    assert measured_by_wheel(reading, 2.0 * far)["time_s"] is None
