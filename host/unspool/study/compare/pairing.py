"""Pairing: runs of two groups made in turns in one session share its floor, air and wear.

What changes slowly during the session then leaves the difference within each pair alone.
"""

from __future__ import annotations

from collections.abc import Sequence

from unspool.study.compare.types import ComparedRun

# Fewer pairs have so few degrees of freedom that separate groups show more.
LEAST_PAIRS = 3

Pair = tuple[int, int]


def pairs(first: Sequence[ComparedRun], second: Sequence[ComparedRun]) -> tuple[Pair, ...]:
    """Indices of (first, second) run by run; none if the runs were not made in turns.

    In turns: one session, and each two successive runs (A B, B A, A B ...) one of either group.
    """
    if len(first) != len(second) or len(first) < LEAST_PAIRS:
        return ()
    order = _in_order(first, second)
    couples = [sorted(order[i : i + 2]) for i in range(0, len(order), 2)]
    if not all(len(c) == 2 and (c[0][0], c[1][0]) == (0, 1) for c in couples):
        return ()
    return tuple((one[1], other[1]) for one, other in couples)


def _in_order(first: Sequence[ComparedRun], second: Sequence[ComparedRun]) -> list[Pair]:
    """(group, index in it) by turn; empty if turns are unknown, or of several sessions."""
    placed = [
        (run.turn, group, i)
        for group, runs in enumerate((first, second))
        for i, run in enumerate(runs)
    ]
    sessions = {turn[0] if turn else None for turn, _, _ in placed}
    if None in sessions or len(sessions) != 1:
        return []
    return [(group, i) for _, group, i in sorted(placed)]
