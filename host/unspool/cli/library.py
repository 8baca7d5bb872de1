"""`unspool runs` and `export`: what the store has, and runs out of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from unspool.cli.output_files import Force, write_new
from unspool.cli.sources import (
    AsJson,
    CarFile,
    RunName,
    StoreName,
    edges_of,
    existing_store,
    find_run,
    store_of,
)
from unspool.cli.streams import console, print_json, to_stderr
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.store import RunRow


def runs(store: StoreName = None, as_json: AsJson = False) -> None:
    """List the runs in the store."""
    with existing_store(store) as opened:
        rows, where = opened.runs(), opened.place
    if as_json:
        print_json({"unspool": 1, "runs": [_row_json(row) for row in rows]})
    elif rows:
        console().print(_table(rows))
    else:
        to_stderr(
            f"the store {where} has no runs yet; `unspool record` and `unspool import` add runs"
        )


def export(
    run: RunName,
    csv: Annotated[Path | None, typer.Option(help="Edge file to write.")] = None,
    motion: Annotated[
        Path | None,
        typer.Option(help="Table of distance and speed at each edge to write: CSV, or .parquet."),
    ] = None,
    car: CarFile = None,
    store: StoreName = None,
    force: Force = False,
) -> None:
    """Write a run's edges as an edge file, or its motion as a table."""
    if csv is None and motion is None:
        raise InputError("say what to write: --csv FILE for the edges, --motion FILE for a table")
    if csv is not None:
        from unspool.reading.edges.edge_file import edge_text

        train = edges_of(run, store)
        write_new(csv, edge_text(train), force=force)
        to_stderr(f"{csv}: {len(train)} edges")
    if motion is not None:
        _write_motion(run, motion, car, store, force)


def _write_motion(run: str, out: Path, car: Path | None, store: str | None, force: bool) -> None:
    from unspool.kept import Readings
    from unspool.render.tables import motion_csv, motion_parquet

    with store_of([run], store) as opened:
        found = Readings(opened).motion(find_run(run, car, None, opened))
    rows = {run: found}
    as_table = motion_parquet(rows) if out.suffix == ".parquet" else motion_csv(rows)
    write_new(out, as_table, force=force)
    to_stderr(f"{out}: {len(found.time_s)} rows")


def _row_json(row: RunRow) -> dict[str, object]:
    from unspool.render.words.board import ENDINGS

    return {
        "id": row.id,
        "started_at": row.started_at.isoformat(),
        "car": row.car,
        "track": row.track,
        "source": row.source,
        "edges": row.edges,
        "missing": row.missing,
        "note": ENDINGS.get(row.ending, ""),
        "ending": row.ending,
        "builder_note": row.builder_note,
        "turns_from": row.turns_from,
        "taped_m": row.taped_m,
        "discarded": row.discarded,
        "corrections": row.corrections,
        "timed_s": row.timed_s,
        "tags": list(row.tags),
        "attempt": _attempt_json(row),
    }


def _attempt_json(row: RunRow) -> dict[str, object] | None:
    """The run's number among those of its car on its day, on the clock of where it was recorded."""
    if row.attempt is None:
        return None
    return {"day": row.attempt.day.isoformat(), "number": row.attempt.number}


def _table(rows: list[RunRow]) -> Table:
    table = Table(box=None, pad_edge=False)
    table.add_column("run", justify="right")
    for heading in ("when", "car", "track"):
        table.add_column(heading)
    table.add_column("edges", justify="right")
    table.add_column("from", overflow="fold")
    noted = any(_remarks(row) for row in rows)
    if noted:
        table.add_column("note", overflow="fold")
    for row in rows:
        when = f"{row.started_at.astimezone():%Y-%m-%d %H:%M:%S}"
        lost = f" (+{row.missing} lost)" if row.missing else ""
        cells = (row.id, when, row.car or "-", row.track or "-", f"{row.edges}{lost}", row.source)
        table.add_row(*cells, *([_remarks(row)] if noted else []))
    return table


def _remarks(row: RunRow) -> str:
    """What sets the run apart, and what the builder noted."""
    taped = "" if row.taped_m is None else f"taped {row.taped_m:.3f} m"
    note = " ".join(row.builder_note.split())
    marks = ("discarded" * row.discarded, taped, ", ".join(row.tags), note)
    return "; ".join(mark for mark in marks if mark)
