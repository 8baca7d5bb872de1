"""Lost edges and reset boards: what there is makes runs, and nothing is joined."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from board_words import TICK_HZ, hello, status, words
from instrument.record.heard_runs import (
    hear,
    overs,
    part,
    session,
    whole,
)
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.wire.decoded import BoardRestarted, Decoded, EdgeBatch, EdgeGap
from unspool.instrument.wire.table import RESUME_MS
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.truth import TrueRun, run


def test_a_gap_in_the_run_is_not_joined(truth: TrueRun) -> None:
    train = session(truth)
    middle = len(train) - len(truth.train) // 2
    keep = np.r_[0:middle, middle + 25 : len(train)]
    gappy = PulseTrain(train.time_s[keep], train.direction[keep], train.number[keep])
    (over,) = overs(hear(RunDetector(), whole(gappy)))
    assert len(over.edges.number) == len(truth.train) - 25
    assert int(over.edges.number[-1] - over.edges.number[0]) + 1 == len(truth.train)


def test_a_run_whose_start_was_lost_is_a_run(truth: TrueRun) -> None:
    late = part(truth.train, 300)
    told = [hello(), EdgeGap(0, int(late.number[0])), *words(late, late.time_s[-1] + 12.0)]
    (over,) = overs(hear(RunDetector(), told))
    assert len(over.edges.number) == len(late)


def gone(train: PulseTrain, start: int, end: int, seen_s: float = 1.0) -> list[Decoded]:
    """What a board says that lost the edges from index `start` to `end`.

    seen_s: how long the link lasted after the edge before them.
    """
    first, rest = part(train, 0, start), part(train, end)
    gap = EdgeGap(int(train.number[start]), end - start)
    told = [hello(), *words(first, first.time_s[-1] + seen_s), gap]
    return [*told, *words(rest, rest.time_s[-1] + 12.0)]


def test_a_gap_that_hides_the_launch_is_the_runs(truth: TrueRun) -> None:
    """The link was off from the rest before the launch on, and the board's memory was too small."""
    train = session(truth)
    launch = len(train) - len(truth.train)
    (over,) = overs(hear(RunDetector(), gone(train, launch, launch + 271, seen_s=5.0)))
    assert over.lost_before == 271
    assert over.edges.number[0] == train.number[launch + 271]
    assert over.winding is not None  # it was at rest before the gap
    assert over.winding.turns == pytest.approx(8.8, abs=0.05)
    assert over.ending is Ending.STOOD_STILL


def test_a_gap_in_the_winding_leaves_it_unknown(truth: TrueRun) -> None:
    train = session(truth)
    (over,) = overs(hear(RunDetector(), gone(train, 40, 90)))
    assert over.winding is None
    assert over.lost_before == 0  # the wheel rested between the gap and the launch
    assert len(over.edges.number) >= len(truth.train)


def test_a_gap_at_the_end_cuts_the_run_off(truth: TrueRun) -> None:
    train = session(truth)
    cut = len(train) - 60
    first = part(train, 0, cut)
    told = [hello(), *words(first, first.time_s[-1] + 1.0), EdgeGap(int(train.number[cut]), 60)]
    end = int(train.number[-1]) + 1
    told += [status(train.time_s[-1] + t, end) for t in (1.0, 5.0, 20.0, 40.0)]
    (over,) = overs(hear(RunDetector(), told))
    assert over.ending is Ending.EDGES_LOST
    assert over.edges.number[-1] == train.number[cut - 1]


@pytest.mark.parametrize("lost", [30, 150, 300])
def test_a_gap_in_the_run_longer_than_a_rest_splits_no_run(truth: TrueRun, lost: int) -> None:
    train = session(truth)
    start = len(train) - len(truth.train) + 100
    (over,) = overs(hear(RunDetector(), gone(train, start, start + lost)))
    assert len(over.edges.number) == len(truth.train) - lost
    assert over.lost_before == 0
    assert over.ending is Ending.STOOD_STILL


def test_a_gap_from_one_run_into_the_next_ends_one_and_belongs_to_the_other() -> None:
    one = session(run(sandpiper(), corridor(), seed=0), before_s=5.0)
    two = session(run(sandpiper(), corridor(), seed=1), before_s=5.0)
    both = PulseTrain(
        np.concatenate([one.time_s, two.time_s - two.time_s[0] + one.time_s[-1] + 40.0]),
        np.concatenate([one.direction, two.direction]),
        np.arange(len(one) + len(two), dtype=np.int64),
    )
    start, end = len(one) - 80, len(one) + int(np.sum(two.direction < 0)) + 50
    first, second = overs(hear(RunDetector(), gone(both, start, end)))
    assert first.ending is Ending.EDGES_LOST
    assert (second.lost_before, second.winding) == (end - start, None)


def test_a_reset_in_the_run_ends_it_and_the_rest_is_another(truth: TrueRun) -> None:
    train = session(truth)
    cut = len(train) - len(truth.train) // 2
    first, rest = part(train, 0, cut), part(train, cut)
    after = PulseTrain(
        rest.time_s - rest.time_s[0] + 0.4, rest.direction, np.arange(len(rest), dtype=np.int64)
    )
    told = [hello(boot=7), *words(first, first.time_s[-1] + 1.0)]
    told += [hello(boot=8), *words(after, after.time_s[-1] + 12)]
    one, two = overs(hear(RunDetector(), told))
    assert (one.boot, two.boot) == (7, 8)
    assert (one.ending, two.ending) == (Ending.BOARD_RESTARTED, Ending.STOOD_STILL)
    assert two.winding is None
    assert len(one.edges.number) + len(two.edges.number) == len(truth.train)


def test_a_board_reset_after_the_run_leaves_it_whole(truth: TrueRun) -> None:
    """Without a host the board holds a run; the cable that fetches it resets the board."""
    train = session(truth)
    next_edge, stood_s = int(train.number[-1]) + 1, float(train.time_s[-1])
    fetched = [item for item in words(train, stood_s + 1.0) if isinstance(item, EdgeBatch)]
    after = [status(stood_s + 60.0 + s, next_edge, reset_at_s=stood_s + 60.0) for s in range(3)]
    (over,) = overs(hear(RunDetector(), [hello(), *fetched, *after]))
    assert over.ending is Ending.STOOD_STILL
    assert len(over.edges.number) == len(truth.train)


def test_a_board_reset_in_the_run_ends_it(truth: TrueRun) -> None:
    """The wheel turned on uncounted; what comes after is another run, or none."""
    train = session(truth)
    cut = len(train) - len(truth.train) // 2
    first, rest = part(train, 0, cut), part(train, cut)
    rest = replace(rest, time_s=rest.time_s + 1.0 + RESUME_MS / 1000)
    told = [hello(), *words(first, first.time_s[-1] + 1.0)]
    told += [BoardRestarted(int(rest.number[0]), round(rest.time_s[0] * TICK_HZ) - 1)]
    told += words(rest, rest.time_s[-1] + 12.0)
    one, two = overs(hear(RunDetector(), told))
    assert (one.ending, two.ending) == (Ending.BOARD_RESTARTED, Ending.STOOD_STILL)
    assert two.edges.number[0] == rest.number[0]
    assert len(one.edges.number) + len(two.edges.number) == len(truth.train)


def test_a_board_reset_in_the_run_ends_it_though_no_edge_follows(truth: TrueRun) -> None:
    train = session(truth)
    first = part(train, 0, len(train) - len(truth.train) // 2)
    cut_s, next_edge = float(first.time_s[-1]), int(first.number[-1]) + 1
    after = [status(cut_s + 2.0 + s, next_edge, reset_at_s=cut_s + 1.5) for s in range(9)]
    (over,) = overs(hear(RunDetector(), [hello(), *words(first, cut_s + 1.0), *after]))
    assert over.ending is Ending.BOARD_RESTARTED


def test_a_board_that_counts_its_boots_anew_is_another_life(truth: TrueRun) -> None:
    told = whole(session(truth))
    one, two = overs(hear(RunDetector(), [*told, *told]))
    np.testing.assert_array_equal(one.edges.ticks, two.edges.ticks)
