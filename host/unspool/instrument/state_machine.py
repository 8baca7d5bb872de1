"""StateMachine: where something stands, moved only along a table of transitions.

A table maps (state, event) to the next state. What is not in the table cannot happen, and raises:
a wrong assumption shows where it is made, not three modules later.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Generic, TypeVar

S = TypeVar("S", bound=Enum)
E = TypeVar("E", bound=Enum)


class ImpossibleTransitionError(Exception):
    """The table has no transition for this event in this state: a defect of this program."""


class StateMachine(Generic[S, E]):
    """`state` is the present state; `on` moves it."""

    def __init__(self, transitions: Mapping[tuple[S, E], S], start: S) -> None:
        self._transitions = transitions
        self.state = start

    def on(self, event: E) -> S:
        """Moves to the next state and returns it. Raises ImpossibleTransitionError."""
        try:
            self.state = self._transitions[self.state, event]
        except KeyError:
            impossible = f"{event.name} cannot happen in state {self.state.name}"
            raise ImpossibleTransitionError(impossible) from None
        return self.state
