"""A state machine moves along its table and nowhere else."""

from __future__ import annotations

from enum import Enum, auto

import pytest

from unspool.instrument.state_machine import ImpossibleTransitionError, StateMachine


class Door(Enum):
    OPEN = auto()
    SHUT = auto()


class Push(Enum):
    IN = auto()
    OUT = auto()


TABLE = {(Door.OPEN, Push.OUT): Door.SHUT, (Door.SHUT, Push.IN): Door.OPEN}


def test_an_event_moves_it_to_the_next_state() -> None:
    door = StateMachine(TABLE, Door.OPEN)
    assert door.on(Push.OUT) is Door.SHUT
    assert door.state is Door.SHUT


def test_an_event_that_the_table_lacks_raises_and_changes_nothing() -> None:
    door = StateMachine(TABLE, Door.OPEN)
    with pytest.raises(ImpossibleTransitionError, match="IN cannot happen in state OPEN"):
        door.on(Push.IN)
    assert door.state is Door.OPEN
