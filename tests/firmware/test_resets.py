"""The log outlives a reset at any moment: all that was logged arrives, and nothing else.

`make bench` tries more of them.
"""

from __future__ import annotations

from random import Random

import pytest

from firmware.resets import CAUSES, check, check_held, place, turn_and_reset
from unspool.instrument.firmware import BOARDS

pytestmark = pytest.mark.firmware

RESETS = {"rp2040": 8}  # its simulator is the slow one


@pytest.mark.parametrize("board", BOARDS)
@pytest.mark.parametrize("cause", CAUSES)
def test_held_edges_outlive_a_reset(cause: str, board: str) -> None:
    random = Random(cause)
    for _ in range(2):
        check_held(random, cause, board)


@pytest.mark.parametrize("board", BOARDS)
def test_resets_at_any_moment_invent_and_lose_nothing(board: str) -> None:
    check(turn_and_reset(1, RESETS.get(board, 25), board_name=board))


def test_check_sees_an_edge_that_never_happened() -> None:
    edges = [(1_000_000 * i + i * i * 1000, 1) for i in range(20)]
    true = [(i, cycle // 64, direction) for i, (cycle, direction) in enumerate(edges)]
    assert place(true[5:9], edges, 0) == range(5, 9)
    for wrong in ([*true[5:8], (8, true[8][1] + 3, 1)], [*true[5:8], (8, true[8][1], -1)]):
        with pytest.raises(AssertionError, match="never happened"):
            place(wrong, edges, 0)
