"""Many whole blocks decoded at once: one edge of each block a step, in numpy.

Adaptive Rice codes are sequential within a block, but blocks know nothing of each other. So each
lane of an array decodes one block, and a step costs a few dozen array operations however many lanes
there are. The state and the rules are those of prediction.py. A lane may meet what no encoder
writes, or not end where its count says. Its block is then left to BlockDecoder, which says what is
wrong.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from unspool.instrument.wire.decoder import BlockHeader
from unspool.instrument.wire.prediction import (
    BY_LAST,
    BY_TURN,
    END,
    ESCAPE_BITS,
    LENGTH_BITS,
    LONG,
    RAW,
    RICE_MAX,
    SHORT_MAX,
    SPREAD_START,
    TURNED,
    UNARY_LIMIT,
)
from unspool.instrument.wire.table import BLOCK_HEADER, MAX_SLOTS, RESTART_BYTES

LANES = 4096  # so many that a step's overhead vanishes, so few that their state stays in the cache
KIND_BITS = UNARY_LIMIT + ESCAPE_BITS

Ints = NDArray[np.int64]
Words = NDArray[np.uint64]


@cache
def _leading_ones() -> NDArray[np.int64]:
    """Leading ones of each 16-bit word."""
    inverted = (~np.arange(1 << 16) & 0xFFFF).astype(np.float64)
    return (16 - np.frexp(inverted)[1]).astype(np.int64)


@cache
def _rice_of() -> NDArray[np.int64]:
    """The Rice parameter for each spread >> 4; the last entry stands for all beyond."""
    return np.frexp(np.arange(1 << RICE_MAX - 1 | 1, dtype=np.float64))[1].astype(np.int64)


def _windows(data: bytes) -> Words:
    """At each byte, the 64 bits from there on; the last 8 bytes give none."""
    octets = np.frombuffer(data, np.uint8)
    words = np.zeros(len(octets) - 8, np.uint64)
    for i in range(8):
        words |= octets[i : i + len(words)].astype(np.uint64) << np.uint64(56 - 8 * i)
    return words


class Lanes:
    """Blocks of one slot count side by side, those with most edges first.

    counts: edges of each block, the header's included. After run(): `intervals` and `turned` are
    (steps, lanes), and `sound` says which lanes came out whole.
    """

    def __init__(self, blocks: Sequence[bytes], counts: Ints, slots: int) -> None:
        lanes, steps = len(blocks), int(counts[0]) - 1
        lengths = np.array([len(block) for block in blocks])
        self._words = _windows(b"".join([*blocks, bytes(16)]))
        self._bit = (np.cumsum(lengths) - lengths + BLOCK_HEADER) * 8
        self._end = np.cumsum(lengths) * 8
        self._counts, self._slots = counts, slots if slots <= MAX_SLOTS else 0
        self._spread = np.repeat(np.array(SPREAD_START, np.int64)[:, None], lanes, axis=1)
        self._bias = np.zeros((2, lanes), np.int64)
        self._begun = np.zeros(lanes, np.int64)  # the step since which the history holds
        self._last_turn = -1
        self._history = np.empty((steps, lanes))  # as floats: their quotients are exact enough
        self._plain = np.empty(steps, np.bool_)  # no lane of that step is unfit to predict from
        self.intervals = np.empty((steps, lanes), np.int64)
        self.turned = np.zeros((steps, lanes), np.bool_)
        self.sound = np.ones(lanes, np.bool_)

    def run(self) -> None:
        active = len(self._counts)
        for step in range(len(self.intervals)):
            while self._counts[active - 1] <= step + 1:
                active -= 1
            self._step(step, active)
        word = self._word(len(self._counts))
        ended = word >> np.uint64(64 - KIND_BITS) == (1 << KIND_BITS) - (1 << ESCAPE_BITS) | END
        left = self._end - self._bit - KIND_BITS
        self.sound &= ended & (left >= 0) & (left < 8)

    def _word(self, active: int) -> Words:
        bit = self._bit[:active]
        word: Words = self._words.take(bit >> 3, mode="clip")
        word <<= (bit & 7).astype(np.uint64)
        return word

    def _step(self, step: int, active: int) -> None:
        word = self._word(active)
        ones = _leading_ones().take((word >> np.uint64(48)).view(np.int64))
        way, expected = self._expect(step, active)
        spread, bias = self._state(self._spread, way, active), self._state(self._bias, way, active)
        rice = _rice_of().take(spread >> 4, mode="clip")
        folded = _folded(word, ones, rice)
        interval = np.clip(expected + (bias >> 2), 0, LONG - 1)
        interval += folded >> 1 ^ -(folded & 1)
        size = ones + 1 + rice
        new_spread = spread + folded - (spread >> 3)
        new_bias = bias + (((interval - expected << 2) - bias) >> 1)
        escapes = np.flatnonzero(ones >= UNARY_LIMIT)
        self._check(interval, step, escapes)
        if len(escapes):
            fresh = self._begun[escapes] == step
            turned = self._escape(step, escapes, word[escapes], interval, size)
            before = spread[escapes]
            missed = before + (UNARY_LIMIT << rice[escapes]) - (before >> 3)
            new_spread[escapes] = np.where(fresh | turned, before, missed)
            new_bias[escapes] = bias[escapes]
        self._keep(self._spread, way, new_spread)
        self._keep(self._bias, way, new_bias)
        self._bit[:active] += size
        self.intervals[step, :active] = interval
        self._remember(step, interval)

    def _expect(self, step: int, active: int) -> tuple[int | NDArray[np.bool_], Ints]:
        """How each lane predicts (one way for all, or a mask of BY_TURN), and the prediction."""
        slots = self._slots
        if step == 0:
            return BY_LAST, np.zeros(active, np.int64)
        last = self._history[step - 1, :active]
        if not slots or step <= slots:
            return BY_LAST, last.astype(np.int64)
        turn_ago = self._history[step - slots, :active]
        before = self._history[step - slots - 1, :active]
        used = self._plain[[step - 1, step - slots, step - slots - 1]]
        if self._last_turn < step - slots - 1 and used.all():
            return BY_TURN, np.minimum(turn_ago * last / before, LONG - 1).astype(np.int64)
        longest = np.maximum(np.maximum(last, turn_ago), before)
        by_turn = (step - self._begun[:active] > slots) & (before > 0) & (longest < SHORT_MAX)
        scaled = np.minimum(turn_ago * last / np.where(by_turn, before, 1), LONG - 1)
        return by_turn, np.where(by_turn, scaled, last).astype(np.int64)

    @staticmethod
    def _state(both: Ints, way: int | NDArray[np.bool_], active: int) -> Ints:
        if isinstance(way, int):
            return both[way, :active]
        return np.where(way, both[BY_TURN, :active], both[BY_LAST, :active])

    @staticmethod
    def _keep(both: Ints, way: int | NDArray[np.bool_], new: Ints) -> None:
        active = len(new)
        if isinstance(way, int):
            both[way, :active] = new
            return
        np.copyto(both[BY_TURN, :active], new, where=way)
        np.copyto(both[BY_LAST, :active], new, where=~way)

    def _check(self, interval: Ints, step: int, escapes: NDArray[np.intp]) -> None:
        """Lanes with a code that no encoder writes are not sound; escapes are looked at apart."""
        if self._last_turn < step - 1 and step and interval.min() >= 0 and interval.max() < LONG:
            return
        wrong = (interval < 0) | (interval >= LONG) | (self._begun[: len(interval)] == step)
        wrong[escapes] = False
        self.sound[: len(interval)][wrong] = False
        interval[wrong] = 0

    def _escape(
        self, step: int, lanes: NDArray[np.intp], word: Words, interval: Ints, size: Ints
    ) -> NDArray[np.bool_]:
        """Read the lanes whose interval is written out; which of them turned."""
        kind = word >> np.uint64(64 - KIND_BITS) & np.uint64((1 << ESCAPE_BITS) - 1)
        word = word << np.uint64(KIND_BITS)
        length = (word >> np.uint64(64 - LENGTH_BITS)) + np.uint64(1)
        written = word << np.uint64(LENGTH_BITS) >> (np.uint64(64) - length)
        interval[lanes] = written.view(np.int64)
        size[lanes] = KIND_BITS + LENGTH_BITS + length.view(np.int64)
        self.sound[lanes[(kind != RAW) & (kind != TURNED)]] = False
        turned: NDArray[np.bool_] = kind == TURNED
        if turned.any():
            self._last_turn = step
            self._begun[lanes[turned]] = step + 1
            self.turned[step, lanes[turned]] = True
        return turned

    def _remember(self, step: int, interval: Ints) -> None:
        short = np.minimum(interval, SHORT_MAX)
        self._history[step, : len(interval)] = short
        self._plain[step] = short.min() > 0 and short.max() < SHORT_MAX


def _folded(word: Words, ones: Ints, rice: Ints) -> Ints:
    """The folded residual behind `ones` ones and a zero, `rice` bits of it written."""
    rest = word << (ones + 1).view(np.uint64) >> np.uint64(1)
    rest >>= (63 - rice).view(np.uint64)
    return ones << rice | rest.view(np.int64)


def decode_blocks(
    blocks: Sequence[bytes], counts: Ints
) -> tuple[Ints, NDArray[np.int8], NDArray[np.bool_]]:
    """Decode whole blocks that hold so many edges each, one slot count for all.

    Returns ticks and directions of all edges, block behind block (those of a block that is not
    sound mean nothing), and whether each block is sound. One that begins with a restart never is.
    """
    ticks = np.empty(int(counts.sum()), np.int64)
    direction = np.empty(len(ticks), np.int8)
    sound = np.empty(len(blocks), np.bool_)
    starts = np.cumsum(counts) - counts
    order = np.argsort(-counts, kind="stable")
    for at in range(0, len(order), LANES):
        chosen = order[at : at + LANES]
        headers = [_header(blocks[i]) for i in chosen]
        lanes = Lanes([blocks[i] for i in chosen], counts[chosen], headers[0].slots)
        lanes.run()
        sound[chosen] = lanes.sound & [header.restarted_at is None for header in headers]
        _lay_out(lanes, headers, counts[chosen], starts[chosen], ticks, direction)
    return ticks, direction, sound


def _header(block: bytes) -> BlockHeader:
    header = BlockHeader.unpack(block + bytes(RESTART_BYTES))
    assert header is not None  # a whole block has a whole header
    return header


def _lay_out(
    lanes: Lanes,
    headers: Sequence[BlockHeader],
    counts: Ints,
    starts: Ints,
    ticks: Ints,
    direction: NDArray[np.int8],
) -> None:
    """Sum the intervals up and put each lane's edges in its place."""
    steps = np.arange(int(counts[0]))
    held = steps < counts[:, None]
    where = (starts[:, None] + steps)[held]
    total = np.empty(held.shape, np.int64)
    total[:, 0] = [header.ticks for header in headers]
    total[:, 1:] = lanes.intervals.T
    ticks[where] = np.cumsum(total, axis=1)[held]
    first = np.array([header.direction for header in headers])
    turns = np.zeros(held.shape, np.int8)
    turns[:, 1:] = lanes.turned.T
    odd = np.cumsum(turns, axis=1, dtype=np.int8) & 1
    direction[where] = (first[:, None] * (1 - 2 * odd))[held]
