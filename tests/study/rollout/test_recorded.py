"""A push by hand, as docs/trackside.md has it, is taken for a run and stored from mark to mark."""

from __future__ import annotations

from dataclasses import replace

import pytest

from board_words import TICK_HZ, hello, words
from study.rollout.hand import Hand, joined, push, turned_round
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunOver
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.study.rollout import Push, roll_out
from unspool.virtual.demo.scenario import sandpiper

HAND = Hand()


@pytest.mark.parametrize("rest_s", [0.5, 1.2, 3.0])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_rolled_back_onto_the_mark_then_pushed(seed: int, rest_s: float) -> None:
    onto = turned_round(push(replace(HAND, length_m=0.25, speed_m_s=0.4), seed + 50, 7))
    sitting = joined(onto, push(HAND, seed, 7), rest_s=rest_s)
    sitting = PulseTrain(sitting.time_s + 60.0, sitting.direction, sitting.number)
    detector = RunDetector(RunContext(edges_per_turn=20, planned_turns=8.8))
    told = [hello(), *words(sitting, float(sitting.time_s[-1]) + 8.0)]
    (over,) = [seen for word in told for seen in detector.feed(word) if isinstance(seen, RunOver)]
    edges = over.edges
    train = PulseTrain(edges.ticks / TICK_HZ, edges.direction, edges.number)
    out = roll_out([Push("run 1", train, 5.0)], sandpiper())
    assert out.verdict.code == "agrees"
