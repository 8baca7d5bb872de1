"""A conversation moves along its table: all of it, and nothing beside it."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from golden_wire import BOOT, EDGES_WHOLE, hello
from state_walk import NotingMachine, reachable
from unspool.instrument.wire import Conversation
from unspool.instrument.wire.frames import frame
from unspool.instrument.wire.messages import Status
from unspool.instrument.wire.states import (
    IN_DOUBT,
    TRANSITIONS,
    HostEvent,
    HostState,
)

ACTIONS = ("send", "hello", "edges", "old hello", "other boot")


class Walk:
    """A conversation that is moved by actions; `taken` collects its transitions."""

    def __init__(self, taken: set[tuple[HostState, HostEvent]]) -> None:
        self.host = Conversation()
        self.host._states = NotingMachine(self.host._states, taken)
        self._now_s = 0.0

    @property
    def state(self) -> HostState:
        return self.host._states.state

    def act(self, action: str) -> None:
        self._now_s += 1.0
        match action:
            case "send":
                self.host.to_send(self._now_s)
            case "hello":
                self.host.receive(frame(hello()))
            case "edges":
                self.host.receive(EDGES_WHOLE)
            case "old hello":
                self.host.receive(frame(hello(next_edge=3, oldest_edge=0, from_edge=0)))
            case "other boot":
                self.host.receive(frame(Status((BOOT + 1) & 0xFF, 0, 0, 0, 0, 0, 0, 0)))


def test_every_state_can_be_reached() -> None:
    assert reachable(TRANSITIONS, HostState.NO_BOARD) == set(HostState)


def test_every_transition_of_the_table_happens() -> None:
    taken: set[tuple[HostState, HostEvent]] = set()
    for actions in product(ACTIONS, repeat=6):
        walk = Walk(taken)
        for action in actions:
            walk.act(action)
        if taken == set(TRANSITIONS):
            break
    assert taken == set(TRANSITIONS)


@given(st.lists(st.sampled_from(ACTIONS), max_size=40))
def test_no_order_of_events_leaves_the_table(actions: list[str]) -> None:
    """Invariant: nothing raises, and the host either asks or listens to a board that it knows."""
    walk = Walk(set())
    for action in actions:
        walk.act(action)
        assert (walk.host._hello is None) == (
            walk.state in (HostState.NO_BOARD, HostState.NO_BOARD_ASKED)
        )


@given(st.lists(st.sampled_from(ACTIONS), max_size=40))
def test_two_requests_that_are_answered_end_every_doubt(actions: list[str]) -> None:
    walk = Walk(set())
    for action in [*actions, "send", "old hello", "send", "old hello"]:
        walk.act(action)
    assert walk.state is HostState.LISTENING


@pytest.mark.parametrize("state", list(HostState))
def test_only_a_host_that_listens_asks_for_nothing(state: HostState) -> None:
    asks = (state, HostEvent.REQUEST_SENT) in TRANSITIONS
    assert asks == (state is not HostState.LISTENING)
    assert state not in IN_DOUBT or asks
