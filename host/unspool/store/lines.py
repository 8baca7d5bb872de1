"""Lines: what the Logbook shows of each run that takes its edges to know.

They are kept so that a list of thousands of runs reads none of them again. They are no truth. If
the basis of a line is no longer its run's, the line is made again.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, delete, func, insert, select

from unspool.ends import Ends
from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.rows import Turns
from unspool.store.said_cells import turns_of

_LINES = schema.lines.c
_COLUMNS = dict(_LINES.items())


@dataclass(frozen=True)
class Line:
    """One line.

    The tiers that were wound stand in `winding`, with their turns. The speeds of `spark` are at
    even distances from the launch to the furthest point, in percent of peak_m_s. The findings are
    codes with their severities, warnings first. If the run cannot be read, `fault` says why.

    The basis is that of StoredRun. The code is a digest of the code that made the line.
    """

    run_id: str
    basis: str
    code: str
    winding: Turns = ()
    weight_g: float | None = None
    distance_m: float | None = None
    ends: Ends = Ends.UNKNOWN
    peak_m_s: float | None = None
    spark: tuple[int, ...] = ()
    findings: tuple[tuple[str, str], ...] = ()
    fault: str = ""


def listed(connection: Connection, of: Sequence[str] | None = None) -> dict[str, Line]:
    """By the run's id, of all runs or of these. Damaged ones are left out."""
    wanted = select(schema.lines)
    if of is not None:
        wanted = wanted.where(_LINES.run_id.in_([int(run) for run in of]))
    lines = map(_line, connection.execute(wanted))
    return {line.run_id: line for line in lines if line}


def count(connection: Connection, code: str) -> int:
    made = select(func.count()).select_from(schema.lines).where(_LINES.code == code)
    return int(connection.execute(made).scalar_one())


def write(connection: Connection, lines: Sequence[Line]) -> None:
    """In place of those that the runs had; a line of a run that has gone is left out."""
    ids = [int(line.run_id) for line in lines]
    there = schema.runs.c.id
    known = set(connection.execute(select(there).where(there.in_(ids))).scalars())
    connection.execute(delete(schema.lines).where(_LINES.run_id.in_(ids)))
    if rows := [_cells(line) for line in lines if int(line.run_id) in known]:
        connection.execute(insert(schema.lines), rows)


def _cells(line: Line) -> dict[str, Any]:
    return {
        "run_id": int(line.run_id),
        "basis": line.basis,
        "code": line.code,
        "winding": json.dumps(line.winding),
        "weight_g": line.weight_g,
        "distance_m": line.distance_m,
        "ends": line.ends,
        "peak_m_s": line.peak_m_s,
        "spark": json.dumps(line.spark),
        "findings": json.dumps(line.findings),
        "fault": line.fault,
    }


def _line(row: AnyRow) -> Line | None:
    if damaged(row, _COLUMNS):
        return None
    try:
        return Line(
            run_id=str(row.run_id),
            basis=row.basis,
            code=row.code,
            winding=turns_of(row.winding),
            weight_g=row.weight_g,
            distance_m=row.distance_m,
            ends=Ends(row.ends),
            peak_m_s=row.peak_m_s,
            spark=tuple(int(speed) for speed in json.loads(row.spark)),
            findings=tuple((str(c), str(s)) for c, s in json.loads(row.findings)),
            fault=row.fault,
        )
    except (ValueError, TypeError, RecursionError):
        return None
