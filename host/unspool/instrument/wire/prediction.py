"""What the next interval should be: the state that coder and decoder keep alike.

An interval is predicted from the same slot one turn ago, scaled by how the slot before it changed
since then: a disc's slot errors repeat every turn and cancel. Until a turn is known it is predicted
from the interval before. Either way a running bias follows what the prediction keeps missing, and a
running spread of the residuals chooses the Rice parameter. Integers only, and every value fits 32
bits, so that an 8-bit board computes the same. docs/protocol.md, "Edges", is the specification;
firmware/core/coder.c is the same in C.
"""

from __future__ import annotations

from unspool.instrument.wire.table import MAX_SLOTS

LONG = 1 << 20  # intervals from here on (4.2 s) are written out
SHORT_MAX = 0xFFFF  # the history keeps 16 bits an interval; the largest means "too long to use"
UNARY_LIMIT = 12  # so many ones are an escape
ESCAPE_BITS = 2
RAW, TURNED, END, INVALID = range(4)  # what follows an escape
LENGTH_BITS = 5  # of an interval written out: its bits less one, then the interval
LONGEST_CODE = UNARY_LIMIT + ESCAPE_BITS + LENGTH_BITS + 32
RICE_MAX = 20
SPREAD_START = (1 << 12, 1 << 8)  # 8 times the residual expected first: 512 and 32 ticks
BY_TURN, BY_LAST = 1, 0  # the two ways to predict, each with its own bias and spread


def fold(residual: int) -> int:
    """A residual as a number that is never negative: 0, -1, 1, -2 become 0, 1, 2, 3."""
    return residual << 1 if residual >= 0 else (-residual << 1) - 1


def unfold(folded: int) -> int:
    return folded >> 1 ^ -(folded & 1)


class IntervalPredictor:
    """Coding state from a block's start on. `slots`: edges a turn, 0 if not known."""

    def __init__(self, slots: int) -> None:
        self.slots = slots if slots <= MAX_SLOTS else 0
        self._history: list[int] = []
        self._bias = [0, 0]  # quarter ticks
        self._spread = list(SPREAD_START)
        self.way = BY_LAST
        self.expected = 0  # the bare prediction
        self.value = -1  # the prediction with its bias; -1: there is none, write the interval out
        self.rice = 0

    def _predict(self) -> None:
        history, slots = self._history, self.slots
        self.way, self.expected = BY_LAST, history[-1]
        if slots and len(history) > slots:
            last, turn_ago, before = history[-1], history[-slots], history[-slots - 1]
            if before and max(last, turn_ago, before) < SHORT_MAX:
                self.way, self.expected = BY_TURN, min(turn_ago * last // before, LONG - 1)
        self.value = min(max(self.expected + (self._bias[self.way] >> 2), 0), LONG - 1)
        self.rice = min((self._spread[self.way] >> 4).bit_length(), RICE_MAX)

    def coded(self, interval: int, residual: int) -> None:
        """An interval went as a Rice code; `residual` is its folded (never negative) residual."""
        way = self.way
        self._spread[way] += residual - (self._spread[way] >> 3)
        self._bias[way] += (((interval - self.expected) << 2) - self._bias[way]) >> 1
        self._remember(interval)

    def escaped(self, interval: int) -> None:
        """An interval went written out, direction as before."""
        if self.value >= 0:
            spread = self._spread[self.way]
            self._spread[self.way] = spread + (UNARY_LIMIT << self.rice) - (spread >> 3)
        self._remember(interval)

    def turned(self) -> None:
        """The direction changed: the slots now pass the other way round, so begin again."""
        self._history.clear()
        self.value = -1

    def _remember(self, interval: int) -> None:
        history = self._history
        history.append(min(interval, SHORT_MAX))
        if len(history) > 4 * MAX_SLOTS:
            del history[: 2 * MAX_SLOTS]
        self._predict()
