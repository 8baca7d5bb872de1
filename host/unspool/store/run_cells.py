"""Cells of a run's row that hold more than one value, as JSON."""

from __future__ import annotations

import json
from typing import Any

from unspool.store.cells import unreadable
from unspool.store.rows import Tags, Turns, Winding


def tags_of(cell: str) -> Tags:
    """The tags of a cell. Raises ValueError, TypeError or RecursionError for damaged ones."""
    return tuple(str(tag) for tag in json.loads(cell))


def turns_of(cell: str) -> Turns:
    """The turns of a cell. Raises ValueError, TypeError or RecursionError for damaged ones."""
    return tuple((str(tier), float(turns)) for tier, turns in json.loads(cell))


def winding_cells(winding: Winding | None) -> dict[str, Any]:
    if winding is None:
        return {"wound_turns": None, "wound_steps": None}
    return {"wound_turns": winding.turns, "wound_steps": json.dumps(winding.steps)}


def wound(turns: float | None, steps: str | None) -> Winding | None:
    if turns is None:
        return None
    try:
        return Winding(turns, tuple(float(step) for step in json.loads(steps or "[]")))
    except (ValueError, TypeError, RecursionError) as error:
        raise unreadable("the winding of this run", ["wound_steps"]) from error


def said_turns(cell: str | None) -> Turns | None:
    try:
        return None if cell is None else turns_of(cell)
    except (ValueError, TypeError, RecursionError) as error:
        raise unreadable("the winding of this run", ["said_turns"]) from error


def known_tags(cell: str) -> Tags | None:
    """None for damaged ones."""
    try:
        return tags_of(cell)
    except (ValueError, TypeError, RecursionError):
        return None
