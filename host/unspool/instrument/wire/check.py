"""The samples of a sensor check, both sides of the line; firmware/core/check.c is the same in C."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from unspool.instrument.wire.decoded import SensorSamples
from unspool.instrument.wire.messages import Sensors
from unspool.instrument.wire.table import (
    CHECK_MS,
    FRAME_DATA,
    HOST_LOST_MS,
    SAMPLE_A,
    SAMPLE_B,
    SAMPLE_BYTES,
)

SAMPLES = FRAME_DATA // SAMPLE_BYTES
LEVELS = SAMPLE_A | SAMPLE_B
STAMP_BITS = 8 * SAMPLE_BYTES
STAMPS_PER_MS = 2000
MOST_SKIPPED = 0x7FFF


class CheckSide:
    """The board's: collects samples into the frame that will carry them. Times are stamps."""

    def __init__(self) -> None:
        self.on = False
        self._asked_at = self._said_at = 0
        self._number = 0
        self._samples = bytearray()
        self._first = 0
        self._whole = False

    def ask(self, wanted: bool, now: int) -> None:
        """A host asks for the check, or for its end."""
        if wanted and not self.on:
            self._number, self._said_at = 0, now
        self.on, self._asked_at = wanted, now

    def pass_time(self, now: int) -> None:
        if self.on and now - self._asked_at >= HOST_LOST_MS * STAMPS_PER_MS:
            self.on = False

    @property
    def takes(self) -> bool:
        """Whether a sample can be taken now."""
        return not self._whole

    def sample(self, stamp: int, levels: int) -> None:
        if not self._samples:
            self._first = self._number
        word = stamp & (1 << STAMP_BITS) - 1 & ~LEVELS | levels
        self._samples += word.to_bytes(SAMPLE_BYTES, "little")
        self._count(1)
        self._whole = len(self._samples) == SAMPLES * SAMPLE_BYTES

    def missed(self, count: int) -> None:
        """So many samples could not be taken."""
        self._count(count)
        self._whole = self.collects

    def _count(self, count: int) -> None:
        self._number = (self._number + count) & 0xFFFF

    def quiet(self, now: int) -> bool:
        """Nothing was said for long: a sample is wanted though all rests."""
        return self.on and not self.collects and now - self._said_at >= CHECK_MS * STAMPS_PER_MS

    @property
    def collects(self) -> bool:
        return bool(self._samples)

    def due(self, now: int) -> bool:
        """Whether the frame that was begun must go now."""
        waited = now - self._said_at >= CHECK_MS * STAMPS_PER_MS
        return self._whole or not self.on or waited

    def close(self, boot: int, now: int) -> Sensors:
        message = Sensors(boot & 0xFF, self._first, bytes(self._samples))
        self._said_at, self._whole = now, False
        self._samples.clear()
        return message


class SampleReader:
    """The host's: widens numbers and stamps, which wrap after 65,536 samples and 35 minutes.

    A number that goes back is a check that began again; its samples go on after the one before.
    """

    def __init__(self) -> None:
        self._next = 0  # widened
        self._expected = 0  # the same as the board counts
        self._stamp = 0
        self._begun = False

    def read(self, message: Sensors, stamp_hz: int) -> SensorSamples | None:
        """None if a frame holds no whole sample."""
        words = np.frombuffer(message.samples, "<u4", len(message.samples) // SAMPLE_BYTES)
        if not len(words):
            return None
        stamps = self._widened((words & ~np.uint32(LEVELS)).astype(np.int64))
        skipped = (message.number - self._expected) & 0xFFFF
        first = self._next + (skipped if skipped <= MOST_SKIPPED else 0)
        self._next = first + len(words)
        self._expected = (message.number + len(words)) & 0xFFFF
        return SensorSamples(
            np.arange(first, self._next, dtype=np.int64),
            stamps / stamp_hz,
            (words & SAMPLE_A != 0).astype(np.int8),
            (words & SAMPLE_B != 0).astype(np.int8),
        )

    def _widened(self, stamps: NDArray[np.int64]) -> NDArray[np.int64]:
        """By the shorter way round from one to the next; a little back is possible too."""
        if not self._begun:
            self._begun, self._stamp = True, int(stamps[0])
        half, turn = 1 << STAMP_BITS - 1, 1 << STAMP_BITS
        before = np.concatenate([[self._stamp & turn - 1], stamps[:-1]])
        steps = (stamps - before + half) % turn - half
        wide: NDArray[np.int64] = self._stamp + np.cumsum(steps)
        self._stamp = int(wide[-1])
        return wide
