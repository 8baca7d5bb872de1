"""The board reset at 200 random moments while a host listens, and at 200 with 600 edges held."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from random import Random

from bench.figures import Figure
from firmware.resets import CAUSES, check, check_held, turn_and_reset
from unspool.instrument.firmware import BOARDS

RESETS = 200
A_BOARD = 25


def wrong(trials: Iterable[Callable[[], None]]) -> int:
    """How many of them lost or invented an edge."""
    count = 0
    for trial in trials:
        try:
            trial()
        except AssertionError:
            count += 1
    return count


def figures() -> Iterable[Figure]:
    seeds = range(100, 100 + RESETS // A_BOARD)
    for board in BOARDS:
        listening = wrong(partial(_turned, seed, board) for seed in seeds)
        name = f"{board} of {len(seeds)} that lost or invented an edge in {RESETS} resets"
        yield Figure(name, listening, "")
        held = wrong(partial(check_held, Random(i), CAUSES[i % 3], board) for i in range(RESETS))
        yield Figure(f"{board} of {RESETS} resets with 600 edges held that lost one", held, "")


def _turned(seed: int, board: str) -> None:
    check(turn_and_reset(seed, A_BOARD, board))
