"""Runs are found where a builder would say that there was one, with all their edges."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from board_words import batch, hello, status, words
from instrument.record.heard_runs import (
    BOOTED_S,
    hear,
    let_go,
    overs,
    part,
    phases,
    session,
    steady,
    ticks_s,
    whole,
)
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunGrew
from unspool.instrument.wire.decoded import Decoded, EdgeGap
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.truth import USUAL, TrueRun, run


def flicked(at_s: float, turns: float) -> list[float]:
    """Edge times of a wheel spun by hand: fast at once, each edge a little later than the last."""
    return (at_s + np.cumsum(0.008 * 1.003 ** np.arange(round(turns * 20)))).tolist()


def test_one_run_with_its_winding_and_all_edges(truth: TrueRun) -> None:
    train = session(truth, before_s=6.0)
    seen = hear(RunDetector(), whole(train))
    (over,) = overs(seen)
    assert phases(seen)[:2] == [Phase.WAITING, Phase.WINDING]
    assert phases(seen)[-3:] == [Phase.READY, Phase.RUNNING, Phase.ENDED]
    assert (over.boot, over.ending) == (7, Ending.STOOD_STILL)
    assert over.winding is not None
    assert over.winding.turns == pytest.approx(8.8, abs=0.05)  # the drum has 3.5 and 5.3
    ran = truth.train
    np.testing.assert_array_equal(over.edges.number, train.number[-len(ran) :])
    np.testing.assert_allclose(ticks_s(over), ran.time_s + BOOTED_S, atol=4e-6)
    assert over.launch_ticks / over.tick_hz == pytest.approx(ran.time_s[0] + BOOTED_S, abs=0.5)


@pytest.mark.parametrize("size", [1, 64, 100_000])
def test_batches_make_no_difference(truth: TrueRun, size: int) -> None:
    train = session(truth, before_s=6.0)
    (one,), (two,) = (overs(hear(RunDetector(), whole(train, size=n))) for n in (7, size))
    np.testing.assert_array_equal(one.edges.ticks, two.edges.ticks)
    assert (one.winding, one.launch_ticks, one.key) == (two.winding, two.launch_ticks, two.key)


def test_growing_run_tells_each_edge_once(truth: TrueRun) -> None:
    seen = hear(RunDetector(), whole(session(truth, before_s=6.0)))
    grown = [item for item in seen if isinstance(item, RunGrew)]
    (over,) = overs(seen)
    assert [item.first for item in grown] == [True] + [False] * (len(grown) - 1)
    assert {item.key for item in grown} == {over.key}
    numbers = np.concatenate([item.edges.number for item in grown])
    np.testing.assert_array_equal(numbers, over.edges.number)
    before = seen[: seen.index(grown[0])]
    assert phases(before)[-1] is Phase.RUNNING
    assert seen.index(over) < [phases(seen[: k + 1])[-1] for k in range(len(seen))].index("ended")


def test_edges_just_before_the_launch_are_kept(truth: TrueRun) -> None:
    train = session(truth, before_s=1.0)
    (over,) = overs(hear(RunDetector(), whole(train)))
    recent = train.time_s > over.launch_ticks / over.tick_hz - 2.0
    assert np.sum(over.edges.direction < 0) == np.sum(recent & (train.direction < 0)) > 5


def test_roll_back_belongs_to_the_run() -> None:
    steep = replace(corridor(), distance_m=(0.0, 6.0, 20.0), height_m=(0.0, 0.0, 0.9))
    rolling = run(sandpiper(), steep, USUAL, seed=4)
    (over,) = overs(hear(RunDetector(), whole(session(rolling))))
    assert rolling.event("rollback").distance_m > 1.0
    assert len(over.edges.number) == len(rolling.train)
    assert np.sum(over.edges.direction < 0) > 20


def test_chatter_at_rest_neither_prolongs_nor_starts_a_run(truth: TrueRun) -> None:
    train, n = session(truth), 400
    end = float(train.time_s[-1])
    noisy = PulseTrain(
        np.concatenate([train.time_s, end + 1.0 + 0.1 * np.arange(n)]),
        np.concatenate([train.direction, np.tile([-1, 1], n // 2)]).astype(np.int8),
        np.concatenate([train.number, train.number[-1] + 1 + np.arange(n)]),
    )
    seen = hear(RunDetector(), whole(noisy))
    (over,) = overs(seen)
    assert ticks_s(over)[-1] < end + 4.0
    assert phases(seen)[-1] is Phase.ENDED
    assert phases(seen).count(Phase.RUNNING) == 1


@pytest.mark.parametrize(
    "times",
    [flicked(5.0, 30), steady(2.5, 5.0, 5.0), steady(20.0, 20.0, 5.0)],
    ids=["spun", "pushed to the line", "rolled along evenly"],
)
def test_a_wheel_moved_by_hand_is_no_run(times: list[float]) -> None:
    told: list[Decoded] = [hello(), batch([0.1], [1], 0), batch([0.2], [-1], 1)]
    told += [status(t, 2) for t in (3.0, 4.0)]
    told += [batch([t], [1], 2 + k) for k, t in enumerate(times)]
    told += [status(times[-1] + t, 2 + len(times)) for t in range(1, 14)]
    seen = hear(RunDetector(), told)
    assert overs(seen) == []
    assert phases(seen) == [Phase.WAITING]


def test_a_run_without_a_winding_seen_is_a_run(truth: TrueRun) -> None:
    (over,) = overs(hear(RunDetector(), whole(truth.train)))
    assert over.winding is None
    assert len(over.edges.number) == len(truth.train)


def test_a_run_without_a_winding_seen_is_told_from_a_flick(truth: TrueRun) -> None:
    """The same after a rest that was seen, where a wheel spun by hand would be no run."""
    ran = truth.train
    told: list[Decoded] = [hello(), batch([0.1], [1], 0), status(3.0, 1), status(7.0, 1)]
    later = PulseTrain(ran.time_s, ran.direction, ran.number - ran.number[0] + 1)
    (over,) = overs(hear(RunDetector(), [*told, *words(later, ran.time_s[-1] + 12.0)]))
    assert over.winding is None
    assert len(over.edges.number) >= len(ran) - 1


def test_turned_back_a_little_after_winding_is_no_run() -> None:
    told: list[Decoded] = [hello(), batch(steady(4.0, 6.0, 1.0), [-1] * 80, 0), status(8.5, 80)]
    told += [batch(steady(0.6, 0.6, 9.0), [1] * 12, 80), *[status(t, 92) for t in (11, 12, 13)]]
    told += [batch(steady(1.0, 1.0, 14.0), [-1] * 20, 92), status(16.0, 112), status(17.0, 112)]
    detector = RunDetector()
    assert overs(hear(detector, told)) == []
    assert detector.phase == PhaseChanged(Phase.READY, 4.4)


def test_marks_part_the_winding() -> None:
    detector = RunDetector()
    told = hear(detector, [hello(), batch(steady(3.5, 4.0, 1.0), [-1] * 70, 0)])
    assert told[-1] == PhaseChanged(Phase.WINDING, 3.5)
    detector.mark_tier()
    detector.mark_tier()  # twice on one place is once
    told = hear(detector, [batch(steady(5.5, 6.0, 6.0), [-1] * 110, 70)])
    assert told[-1] == PhaseChanged(Phase.WINDING, 9.0, (3.5, 5.5))
    launch = let_go(14.0, 200)
    seen = hear(detector, [status(13.0, 180), batch(launch, [1] * 200, 180)])
    seen += hear(detector, [status(launch[-1] + t, 380) for t in (1.0, 2.0, 3.0)])
    (over,) = overs(seen)
    assert over.winding is not None
    assert (over.winding.turns, over.winding.steps) == (9.0, (3.5, 5.5))


def test_a_mark_is_taken_back() -> None:
    detector = RunDetector()
    hear(detector, [hello(), batch(steady(3.5, 4.0, 1.0), [-1] * 70, 0)])
    detector.mark_tier()
    assert hear(detector, [batch(steady(1.0, 1.0, 6.0), [-1] * 20, 70)])[-1].wound_steps == (
        3.5,
        1.0,
    )
    assert detector.mark_tier(undo=True) == [PhaseChanged(Phase.WINDING, 4.5)]
    assert detector.mark_tier(undo=True) == []  # there is no other
    detector.mark_tier()
    told = hear(detector, [batch(steady(2.0, 2.0, 9.0), [-1] * 40, 90)])
    assert told[-1] == PhaseChanged(Phase.WINDING, 6.5, (4.5, 2.0))


def test_a_car_rolled_back_to_the_line_is_not_wound_by_that() -> None:
    """30 turns back along the floor, a rest, then 9 turns of winding on a drum that takes 8.8."""
    told: list[Decoded] = [hello(), batch(steady(30.0, 15.0, 1.0), [-1] * 600, 0)]
    told += [status(t, 600) for t in (18.0, 19.0)]
    told += [batch(steady(9.0, 12.0, 20.0), [-1] * 180, 600), status(33.5, 780)]
    launch = let_go(35.0, 200)
    told += [batch(launch, [1] * 200, 780), *[status(launch[-1] + t, 980) for t in (1, 2, 3)]]
    (over,) = overs(hear(RunDetector(RunContext(planned_turns=8.8)), told))
    assert over.winding is not None
    assert over.winding.turns == 9.0
    (plain,) = overs(hear(RunDetector(), told))
    assert plain.winding is not None
    assert plain.winding.turns == 39.0


def test_rolled_back_and_let_go_without_a_rest_says_no_winding() -> None:
    launch = let_go(16.5, 200)
    told: list[Decoded] = [hello(), batch(steady(30.0, 15.0, 1.0), [-1] * 600, 0)]
    told += [batch(launch, [1] * 200, 600), *[status(launch[-1] + t, 800) for t in (1, 2, 3)]]
    (over,) = overs(hear(RunDetector(RunContext(planned_turns=8.8)), told))
    assert over.winding is None


def test_what_is_left_on_the_drum_counts_for_the_next_run() -> None:
    """A car that stops after 2 of 6 turns is still wound by 4."""
    detector, launch = RunDetector(), let_go(9.0, 40)
    told: list[Decoded] = [hello(), batch(steady(6.0, 4.0, 1.0), [-1] * 120, 0), status(8.0, 120)]
    told += [batch(launch, [1] * 40, 120), *[status(launch[-1] + t, 160) for t in range(1, 9)]]
    (over,) = overs(hear(detector, told))
    assert over.winding is not None
    assert over.winding.turns == 6.0
    assert detector.phase == PhaseChanged(Phase.READY, 4.0)


def test_turns_are_unknown_where_nobody_says_the_slots() -> None:
    launch = let_go(9.0, 200)
    told: list[Decoded] = [
        hello(edges_per_turn=0),
        batch(steady(6.0, 4.0, 1.0), [-1] * 120, 0),
        batch(launch, [1] * 200, 120),
        *[status(launch[-1] + t, 320) for t in range(1, 5)],
    ]
    (unknown,) = overs(hear(RunDetector(), told))
    (known,) = overs(hear(RunDetector(RunContext(edges_per_turn=24)), told))
    assert unknown.winding is None
    assert known.winding is not None
    assert known.winding.turns == 5.0


def test_a_status_older_than_edges_still_to_come_is_no_rest(truth: TrueRun) -> None:
    """The link was away in the middle of the run: the first status after it is of much later."""
    train = session(truth)
    cut = len(train) - len(truth.train) // 2
    first, rest = part(train, 0, cut), part(train, cut)
    late = status(train.time_s[-1] + 30.0, int(train.number[-1]) + 1)
    told = [hello(), *words(first, first.time_s[-1] + 1.0), hello(), late]
    told += [*words(rest, train.time_s[-1] + 2.0), late]
    (over,) = overs(hear(RunDetector(), told))
    assert len(over.edges.number) == len(truth.train)


def test_a_recording_stopped_in_the_run_keeps_what_there_is(truth: TrueRun) -> None:
    detector = RunDetector()
    hear(detector, [hello(), *words(session(truth), truth.launch_s + BOOTED_S + 5.0)])
    (over,) = overs(detector.finish())
    assert over.ending is Ending.RECORDING_STOPPED
    assert 30 < len(over.edges.number) < len(truth.train)
    assert detector.finish() == []


def test_who_looks_on_later_gets_the_run_so_far(truth: TrueRun) -> None:
    detector = RunDetector()
    seen = hear(detector, [hello(), *words(session(truth), truth.launch_s + BOOTED_S + 5.0)])
    phase, grew = detector.under_way()
    told = [item.edges.number for item in seen if isinstance(item, RunGrew)]
    assert isinstance(phase, PhaseChanged)
    assert phase.phase is Phase.RUNNING
    assert isinstance(grew, RunGrew)
    assert grew.first
    np.testing.assert_array_equal(grew.edges.number, np.concatenate(told))


def test_words_before_the_hello_mean_nothing() -> None:
    detector = RunDetector()
    assert hear(detector, [status(5.0, 3), batch([1.0, 1.1], [1, 1], 3), EdgeGap(0, 3)]) == []
    assert detector.finish() == []


def test_runs_in_a_row_each_with_its_own_winding() -> None:
    told: list[Decoded] = [hello()]
    first, at = 0, 0.0
    for seed in range(3):
        train = session(run(sandpiper(), corridor(), seed=seed), before_s=5.0)
        moved = PulseTrain(
            train.time_s - train.time_s[0] + at + 1.0, train.direction, train.number + first
        )
        told += words(moved, moved.time_s[-1] + 11.0)
        first, at = int(moved.number[-1]) + 1, float(moved.time_s[-1]) + 11.0
    found = overs(hear(RunDetector(), told))
    wound = [over.winding.turns for over in found if over.winding]
    assert wound == pytest.approx([8.8, 8.8, 8.8], abs=0.051)
