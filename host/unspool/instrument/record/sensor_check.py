"""A sensor check over a link: what both sensors show, until the wheel was turned enough.

Nothing is stored and nothing acknowledged, so the edges that the board still holds stay there.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from unspool.errors import BoardError
from unspool.instrument.link import Link
from unspool.instrument.strangers import QUESTION, StrangerWatch, sentence_of
from unspool.instrument.wire import BoardHello, Conversation, SensorSamples
from unspool.language import Phrase

READ_S = 0.05
SILENT_S = 6.0  # a board that is reset by the opened port takes two to begin
QUESTION_S = 4.0  # then a stranger is asked who it is
ENOUGH_EDGES = 200  # of A and B together: five turns of a disc with ten slots
ENOUGH_TURNS = 8  # of a coarse wheel, of which people are asked for ten
FEWEST_EDGES = 8
REST_S = 2.0  # the wheel stands: what was wanted has been turned
COLUMNS = ("number", "time_s", "a", "b")


@dataclass(frozen=True)
class CheckProgress:
    """How far the check is. changes: of A and of B so far. a, b: the levels now."""

    changes_a: int
    changes_b: int
    a: int
    b: int
    left_s: float


def check_sensors(
    link: Link,
    seconds: float,
    wanted_changes: int = ENOUGH_EDGES,
    look: Callable[[CheckProgress], None] = lambda progress: None,
    clock: Callable[[], float] = time.monotonic,
    hear: Callable[[SensorSamples], None] = lambda samples: None,
) -> SensorSamples:
    """All samples until `seconds` are over, or the wheel rests after so many changes of A and B.

    `hear` gets each batch of samples as it comes. `look` is called several times a second;
    KeyboardInterrupt from it or elsewhere ends the check early. Raises LinkError when the link
    fails, BoardError when no board of ours answers.
    """
    link.open()
    try:
        return _Checking(link, clock() + seconds, wanted_changes, look, clock, hear).run()
    finally:
        link.close()


def enough_changes(turns: int | None, edges_per_turn: int | None, sensors: int) -> int:
    """Changes of both sensors after which a wheel that rests has been turned enough.

    turns: exact ones that people were asked for, None for some ten. edges_per_turn: of A, None if
    nobody knows.
    """
    if turns is not None:
        return max(FEWEST_EDGES, (edges_per_turn or FEWEST_EDGES) * turns)
    if edges_per_turn is None:
        return ENOUGH_EDGES
    return min(ENOUGH_EDGES, max(FEWEST_EDGES, ENOUGH_TURNS * edges_per_turn * sensors))


class _Checking:
    def __init__(
        self,
        link: Link,
        end_s: float,
        wanted: int,
        look: Callable[[CheckProgress], None],
        clock: Callable[[], float],
        hear: Callable[[SensorSamples], None],
    ) -> None:
        self._link, self._end_s, self._wanted = link, end_s, wanted
        self._look, self._clock, self._hear = look, clock, hear
        self._conversation = Conversation()
        self._conversation.check()
        self._parts: list[SensorSamples] = []
        self._last: tuple[int, int] | None = None
        self._changes = [0, 0]
        self._moved_s = 0.0  # when, by the board's clock
        self._met = False
        self._others, self._asked = StrangerWatch(), False

    def run(self) -> SensorSamples:
        begun = self._clock()
        try:
            while (now := self._clock()) < self._end_s and not self._turned_enough():
                self._exchange(now)
                self._ask_stranger(now - begun)
                if not self._parts and now - begun > SILENT_S:
                    raise BoardError(self._silence())
                self._look(self._progress(now))
        except KeyboardInterrupt:
            if not self._parts:
                raise
        if not self._parts:  # the time was up before the patience was
            raise BoardError(self._silence())
        return joined(self._parts)

    def _exchange(self, now: float) -> None:
        data = self._link.read(READ_S)
        self._others.heard(data)
        for heard in self._conversation.receive(data):
            self._met |= isinstance(heard, BoardHello)
            if isinstance(heard, SensorSamples):
                self._keep(heard)
        self._conversation.raise_if_refused()
        if reply := self._conversation.to_send(now):
            self._write(reply)

    def _write(self, data: bytes) -> None:
        self._link.write(data)
        self._others.sent(data)

    def _ask_stranger(self, waited_s: float) -> None:
        if not (self._met or self._asked) and waited_s > QUESTION_S:
            self._asked = True
            self._write(QUESTION)

    def _keep(self, part: SensorSamples) -> None:
        self._parts.append(part)
        self._hear(part)
        for time_s, *levels in zip(part.time_s, part.a.tolist(), part.b.tolist(), strict=True):
            shown = (levels[0], levels[1])
            if self._last is not None and shown != self._last:
                self._changes[0] += shown[0] != self._last[0]
                self._changes[1] += shown[1] != self._last[1]
                self._moved_s = float(time_s)
            self._last = shown

    def _turned_enough(self) -> bool:
        if sum(self._changes) < self._wanted:
            return False
        return float(self._parts[-1].time_s[-1]) - self._moved_s > REST_S

    def _progress(self, now: float) -> CheckProgress:
        a, b = self._last or (0, 0)
        changes_a, changes_b = self._changes
        return CheckProgress(changes_a, changes_b, a, b, max(0.0, self._end_s - now))

    def _silence(self) -> str:
        if self._met:
            return Phrase(
                "the board on {place} does not show its sensors; take the cable out and in again,"
                " and try once more",
                place=self._link.place,
            )
        return sentence_of(self._others.who, self._link.place)


def joined(parts: list[SensorSamples]) -> SensorSamples:
    """The samples of all parts behind each other."""
    if not parts:
        return SensorSamples(
            np.empty(0, np.int64), np.empty(0), np.empty(0, np.int8), np.empty(0, np.int8)
        )
    return SensorSamples(*(np.concatenate([getattr(p, c) for p in parts]) for c in COLUMNS))
