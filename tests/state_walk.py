"""What a test asks of a table of transitions, and a machine that notes which it took."""

from __future__ import annotations

from collections.abc import Mapping
from enum import Enum
from typing import Any

from unspool.instrument.state_machine import StateMachine


class NotingMachine(StateMachine[Any, Any]):
    """Takes another machine's place and adds each transition to `taken`."""

    def __init__(self, other: StateMachine[Any, Any], taken: set[tuple[Enum, Enum]]) -> None:
        super().__init__(other._transitions, other.state)
        self._taken = taken

    def on(self, event: Enum) -> Any:
        before = self.state
        after = super().on(event)
        self._taken.add((before, event))
        return after


def reachable(table: Mapping[tuple[Any, Any], Any], start: Enum) -> set[Enum]:
    found, new = {start}, {start}
    while new:
        new = {to for (state, _), to in table.items() if state in found} - found
        found |= new
    return found
