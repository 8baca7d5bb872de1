"""Cars and tracks, and which of their versions was used from when on."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Table, insert, select

from unspool.names import name_key
from unspool.shelved import How
from unspool.store import schema
from unspool.store.cells import AnyRow, damaged
from unspool.store.copying.copied import Copied
from unspool.store.copying.numbers import Numbers


@dataclass(frozen=True)
class Sheets:
    """The target's ids of the source's sheets."""

    cars: dict[int, int]
    tracks: dict[int, int]


def copy_sheets(
    here: Connection, there: Connection, cars: Collection[int], tracks: Collection[int], did: Copied
) -> Sheets:
    """A sheet is the same in both stores if its text is. cars, tracks: ids of the source."""
    found = Sheets(
        _copy(here, there, schema.cars, cars, did), _copy(here, there, schema.tracks, tracks, did)
    )
    _copy_versions(here, there, found)
    return found


def _copy(
    here: Connection, there: Connection, table: Table, wanted: Collection[int], did: Copied
) -> dict[int, int]:
    known = {row.text: row.id for row in there.execute(select(table.c.id, table.c.text))}
    numbers, ids, new = Numbers(there, table), {}, []
    for row in here.execute(select(table).order_by(table.c.id)):
        if row.id not in wanted:
            continue
        if damaged(row, dict(table.c.items())):
            did.damaged += 1
            continue
        if row.text not in known:
            known[row.text] = numbers(row.id)
            new.append({"id": known[row.text], "name": row.name, "text": row.text})
        ids[row.id] = known[row.text]
    if new:
        there.execute(insert(table), new)
        numbers.keep()
    did.sheets += len(new)
    return ids


def _copy_versions(here: Connection, there: Connection, sheets: Sheets) -> None:
    lines = schema.versions
    known = {_key(row._mapping) for row in there.execute(select(lines))}
    saved, numbers, new = _newest_saved(there), Numbers(there, lines), []
    columns = dict(lines.c.items())
    for row in here.execute(select(lines).order_by(lines.c.id)):
        cells = None if damaged(row, columns) else _moved(row, sheets)
        if cells is None or _key(cells) in known:
            continue
        if row.made_us <= saved.get(_name_of(there, cells), -1):
            if row.how == How.AWAY:
                continue
            cells["how"] = How.RUN  # what was chosen there later stays chosen
        new.append(cells | {"id": numbers(row.id)})
    if new:
        there.execute(insert(lines), new)
        numbers.keep()


def _moved(row: AnyRow, sheets: Sheets) -> dict[str, Any] | None:
    """The line with the target's ids; None if its sheet was not copied."""
    car, track = sheets.cars.get(row.car_id), sheets.tracks.get(row.track_id)
    if car is None and track is None:
        return None
    return dict(row._mapping) | {"car_id": car, "track_id": track}


def _key(cells: Any) -> tuple[object, ...]:
    return tuple(cells[name] for name in ("car_id", "track_id", "made_us", "who"))


def _newest_saved(there: Connection) -> dict[tuple[str, str], int]:
    """When each car and track was saved last, by its kind and the key of its name."""
    lines = schema.versions
    found: dict[tuple[str, str], int] = {}
    for table, column in ((schema.cars, lines.c.car_id), (schema.tracks, lines.c.track_id)):
        rows = select(table.c.name, lines.c.made_us).join(lines, column == table.c.id)
        for name, made_us in there.execute(rows.where(lines.c.how == How.SAVED)):
            key = (table.name, name_key(str(name)))
            found[key] = max(found.get(key, -1), made_us)
    return found


def _name_of(there: Connection, cells: dict[str, Any]) -> tuple[str, str]:
    table = schema.cars if cells["car_id"] is not None else schema.tracks
    number = cells["car_id"] if cells["car_id"] is not None else cells["track_id"]
    name = there.execute(select(table.c.name).where(table.c.id == number)).scalar_one()
    return table.name, name_key(str(name))
