"""A run end to end: the compiled firmware, a serial device, the store, the reading.

The real ELF runs on a simulated chip; a virtual car turns its wheel in real time. What is read from
the store is held against what the virtual car really did.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from board_rig import Told, assert_on_time, wait_for
from unspool.car import parse_car, parse_track
from unspool.car.winding import counted_turns
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.record import BoardHealth, BoardSeen, Phase, Recorder, RunContext, rebuild
from unspool.reading.events import Reading, analyse
from unspool.store import Store, StoredRun
from unspool.virtual.demo import start
from unspool.virtual.demo.wheel_script import WheelScript

pytestmark = pytest.mark.firmware


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> tuple[WheelScript, Told, Path]:
    """One winding and one run, recorded over pyserial; half a minute of real time."""
    path = tmp_path_factory.mktemp("e2e") / "s"
    told = Told()
    with start("firmware", runs=1) as demo, Store.open(path) as store:
        assert isinstance(demo.link, SerialLink)
        slots = parse_car(demo.car_text, "the demo's car").encoder.pulses_per_turn
        subject = RunContext(demo.car_text, demo.track_text, slots)
        recorder = Recorder(demo.link, store, subject, [told])
        recorder.start()
        wait_for(lambda: told.saved, "the run to be saved")
        recorder.stop()
        recorder.join()
    return demo.script, told, path


@pytest.fixture(scope="module")
def stored(recorded: tuple[WheelScript, Told, Path]) -> StoredRun:
    with Store.open(recorded[2]) as store:
        return store.run("1")


@pytest.fixture(scope="module")
def reading(stored: StoredRun) -> Reading:
    assert stored.car_text is not None
    assert stored.track_text is not None
    assert stored.winding is not None
    car = parse_car(stored.car_text, "the stored car")
    track = parse_track(stored.track_text, "the stored track")
    wound = counted_turns(car, stored.winding.turns, stored.winding.steps)
    return analyse(stored.train, car, track, wound)


def test_every_edge_arrived_at_its_time(
    recorded: tuple[WheelScript, Told, Path], stored: StoredRun
) -> None:
    assert_on_time(stored, recorded[0].truths[0].train)


def test_the_winding_was_counted(stored: StoredRun) -> None:
    assert stored.winding is not None
    assert stored.winding.turns == pytest.approx(8.8, abs=0.051)  # the drum's 3.5 and 5.3


def test_the_simulated_clock_is_found_to_run_true(stored: StoredRun) -> None:
    assert stored.clock is None or abs(stored.clock.ppm) < 3.0 * stored.clock.sd_ppm


def test_onlookers_saw_the_car_go_through_its_cycle(
    recorded: tuple[WheelScript, Told, Path],
) -> None:
    _, told, _ = recorded
    assert told.phases[-4:] == [Phase.WINDING, Phase.READY, Phase.RUNNING, Phase.ENDED]
    assert told.of(BoardSeen)[0].tick_hz == 250_000
    assert told.of(BoardHealth)[-1].edges_lost == 0
    assert 4.9 < told.of(BoardHealth)[-1].battery_v < 5.1


def test_the_reading_is_what_the_car_did(
    recorded: tuple[WheelScript, Told, Path], reading: Reading
) -> None:
    truth = recorded[0].truths[0]
    assert reading.distance_m == pytest.approx(truth.rest_m, abs=0.05)
    assert reading.furthest_m == pytest.approx(truth.furthest_m, abs=0.05)
    assert reading.peak_speed_m_s == pytest.approx(float(truth.speed_m_s.max()), rel=0.02)


@pytest.mark.parametrize("kind", ["tier_change", "release"])
def test_the_events_are_where_they_were(
    recorded: tuple[WheelScript, Told, Path], reading: Reading, kind: str
) -> None:
    true = recorded[0].truths[0].event(kind)
    found = next(event for event in reading.events if event.kind == kind)
    assert found.distance_m == pytest.approx(true.distance_m, abs=0.1)


def test_the_capture_alone_gives_the_run_again(recorded: tuple[WheelScript, Told, Path]) -> None:
    with Store.open(recorded[2]) as store:
        before = store.run("1")
        assert rebuild(store, 1) == ["1"]
        np.testing.assert_array_equal(store.run("1").train.number, before.train.number)
        assert store.check() == []
