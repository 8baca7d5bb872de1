"""A run that was just recorded goes to the attempt that was called."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

import sample_run
from app_parts import filled_store
from unspool.judging import Judge, Organiser, attach_run
from unspool.judging.attaching import measured_by_wheel
from unspool.store import Store


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


def test_what_the_wheel_measured() -> None:
    reading = sample_run.sample_reading()
    far = reading.furthest_m
    found = measured_by_wheel(reading, 0.5 * far)
    assert (found["furthest_m"], found["resting_m"]) == (far, reading.distance_m)
    motion = reading.motion
    at = np.interp(found["time_s"] or 0.0, motion.time_s - motion.launch_s, motion.distance_m)
    assert at == pytest.approx(0.5 * far, abs=1e-6)
    assert measured_by_wheel(reading, 2.0 * far)["time_s"] is None
