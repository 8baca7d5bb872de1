"""Which car and which floor a board was last recorded with: it stays in its car."""

from __future__ import annotations

from sqlalchemy import Connection, delete, func, insert, select

from unspool.store import schema
from unspool.store.cells import damaged
from unspool.store.rows import BoardCar

_ROWS = schema.board_cars.c
_COLUMNS = dict(_ROWS.items())


def listed(connection: Connection) -> dict[int, BoardCar]:
    """By the board's number. Damaged ones are left out."""
    rows = connection.execute(select(schema.board_cars))
    return {row.board: BoardCar(row.car, row.track) for row in rows if not damaged(row, _COLUMNS)}


def remember(connection: Connection, board: int, has: BoardCar) -> None:
    connection.execute(delete(schema.board_cars).where(_ROWS.board == board))
    row = {"board": board, "car": has.car, "track": has.track}
    connection.execute(insert(schema.board_cars).values(row))


def by_link(connection: Connection) -> dict[str, int]:
    """The board with a number that was there last, by the name of its link."""
    of = schema.captures.c
    newest = select(func.max(of.id)).where(of.board.isnot(None)).group_by(of.link)
    rows = connection.execute(select(of.link, of.board).where(of.id.in_(newest)))
    return {row.link: row.board for row in rows if isinstance(row.board, int)}
