"""How far the board's log is sent, and what of it is due; firmware/core/sending.c is the same in C.

Each byte of the log is sent once; what stays unacknowledged for GO_BACK_MS is sent again. Times are
stamps.
"""

from __future__ import annotations

from unspool.instrument.wire.edge_log import EdgeLog
from unspool.instrument.wire.messages import Edges
from unspool.instrument.wire.table import (
    BLOCK_STARTS,
    FLUSH_MS,
    FRAME_DATA,
    FRAME_DATA_AGAIN,
    GO_BACK_MS,
)

STAMPS_PER_MS = 2000
BEAT = 256  # stamps
BEATS_MASK, BEATS_SIGN = 0xFFFF, 0x8000  # a board counts them in 16 bits


def beats(stamps: int) -> int:
    return stamps // BEAT & BEATS_MASK


class Sending:
    """The methods that return a bool return True if what was to be sent is gone.

    A hello must then announce where the log goes on.
    """

    def __init__(self, log: EdgeLog) -> None:
        self._log = log
        self.flush = FLUSH_MS * STAMPS_PER_MS
        self.position = log.oldest[0]  # log position up to which whole bytes are sent
        self._bits = 0  # sent of the byte there
        self._room = FRAME_DATA  # log bytes in the next frame
        self._grew_at = 0  # in beats
        self._progress_at = 0
        self.wait(0)

    def wait(self, since: int) -> None:
        """What waits counts from then on."""
        self._since = since if self._unsent > 0 else None
        self._deadline = beats(since + self.flush)
        self._hasty = False  # it waits no longer

    def log_grew(self, since: int, now: int) -> bool:
        """New bits wait since then."""
        if self._since is None:
            self.wait(since)
        self._expect_next(beats(since))
        return self.position < self._log.oldest[0] and self.restart(self.position, now)

    def _expect_next(self, grown: int) -> None:
        """If the next edge would come too late for the frame that waits, it waits no longer."""
        left = self._deadline - grown
        between = grown - self._grew_at & BEATS_MASK  # to the next one too, as it is expected
        self._hasty |= left & BEATS_SIGN > 0 or left & BEATS_MASK < between
        self._grew_at = grown

    def restart(self, position: int, now: int) -> bool:
        """From here, or from the oldest byte kept."""
        oldest = self._log.oldest[0]
        self.position = min(max(position, oldest), self._log.valid_bits // 8)
        self._bits = 0
        self.wait(now)
        return position < oldest

    def again(self, position: int, now: int) -> bool:
        """The same, since a frame was lost."""
        self._room = FRAME_DATA_AGAIN
        return self.restart(position, now)

    def pass_time(self, now: int) -> bool:
        """Goes back if the host is silent on what was sent."""
        if self.position <= self._log.acknowledged:
            self._progress_at = now
        elif now - self._progress_at >= GO_BACK_MS * STAMPS_PER_MS:
            self._progress_at = now
            return self.again(self._log.acknowledged, now)
        return False

    def acknowledged(self, position: int, edge: int, now: int) -> None:
        if position > self._log.acknowledged:
            self._progress_at, self._room = now, FRAME_DATA
        self._log.acknowledge(position, edge)
        oldest = self._log.oldest[0]
        if self.position < oldest:  # it was going to send again what the host turns out to have
            self.restart(oldest, now)

    @property
    def _unsent(self) -> int:
        """Bits of the log that were not sent."""
        return self._log.valid_bits - self.position * 8 - self._bits

    def due(self, now: int) -> bool:
        if self._since is None:
            return False
        full = self._log.end - self.position >= self._room
        return full or self._hasty or now - self._since >= self.flush

    def say(self, now: int) -> Edges:
        """The next frame."""
        block = self._log.block_at(self.position)
        assert block is not None  # unsent bits lie in a kept block
        at = self.position - block.position
        data = bytes(block.data[at : at + self._room])
        last = at + len(data) == len(block.data)
        unused = -block.bits % 8 if last else 0
        marks = unused | (BLOCK_STARTS if at == 0 else 0)
        position, self.position = self.position, self.position + len(data) - (unused > 0)
        self._bits = 8 - unused if unused else 0
        self.wait(now)
        return Edges.at(position, marks, data)
