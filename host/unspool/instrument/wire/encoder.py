"""Edges to the bits of a block."""

from __future__ import annotations

from unspool.instrument.wire.prediction import (
    END,
    ESCAPE_BITS,
    LENGTH_BITS,
    LONG,
    RAW,
    TURNED,
    UNARY_LIMIT,
    IntervalPredictor,
    fold,
)

ESCAPE = ((1 << UNARY_LIMIT) - 1) << ESCAPE_BITS


class BlockEncoder:
    """Codes the edges of one block behind the edge in its header."""

    def __init__(self, slots: int, direction: int) -> None:
        self._prediction = IntervalPredictor(slots)
        self._direction = direction

    def interval(self, interval: int, direction: int) -> tuple[int, int]:
        """Code an edge `interval` ticks (below 2**32) after the one before: (bits, their count)."""
        if direction != self._direction:
            self._direction = direction
            self._prediction.turned()
            return _written_out(TURNED, interval)
        state = self._prediction
        if state.value >= 0 and interval < LONG:
            folded = fold(interval - state.value)
            ones, rice = folded >> state.rice, state.rice
            if ones < UNARY_LIMIT:
                state.coded(interval, folded)
                unary = ((1 << ones) - 1) << 1
                return unary << rice | folded & ((1 << rice) - 1), ones + 1 + rice
        state.escaped(interval)
        return _written_out(RAW, interval)

    @staticmethod
    def end() -> tuple[int, int]:
        """The code that closes a block."""
        return ESCAPE | END, UNARY_LIMIT + ESCAPE_BITS


def _written_out(kind: int, interval: int) -> tuple[int, int]:
    length = max(interval.bit_length(), 1)
    bits = ((ESCAPE | kind) << LENGTH_BITS | length - 1) << length | interval
    return bits, UNARY_LIMIT + ESCAPE_BITS + LENGTH_BITS + length
