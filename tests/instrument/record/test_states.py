"""The detector moves along the table of a car's cycle: all of it, and nothing beside it."""

from __future__ import annotations

from itertools import pairwise
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from board_words import batch, hello, status
from state_walk import NotingMachine, reachable
from unspool.instrument.record.notices import PhaseChanged
from unspool.instrument.record.run_detector import RunDetector
from unspool.instrument.record.run_events import RunEvent, RunOver
from unspool.instrument.record.states import PHASES, TRANSITIONS, CycleEvent, CycleState
from unspool.instrument.wire.decoded import EdgeGap

MOVES = {  # edges, seconds for the first of them
    "wind": (-2 * 20, 0.02),
    "wind a little": (-8, 0.02),
    "give way": (8, 0.1),
    "push": (2 * 20, 0.2),
    "nudge": (2, 0.05),
    "let go": (4 * 20, 0.4),
}
ACTIONS = (*MOVES, "rest", "stand", "lose", "reset")


class Walk:
    """A car that somebody handles; `taken` collects its transitions."""

    def __init__(self, taken: set[tuple[CycleState, CycleEvent]]) -> None:
        self.detector = RunDetector()
        self.detector._states = NotingMachine(self.detector._states, taken)
        self.seen: list[RunEvent] = []
        self._boot, self._at_s, self._edges = 1, 1.0, 0
        self.seen += self.detector.feed(hello(self._boot))

    @property
    def state(self) -> CycleState:
        return self.detector._states.state

    def act(self, action: str) -> None:
        match action:
            case "rest":
                self._wait(1.2)
            case "stand":
                self._wait(12.0)
            case "lose":
                self.seen += self.detector.feed(EdgeGap(self._edges, 5))
                self._edges += 5
            case "reset":
                self._boot, self._edges, self._at_s = self._boot + 1, 0, 1.0
                self.seen += self.detector.feed(hello(self._boot))
            case _:
                edges, step_s = MOVES[action]
                self._turn(edges, step_s, quicker=action == "let go")

    def _turn(self, edges: int, step_s: float, quicker: bool = False) -> None:
        times = []
        for k in range(abs(edges)):
            self._at_s += step_s / (1 + k / 4) if quicker else step_s
            times.append(self._at_s)
        way = 1 if edges > 0 else -1
        for start in range(0, len(times), 7):
            part = times[start : start + 7]
            self.seen += self.detector.feed(batch(part, [way] * len(part), self._edges))
            self._edges += len(part)

    def _wait(self, seconds: float) -> None:
        self._at_s += seconds
        self.seen += self.detector.feed(status(self._at_s, self._edges))


def test_every_state_can_be_reached_and_has_a_phase() -> None:
    assert reachable(TRANSITIONS, CycleState.WAITING) == set(CycleState) == set(PHASES)


def test_every_transition_of_the_table_happens() -> None:
    taken: set[tuple[CycleState, CycleEvent]] = set()
    choose = Random(1)
    for _ in range(300):
        walk = Walk(taken)
        for _ in range(30):
            walk.act(choose.choice(ACTIONS))
        if taken == set(TRANSITIONS):
            break
    assert taken == set(TRANSITIONS)


@given(st.lists(st.sampled_from(ACTIONS), max_size=40))
def test_no_order_of_events_leaves_the_table(actions: list[str]) -> None:
    """Invariant: nothing raises, each change of phase is one, and runs share no edges."""
    walk = Walk(set())
    for action in actions:
        walk.act(action)
    walk.seen += walk.detector.finish()
    phases = [event for event in walk.seen if isinstance(event, PhaseChanged)]
    assert all(one != two for one, two in pairwise(phases))
    runs = [event for event in walk.seen if isinstance(event, RunOver)]
    edges = [(run.boot, number) for run in runs for number in run.edges.number.tolist()]
    assert len(edges) == len(set(edges))
    assert walk.state is not CycleState.RUNNING
