"""RunFinder: where the runs are in what a board says.

A car's cycle, as its wheel shows it: it rests; it is wound, which turns the wheel backwards; it
rests again; it is let go and turns forwards, first ever faster, then ever slower; it rests. Nothing
here reads a clock: time is the board's, and it passes with edges and with statuses.

What is told apart by rule:
- A launch from a wound car is half a turn forwards from where the winding ended.
- Without a winding (the board was switched on late), a launch is three turns forwards of which the
  third is faster than the second. A wheel spun by hand, which only slows down, is not.
- Where the start cannot have been seen (edges lost, board just booted), three turns are enough.
- Turning back further than the drum can take up, with a rest after it, is the car being rolled back
  to the line; nothing is wound after it.
- The end is rest: longer than a slowing car could still need for its next edges, and long enough
  for a car to roll back after it stood at its furthest.
"""

from __future__ import annotations

from math import inf

from unspool.instrument.record.edge_buffer import Tape
from unspool.instrument.record.launch_detector import Climb
from unspool.instrument.record.notices import Phase, PhaseChanged
from unspool.instrument.record.run_events import RunGrew, RunOver, Seen
from unspool.instrument.record.wheel import Wheel
from unspool.instrument.record.winding_counter import Wound
from unspool.instrument.wire.decoded import BoardHello, BoardStatus, EdgeBatch, EdgeGap, Heard
from unspool.store import Winding

BEFORE_S = 2.0  # edges from before the launch that a run keeps
READY_S = 1.0  # rest after which a wound car counts as ready
REST_S = 2.5  # rest that ends a run, at least
LONGEST_REST_S = 10.0
# A car that slows evenly and needed t for its last two edges needs at most (1 + sqrt 2) t for
# two more, if it makes them at all.
REST_STEPS = 3
UNTOLD_EDGES_PER_TURN = 20  # for the rules above, while neither board nor car file says
LAUNCH_TURNS = 0.5
WOUND_TURNS = 0.25
UNSEEN_TURNS = 3
MOST_OF_PLAN = 1.5  # turned back further than this, the car was rolled back, not wound
KEPT_TURNS = 1.0  # a wound car that was let go less than this was only handled

RESTARTED = "the board restarted during the run; its edges end there"
UNFINISHED = "the recording was stopped before the car stood still"


class RunFinder:
    """What the board said in, phases and runs out.

    edges_per_turn is the car file's; where it is None the board's own figure is taken.
    planned_turns: what the car's drum is wound by; None takes any turning back for winding.
    """

    def __init__(
        self, edges_per_turn: int | None = None, planned_turns: float | None = None
    ) -> None:
        self._told_edges_per_turn = edges_per_turn
        self._most_turns = inf if planned_turns is None else MOST_OF_PLAN * planned_turns
        self._board: BoardHello | None = None
        self._said: PhaseChanged | None = None
        self._now = self._next_edge = self._last_ticks = 0
        self._begin()

    def hear(self, heard: Heard) -> list[Seen]:
        """What this changes, in order."""
        if isinstance(heard, BoardHello):
            return self._hello(heard)
        if self._board is None:
            return []  # without the board's constants its ticks mean nothing
        if isinstance(heard, EdgeBatch):
            return self._edges(heard)
        if isinstance(heard, EdgeGap):
            self._midway = True
        elif isinstance(heard, BoardStatus) and heard.next_edge == self._next_edge:
            # a status of other edges is of no use: those that the board still holds are older
            self._now = max(self._now, heard.ticks)
            self._wheel.seen_at_rest(self._now)
            return self._pass_time()
        return []

    def mark(self) -> list[Seen]:
        """The builder goes on to the next tier."""
        if not self._running:
            self._wound.mark(self._wheel.position)
        return self._say()

    def unwound(self) -> list[Seen]:
        """The builder says that nothing is wound now."""
        if not self._running:
            self._wound.unwound(self._wheel.position)
            self._settle()
        return self._say()

    def finish(self) -> list[Seen]:
        """The recording stops: the run under way, if there is one, ends here."""
        return self._end(UNFINISHED) if self._running else []

    def under_way(self) -> list[Seen]:
        """What is to be told to somebody who starts to look on now."""
        if not self._running:
            return [self.phase]
        return [self.phase, RunGrew(self._key, True, self._tick_hz, self._tape.batch())]

    @property
    def phase(self) -> PhaseChanged:
        """The phase as it stands."""
        if self._running:
            wound = self._winding or Winding(0.0)
            return PhaseChanged(Phase.RUNNING, wound.turns, wound.steps)
        winding = self._wound.winding(self._wheel.position, self._edges_per_turn)
        if winding.turns < WOUND_TURNS:
            return PhaseChanged(Phase.ENDED if self._ended else Phase.WAITING, 0.0)
        phase = Phase.READY if self._is_ready() else Phase.WINDING
        return PhaseChanged(phase, winding.turns, winding.steps)

    def _is_ready(self) -> bool:
        """Wound and at rest, or let go just now and not yet seen to be a launch."""
        if self._wheel.rested(self._now) >= READY_S * self._tick_hz:
            return True
        ahead = self._wheel.position > self._climb.low
        return ahead and self._said is not None and self._said.phase is Phase.READY

    def _begin(self) -> None:
        """All that lasts for one boot."""
        self._wheel, self._wound, self._tape = Wheel(), Wound(), Tape()
        self._now = 0
        self._next_edge = self._last_ticks = 0
        self._settled: tuple[int | None, int] = (None, 0)  # its last move and place when it rested
        self._midway = True  # the wheel may have turned before the first edge that is heard
        self._running = self._ended = False
        self._climb = Climb()
        self._top = 0
        self._grown = 0  # edges of the run that were told
        self._winding: Winding | None = None

    def _hello(self, hello: BoardHello) -> list[Seen]:
        other = self._board is not None and self._board.boot != hello.boot
        seen = self._restart() if other else []
        self._board = hello
        return [*seen, *self._say()]

    def _restart(self) -> list[Seen]:
        """The board begins a new life; nothing of it is joined to the old one."""
        seen = self._end(RESTARTED) if self._running else []
        self._begin()
        return seen

    @property
    def _tick_hz(self) -> int:
        return self._board.tick_hz if self._board else 1

    @property
    def _known_edges_per_turn(self) -> int | None:
        told = self._board.edges_per_turn if self._board else 0
        return self._told_edges_per_turn or told or None

    @property
    def _edges_per_turn(self) -> int:
        return self._known_edges_per_turn or UNTOLD_EDGES_PER_TURN

    def _edges(self, batch: EdgeBatch) -> list[Seen]:
        seen: list[Seen] = []
        columns = (batch.number.tolist(), batch.ticks.tolist(), batch.direction.tolist())
        if columns[0][0] < self._next_edge or columns[1][0] < self._last_ticks:
            # a board whose memory was erased counts its boots from the start again
            seen = self._restart()
        for number, ticks, direction in zip(*columns, strict=True):
            self._now = max(self._now, ticks)
            if self._rests_for_good() and not self._is_first_of_a_move():
                seen += self._pass_time()
            self._next_edge, self._last_ticks = number + 1, ticks
            self._wheel.edge(ticks, direction)
            self._tape.add(number, ticks, direction)
            if self._running:
                self._top = max(self._top, self._wheel.position)
            else:
                self._watch(ticks)
        return [*seen, *self._say(), *self._grow()]

    def _is_first_of_a_move(self) -> bool:
        """Whether the wheel left its rest by one edge: chatter, or the start of what comes next."""
        moved_at, position = self._settled
        return self._wheel.moved_at == moved_at and self._wheel.position != position

    def _watch(self, ticks: int) -> None:
        """Looks whether this edge makes a launch of what came since the wheel's lowest."""
        ahead = self._climb.edge(self._wheel.position, ticks)
        if ahead is not None and self._is_launch(ahead):
            self._launch()

    def _is_wound(self) -> bool:
        """Whether something was wound when the wheel was at its lowest."""
        return self._wound.edges(self._climb.low) >= WOUND_TURNS * self._edges_per_turn

    def _is_launch(self, ahead: int) -> bool:
        turn = self._edges_per_turn
        if self._is_wound():
            return ahead >= LAUNCH_TURNS * turn
        if ahead != UNSEEN_TURNS * turn:
            return False
        return self._midway or self._climb.quickens(turn)

    def _launch(self) -> None:
        self._tape.forget_before(self._climb.low_at - round(BEFORE_S * self._tick_hz))
        known = self._known_edges_per_turn
        seen = self._wound.winding(self._climb.low, known) if known and self._is_wound() else None
        self._winding = seen if seen and seen.turns <= self._most_turns else None
        self._running, self._ended = True, False
        self._grown, self._top = 0, self._wheel.position

    def _grow(self) -> list[Seen]:
        if not self._running or self._grown == len(self._tape):
            return []
        new = self._tape.batch(self._grown)
        grew = RunGrew(self._key, self._grown == 0, self._tick_hz, new)
        self._grown = len(self._tape)
        return [grew]

    @property
    def _key(self) -> str:
        return f"{self._board.boot if self._board else 0}-{self._tape.number[0]}"

    def _rests_for_good(self) -> bool:
        """Whether the wheel rests too long for more edges of the same run to follow."""
        rest = max(REST_S * self._tick_hz, REST_STEPS * self._wheel.step)
        return self._wheel.rested(self._now) >= min(rest, LONGEST_REST_S * self._tick_hz)

    def _pass_time(self) -> list[Seen]:
        seen: list[Seen] = []
        if self._rests_for_good():
            if self._running:
                seen = [*self._say(), *self._grow(), *self._end("")]
            self._settle()
        return [*seen, *self._say()]

    def _settle(self) -> None:
        """The wheel rests: whatever comes next starts here."""
        self._midway = False
        low, high = self._wheel.rests_between
        self._climb.rest(low, self._wheel.position, self._now)
        self._settled = (self._wheel.moved_at, self._wheel.position)
        self._tape.forget_before(self._now - round(BEFORE_S * self._tick_hz))
        turns = self._wound.edges(low) / self._edges_per_turn
        if not WOUND_TURNS <= turns <= self._most_turns:
            self._wound.unwound(high)

    def _end(self, note: str) -> list[Seen]:
        assert self._board is not None  # without its hello no edge was looked at
        run = RunOver(
            self._key,
            self._board.boot,
            self._board.tick_hz,
            self._tape.batch(),
            self._climb.low_at,
            self._winding,
            note,
        )
        far_enough = self._top - self._climb.low >= KEPT_TURNS * self._edges_per_turn
        if self._top >= self._wound.slack:
            self._wound.unwound(self._wheel.position)  # the string has let go
        self._running, self._ended = False, far_enough
        self._tape = Tape()
        return [run] if far_enough else []

    def _say(self) -> list[Seen]:
        """The phase, where it or the turns wound are not what was said last."""
        now = self.phase
        if now == self._said:
            return []
        if now.phase is Phase.WINDING:
            self._ended = False
        self._said = now
        return [now]
