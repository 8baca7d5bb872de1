"""`unspool captures`: what boards sent, and what of it nobody needs any more."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer
from rich.table import Table

from unspool.cli.sources import AsJson, StoreName, existing_store
from unspool.cli.streams import console, print_json, to_stderr

if TYPE_CHECKING:
    from unspool.store import CaptureRow, Tidied

Tidy = Annotated[
    bool,
    typer.Option(
        "--tidy",
        help="Delete the captures that no run, no board and no recorder needs.",
    ),
]


def captures(store: StoreName = None, tidy: Tidy = False, as_json: AsJson = False) -> None:
    """List the captures in the store: the bytes of boards, in which runs are found."""
    with existing_store(store) as opened:
        gone = opened.tidy() if tidy else None
        rows = opened.captures()
    if as_json:
        print_json({"unspool": 1, **_json(gone), "captures": [_row_json(row) for row in rows]})
    elif gone is not None:
        _say(gone, rows)
    elif rows:
        console().print(_table(rows))
    else:
        to_stderr("the store has no captures yet; `unspool record` makes them")


def _say(gone: Tidied, rows: list[CaptureRow]) -> None:
    print(f"deleted: {gone.captures} captures, {_size(gone.size_bytes)}")
    print(f"kept: {len(rows)} captures, {_size(sum(row.size_bytes for row in rows))}")


def _json(gone: Tidied | None) -> dict[str, object]:
    if gone is None:
        return {}
    return {"deleted": {"captures": gone.captures, "size_bytes": gone.size_bytes}}


def _row_json(row: CaptureRow) -> dict[str, object]:
    return {
        "id": row.id,
        "started_at": row.started_at.isoformat(),
        "board": row.key.identity if row.key else None,
        "boot": row.key.boot if row.key else None,
        "link": row.link,
        "size_bytes": row.size_bytes,
        "stray_bytes": row.stray_bytes,
        "runs": row.runs,
    }


def _table(rows: list[CaptureRow]) -> Table:
    from unspool.instrument.link import place_of

    table = Table(box=None, pad_edge=False)
    table.add_column("capture", justify="right")
    for heading in ("when", "board", "first link"):
        table.add_column(heading, overflow="fold")
    for heading in ("size", "noise", "runs"):
        table.add_column(heading, justify="right")
    for row in rows:
        when = f"{row.started_at.astimezone():%Y-%m-%d %H:%M:%S}"
        board = f"{row.key.identity:08x}, boot {row.key.boot}" if row.key else "-"
        sizes = _size(row.size_bytes), _size(row.stray_bytes)
        table.add_row(str(row.id), when, board, place_of(row.link), *sizes, str(row.runs))
    return table


def _size(count: int) -> str:
    return f"{count / 1000:,.1f} kB"
