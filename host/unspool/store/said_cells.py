"""Cells of a run's row: what they say of it, and how what is said becomes a cell."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Column, Connection

from unspool.language import Phrase
from unspool.store import schema
from unspool.store.cells import unreadable
from unspool.store.rows import Field, Said, Tags, Turns, Winding
from unspool.store.sheets import run_sheet_id

_RUNS = schema.runs.c
COLUMNS: dict[Field, Column[Any]] = {
    Field.CAR: _RUNS.car_id,
    Field.TRACK: _RUNS.track_id,
    Field.TURNS: _RUNS.said_turns,
    Field.WEIGHT_G: _RUNS.weight_g,
    Field.CIRCUMFERENCE_MM: _RUNS.circumference_mm,
    Field.CIRCUMFERENCE_SD_MM: _RUNS.circumference_sd_mm,
    Field.TAPED_M: _RUNS.taped_m,
    Field.TIMED_S: _RUNS.timed_s,
    Field.NOTE: _RUNS.builder_note,
    Field.TAGS: _RUNS.tags,
    Field.DISCARDED: _RUNS.discarded,
}
SHEETS = {Field.CAR: schema.cars, Field.TRACK: schema.tracks}


def cell_of(connection: Connection, field: Field, value: Said, who: str) -> Any:
    """What the run's row holds for this value."""
    if field in SHEETS:
        text = None if value is None else str(value)
        return run_sheet_id(connection, SHEETS[field], text, who)
    if field is Field.TAGS or (field is Field.TURNS and value is not None):
        return json.dumps(value)
    return int(value) if isinstance(value, bool) else value


def said_by(field: Field, cell: Any, sheets: Mapping[Field, Mapping[int, str]]) -> Said:
    """What a cell says, as JSON gives it back; sheets: by id, what cars and tracks are called.

    Raises ValueError, TypeError or RecursionError for damaged ones.
    """
    if field in sheets:
        return None if cell is None else sheets[field].get(cell, "")
    if field is Field.TURNS:
        return None if cell is None else turns_of(cell)
    if field is Field.TAGS:
        return tags_of(cell)
    if field is Field.DISCARDED:
        return bool(cell)
    return cell  # type: ignore[no-any-return]  # JSON of the column's own type


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
        raise unreadable(Phrase("the winding of this run"), ["wound_steps"]) from error


def said_turns(cell: str | None) -> Turns | None:
    try:
        return None if cell is None else turns_of(cell)
    except (ValueError, TypeError, RecursionError) as error:
        raise unreadable(Phrase("the winding of this run"), ["said_turns"]) from error


def known_tags(cell: str) -> Tags | None:
    """None for damaged ones."""
    try:
        return tags_of(cell)
    except (ValueError, TypeError, RecursionError):
        return None
