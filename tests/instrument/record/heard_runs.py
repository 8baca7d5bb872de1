"""What a detector of runs hears of a true run, and what it then reports."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from board_words import hello, words
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunEvent, RunOver
from unspool.instrument.wire.decoded import Decoded
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.virtual.truth import TrueRun, session_train

BOOTED_S = 60.0  # the board has been on for a minute when the truth's clock starts


def session(truth: TrueRun, before_s: float = 10.0) -> PulseTrain:
    train = session_train(truth, before_s)
    return PulseTrain(train.time_s + BOOTED_S, train.direction, train.number)


def hear(detector: RunDetector, told: Iterable[Decoded]) -> list[RunEvent]:
    return [seen for heard in told for seen in detector.feed(heard)]


def overs(seen: list[RunEvent]) -> list[RunOver]:
    return [item for item in seen if isinstance(item, RunOver)]


def phases(seen: list[RunEvent]) -> list[Phase]:
    """The phases that were reported, each once however often its turns changed."""
    out: list[Phase] = []
    for item in seen:
        if isinstance(item, PhaseChanged) and (not out or item.phase != out[-1]):
            out.append(item.phase)
    return out


def ticks_s(over: RunOver) -> np.ndarray:
    return over.edges.ticks / over.tick_hz


def part(train: PulseTrain, start: int, end: int | None = None) -> PulseTrain:
    return PulseTrain(train.time_s[start:end], train.direction[start:end], train.number[start:end])


def steady(turns: float, seconds: float, at_s: float) -> list[float]:
    """Edge times of a wheel with 20 edges a turn that is turned evenly."""
    n = round(turns * 20)
    return [at_s + seconds * (k + 1) / n for k in range(n)]


def let_go(at_s: float, edges: int) -> list[float]:
    """Edge times of a car that gets faster and faster."""
    return (at_s + np.cumsum(np.linspace(0.4, 0.05, edges))).tolist()


def whole(train: PulseTrain, **how: int) -> list[Decoded]:
    return [hello(), *words(train, train.time_s[-1] + 12.0, **how)]
