"""What people say of a run, and its history: who said what, when, and what was known before.

The run's row holds what is said now; the history only grows. So whatever reads a run follows its
corrections, and nothing that was known before is lost.
"""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, func, insert, select, update

from unspool.errors import ChangedMeanwhileError, InputError
from unspool.language import _
from unspool.store import schema
from unspool.store.cells import LATEST_US, AnyRow, damaged, unreadable
from unspool.store.moments import moment
from unspool.store.place import Place
from unspool.store.rows import Correction, Field, Said
from unspool.store.run_numbers import no_run, number_of
from unspool.store.said_cells import COLUMNS, SHEETS, cell_of, said_by

_RUNS, _HISTORY = schema.runs.c, schema.corrections.c
_HISTORY_COLUMNS = dict(_HISTORY.items())


def correct(
    connection: Connection,
    run_id: str,
    changes: Mapping[Field, Said],
    who: str,
    place: Place,
    seen: int | None,
) -> int | None:
    """The run's revision from then on, None if the changes change nothing.

    seen: the revision that the changes are made to, None for whichever is the newest.
    """
    row = _row(connection, run_id, place, seen)
    cells = {field: cell_of(connection, field, value, who) for field, value in changes.items()}
    return _write(connection, row, cells, who)


def undo(connection: Connection, run_id: str, who: str, place: Place, seen: int | None) -> None:
    """Takes back what was said last, all that was said at once. seen: as `correct` takes it."""
    row = _row(connection, run_id, place, seen)
    newest = select(func.max(_HISTORY.made_us)).where(_HISTORY.run_id == row.id)
    last = connection.execute(
        select(schema.corrections).where(
            _HISTORY.run_id == row.id, _HISTORY.made_us == newest.scalar_subquery()
        )
    ).all()
    if not last:
        raise InputError(
            _("nothing was corrected of run {run}, so nothing can be undone", run=run_id)
        )
    if not all(map(_is_sound, last)):
        raise unreadable(_("the history of run {run}", run=run_id), ["corrections"])
    _write(connection, row, {Field(one.field): json.loads(one.before) for one in last}, who)


def _row(connection: Connection, run_id: str, place: Place, seen: int | None) -> AnyRow:
    """The run that is being changed. Raises InputError if it is not there or was changed since."""
    number = number_of(run_id)
    row = connection.execute(select(schema.runs).where(_RUNS.id == number)).first()
    if row is None:
        raise no_run(run_id, place)
    if seen is not None and seen != revision(connection, number):
        raise ChangedMeanwhileError(
            _(
                "run {run} was corrected by somebody else in the meantime; look at it again first",
                run=run_id,
            )
        )
    return row


def history(connection: Connection, run_id: str, called: str = "name") -> list[Correction]:
    """All but damaged rows, the oldest first. called: what cars and tracks are said by."""
    rows = connection.execute(
        select(schema.corrections).where(_HISTORY.run_id == number_of(run_id)).order_by(_HISTORY.id)
    )
    names = {
        field: {row[0]: row[1] for row in connection.execute(select(sheet.c.id, sheet.c[called]))}
        for field, sheet in SHEETS.items()
    }
    return [_correction(row, names) for row in rows if _is_sound(row)]


def revision(connection: Connection, number: int) -> int:
    newest = select(func.coalesce(func.max(_HISTORY.id), 0)).where(_HISTORY.run_id == number)
    return int(connection.execute(newest).scalar_one())


def _write(connection: Connection, row: AnyRow, cells: Mapping[Field, Any], who: str) -> int | None:
    """The new revision. What changes nothing leaves no trace, and has none."""
    before = {field: getattr(row, COLUMNS[field].name) for field in cells}
    changed = {field: cell for field, cell in cells.items() if cell != before[field]}
    if not changed:
        return None
    values = {COLUMNS[field].name: cell for field, cell in changed.items()}
    connection.execute(update(schema.runs).where(_RUNS.id == row.id).values(values))
    common = {"run_id": row.id, "made_us": _moment_us(connection, row.id), "who": who}
    lines = [
        common | {"field": field, "before": json.dumps(before[field]), "after": json.dumps(cell)}
        for field, cell in changed.items()
    ]
    connection.execute(insert(schema.corrections), lines)
    return revision(connection, row.id)


def _moment_us(connection: Connection, number: int) -> int:
    """Now, and always later than what was said before: a coarse clock may say the same twice."""
    newest = select(func.coalesce(func.max(_HISTORY.made_us), 0)).where(
        _HISTORY.run_id == number, _HISTORY.made_us.between(0, LATEST_US - 1)
    )
    return max(time.time_ns() // 1000, int(connection.execute(newest).scalar_one()) + 1)


def _correction(row: AnyRow, names: Mapping[Field, Mapping[int, str]]) -> Correction:
    field = Field(row.field)
    before, after = (said_by(field, json.loads(cell), names) for cell in (row.before, row.after))
    return Correction(moment(row.made_us), row.who, field, before, after)


def _is_sound(row: AnyRow) -> bool:
    if damaged(row, _HISTORY_COLUMNS):
        return False
    try:
        _correction(row, {Field.CAR: {}, Field.TRACK: {}})
    except (ValueError, TypeError, RecursionError):
        return False
    return True
