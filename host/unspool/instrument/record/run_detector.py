"""RunDetector: where the runs are in what a board reports.

A car's cycle, as its wheel shows it: it rests. It is wound, which turns the wheel backwards, and
rests again. It is let go and turns forwards, first ever faster, then ever slower. It rests. The
states of this cycle stand in states.py. Nothing here reads a clock: time is the board's, and it
passes with edges and with statuses.

The rules:
- launch_detector.py says what a launch is.
- Turning back further than the drum can take up, with a rest after it, is the car being rolled back
  to the line; nothing is wound after it.
- The end is rest. It must be longer than a slowing car could still need for its next edges, and
  long enough for a car to roll back from its furthest.
"""

from __future__ import annotations

from unspool.instrument.record.board_facts import BoardFacts
from unspool.instrument.record.edge_buffer import EdgeBuffer
from unspool.instrument.record.launch_detector import LaunchDetector
from unspool.instrument.record.losses import Losses
from unspool.instrument.record.notices import PhaseChanged
from unspool.instrument.record.rest import rest_for_good
from unspool.instrument.record.run_context import RunContext
from unspool.instrument.record.run_events import RunEvent, RunGrew, RunOver
from unspool.instrument.record.run_under_way import RunUnderWay
from unspool.instrument.record.states import (
    PHASES,
    SLACK,
    WOUND_AT_REST,
    CycleEvent,
    CycleState,
    cycle_states,
)
from unspool.instrument.record.turn_limits import TurnLimits
from unspool.instrument.record.wheel import WheelTracker
from unspool.instrument.record.wound_string import WoundString
from unspool.instrument.wire.decoded import (
    BoardHello,
    BoardRestarted,
    BoardStatus,
    Decoded,
    EdgeBatch,
    EdgeGap,
)
from unspool.instrument.wire.table import RESUME_MS
from unspool.reading.edges.ending import Ending
from unspool.store import Winding

BEFORE_S = 2.0  # edges from before the launch that a run keeps: the rest, and how winding ended
READY_S = 1.0  # rest after which a wound car counts as ready; a hand that winds rests for less


class RunDetector:
    """What the board says in, phases and runs out.

    Without the car's edges_per_turn the board's own figure is taken.
    """

    def __init__(self, context: RunContext | None = None) -> None:
        context = context or RunContext()
        self._board = BoardFacts(context.edges_per_turn)
        self._limits = TurnLimits.of(context.planned_turns, context.sensors)
        self._states = cycle_states()
        self._reported: PhaseChanged | None = None
        self._now = self._next_edge = self._last_ticks = 0
        self._begin()

    def feed(self, item: Decoded) -> list[RunEvent]:
        """What this changes, in order."""
        if isinstance(item, BoardHello):
            return self._hello(item)
        if not self._board.is_known:
            return []  # its ticks mean nothing yet
        if isinstance(item, EdgeBatch):
            return self._edges(item)
        if isinstance(item, EdgeGap):
            self._losses.add(item)
            self._next_edge = max(self._next_edge, item.first + item.count)
        elif isinstance(item, BoardRestarted):
            return self._reset(item.ticks)
        elif isinstance(item, BoardStatus) and item.next_edge == self._next_edge:
            # a status of other edges is of no use: those that the board still holds are older
            if item.restarted_at > self._board.reset_at:
                return self._reset(item.restarted_at)
            self._now = max(self._now, item.ticks)
            self._wheel.seen_at_rest(self._now)
            return self._pass_time()
        return []

    def mark_tier(self, *, undo: bool = False) -> list[RunEvent]:
        """The builder goes on to the next tier, or lets go next if no winding can be seen.

        undo: the last mark was a mistake.
        """
        if undo:
            self._wound.turns.unmark()
        elif not self._is_running and self._limits.sensors == 1:
            self._launches.expect(self._wheel.position, self._now)
        elif not self._is_running:
            self._wound.turns.mark(self._wheel.position)
        return self._phase_change()

    def finish(self) -> list[RunEvent]:
        """The recording stops: the run under way, if there is one, ends here."""
        return self._end(Ending.RECORDING_STOPPED) if self._is_running else []

    def under_way(self) -> list[RunEvent]:
        """What an observer must know that begins to look on now."""
        if not self._is_running:
            return [self.phase]
        return [self.phase, RunGrew(self._key, True, self._board.tick_hz, self._buffer.batch())]

    @property
    def phase(self) -> PhaseChanged:
        """The phase as it stands."""
        phase = PHASES[self._states.state]
        match self._states.state:
            case CycleState.RUNNING:
                wound = self._run.winding or Winding(0.0)
            case CycleState.WAITING | CycleState.ENDED:
                wound = Winding(0.0)
            case _:
                wound = self._wound.winding(self._wheel.position)
        return PhaseChanged(phase, wound.turns, wound.steps)

    @property
    def is_idle(self) -> bool:
        """Whether what comes next needs nothing of what came: nothing is wound, the car rests."""
        return self._states.state in SLACK and not len(self._buffer) and not self._losses.now

    @property
    def _is_running(self) -> bool:
        return self._states.state is CycleState.RUNNING

    def _look(self) -> CycleEvent:
        """What the wheel shows while no run is under way."""
        if not self._wound.is_wound(self._wheel.position):
            return CycleEvent.SLACK
        return CycleEvent.RESTING if self._is_ready() else CycleEvent.TURNING

    def _is_ready(self) -> bool:
        """At rest, or let go just now and not yet seen to be a launch."""
        if self._wheel.rested(self._now) >= READY_S * self._board.tick_hz:
            return True
        ahead = self._wheel.position > self._launches.low
        return ahead and self._states.state in WOUND_AT_REST

    def _begin(self) -> None:
        """All that lasts for one boot."""
        self._wheel, self._buffer = WheelTracker(), EdgeBuffer()
        self._wound = WoundString(self._limits, self._board)
        self._launches, self._losses = LaunchDetector(self._limits.sensors), Losses()
        self._run = RunUnderWay(None, 0)
        self._now = self._next_edge = self._last_ticks = 0

    def _hello(self, hello: BoardHello) -> list[RunEvent]:
        events = self._restart() if self._board.is_other(hello) else []
        self._board.greet(hello)
        return [*events, *self._phase_change()]

    def _restart(self) -> list[RunEvent]:
        """The board begins a new life; nothing of it is joined to the old one."""
        events = self._end(Ending.BOARD_RESTARTED) if self._is_running else []
        self._states.on(CycleEvent.RESTARTED)
        self._begin()
        return events

    def _reset(self, ticks: int) -> list[RunEvent]:
        """The board was reset, kept its edges, and went on at `ticks`. The wheel may have turned
        meanwhile. A run is whole if it stood still before, as far as the board saw.
        """
        self._board.reset_at = ticks
        self._now = max(self._now, ticks - RESUME_MS * self._board.tick_hz // 1000)
        events = self._pass_time()
        known = self._next_edge, self._last_ticks
        events += self._restart()
        self._next_edge, self._last_ticks = known
        return [*events, *self._phase_change()]

    def _edges(self, batch: EdgeBatch) -> list[RunEvent]:
        events: list[RunEvent] = []
        columns = (batch.number.tolist(), batch.ticks.tolist(), batch.direction.tolist())
        if columns[0][0] < self._next_edge or columns[1][0] < self._last_ticks:
            # a board whose memory was erased counts its boots from the start again
            events = self._restart()
        for number, ticks, direction in zip(*columns, strict=True):
            self._now = max(self._now, ticks)
            if self._rests_for_good() and not self._wheel.is_first_of_a_move:
                events += self._pass_time()
            if self._losses.now:
                self._take_losses(ticks)
            self._next_edge, self._last_ticks = number + 1, ticks
            self._wheel.edge(ticks, direction)
            self._buffer.add(number, ticks, direction)
            if self._is_running:
                self._run.furthest = max(self._run.furthest, self._wheel.position)
            else:
                self._watch_for_launch(ticks)
        return [*events, *self._phase_change(), *self._growth()]

    def _take_losses(self, ticks: int) -> None:
        """Edges before these ticks are lost: the wheel may be anywhere in a run.

        A car that was wound and rested before was most likely let go. Otherwise it is not known how
        far it is wound now.
        """
        self._losses.take(ticks)
        self._wheel.missed(ticks)
        self._launches.missed()
        if not self._is_running and self._states.state not in WOUND_AT_REST:
            self._wound.turns.missed()

    def _watch_for_launch(self, ticks: int) -> None:
        """Looks whether this edge makes a launch of what came since the wheel's lowest."""
        ahead = self._launches.edge(self._wheel.position, ticks)
        if ahead is not None and self._launches.is_launch(
            ahead, self._wound.is_wound(self._launches.low), self._board.edges_per_turn
        ):
            self._launch()

    def _launch(self) -> None:
        self._states.on(CycleEvent.LAUNCHED)
        self._launches.launched()
        lost, seen_from = self._losses.after(self._launches.low_at)
        before = 0 if lost else round(BEFORE_S * self._board.tick_hz)  # nothing from before a gap
        self._buffer.forget_before(seen_from - before)
        winding = self._wound.at_launch(self._launches.low)
        self._run = RunUnderWay(winding, self._wheel.position, lost)

    def _growth(self) -> list[RunEvent]:
        """The edges of the run that were not reported yet."""
        reported = self._run.reported
        if not self._is_running or reported == len(self._buffer):
            return []
        self._run.reported = len(self._buffer)
        return [
            RunGrew(self._key, reported == 0, self._board.tick_hz, self._buffer.batch(reported))
        ]

    @property
    def _key(self) -> str:
        return f"{self._board.boot}-{self._buffer.number[0]}"

    def _rests_for_good(self) -> bool:
        """Whether the wheel rests too long for more edges of the same run to follow."""
        needed = rest_for_good(self._wheel.step, self._losses.now, self._board.tick_hz)
        return self._wheel.rested(self._now) >= needed

    def _pass_time(self) -> list[RunEvent]:
        events: list[RunEvent] = []
        if self._rests_for_good():
            if self._is_running:
                events = [*self._phase_change(), *self._growth(), *self._end(Ending.STOOD_STILL)]
            self._settle()
        return [*events, *self._phase_change()]

    def _settle(self) -> None:
        """The wheel rests: whatever comes next starts here."""
        low, high = self._wheel.rests_between
        self._launches.rest(low, self._wheel.position, self._now)
        self._wheel.settle()
        self._losses.settle()
        self._buffer.forget_before(self._now - round(BEFORE_S * self._board.tick_hz))
        self._wound.settle(low, high)

    def _end(self, ending: Ending) -> list[RunEvent]:
        if self._losses.now and ending is Ending.STOOD_STILL:
            ending = Ending.EDGES_LOST
        over = RunOver(
            self._key,
            self._board.boot,
            self._board.tick_hz,
            self._buffer.batch(),
            self._launches.low_at,
            self._run.winding,
            ending,
            self._run.lost_before,
        )
        furthest = self._run.furthest
        rolled = (furthest - self._launches.low) / self._board.edges_per_turn
        kept = rolled >= self._limits.least_rolled
        reached = furthest + self._losses.since_rest + self._losses.now
        self._wound.ran(reached, self._wheel.position)
        self._states.on(CycleEvent.RUN_KEPT if kept else CycleEvent.RUN_DROPPED)
        self._buffer = EdgeBuffer()
        return [over] if kept else []

    def _phase_change(self) -> list[RunEvent]:
        """The phase, if it or the turns wound are not what was reported last."""
        if not self._is_running:
            self._states.on(self._look())
        now = self.phase
        if now == self._reported:
            return []
        self._reported = now
        return [now]
