"""The schema's steps: each former store is carried over whole, and a newer one is left alone."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from threading import Thread

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import BigInteger, create_engine, inspect

from database_server import DatabaseServer
from store.directly import old_store, say
from unspool.errors import StoreError
from unspool.store import Place, Server, Store, migrations, schema
from unspool.store.engines import open_place
from unspool.store.migrations import COUNTED, FOLDER, LATEST
from unspool.store.steps.words import VERSION_TABLE

LATER = """
from alembic import op
from sqlalchemy import text
revision, down_revision = "{number:04}", "{before}"
def upgrade():
    op.execute(text("ALTER TABLE runs ADD COLUMN place TEXT NOT NULL DEFAULT 'hall'"))
    {more}
"""
RUN = (
    "INSERT INTO runs (id, identity, source, started_us, edges, missing, time_s, direction, number,"
    " {note}) VALUES (7, 'x', 'old.csv', 17, 3, 0, x'01', x'02', x'03', '')"
)


def later_step(monkeypatch: pytest.MonkeyPatch, folder: Path, more: str = "") -> str:
    """As if the next version of unspool had a step more. Returns its name."""
    shutil.copytree(FOLDER, folder / "steps")
    number = int(LATEST) + 1
    text = LATER.format(number=number, before=LATEST, more=more)
    (folder / "steps" / "versions" / "later.py").write_text(text)
    monkeypatch.setattr(migrations, "FOLDER", folder / "steps")
    monkeypatch.setattr(migrations, "LATEST", f"{number:04}")
    return f"{number:04}"


def columns_of(place: Place) -> dict[str, list[tuple[str, str, object]]]:
    engine = open_place(place, 1.0)
    with engine.connect() as connection:
        found = inspect(connection)
        tables = {
            name: [(c["name"], _kind(c["type"]), c["nullable"]) for c in found.get_columns(name)]
            for name in found.get_table_names()
        }
    engine.dispose()
    return tables


def _kind(given: object) -> str:
    names = {"BIGINT": "INTEGER", "DOUBLE PRECISION": "FLOAT", "BYTEA": "BLOB"}
    return names.get(str(given), str(given))


def test_the_steps_make_the_tables_that_the_code_sees(place: Place) -> None:
    Store.open(place).close()
    found = columns_of(place)
    assert len(found.pop(VERSION_TABLE)) == 1
    assert found == {
        name: [(c.name, str(c.type), c.nullable) for c in table.columns]
        for name, table in schema.metadata.tables.items()
    }


def test_integers_on_a_server_have_64_bits(server: DatabaseServer) -> None:
    with server.fresh() as place:
        found = inspect(create_engine(place.url))
        kinds = {str(c["type"]) for name in schema.metadata.tables for c in found.get_columns(name)}
    assert "INTEGER" not in kinds
    assert str(BigInteger()) in kinds


def test_the_last_step_is_the_one_that_the_code_knows() -> None:
    steps = ScriptDirectory(str(FOLDER))
    assert steps.get_heads() == [LATEST]
    assert len(list(steps.walk_revisions())) == int(LATEST)


@pytest.mark.parametrize("step", range(1, COUNTED + 1))
def test_each_former_store_is_carried_over_whole(tmp_path: Path, step: int) -> None:
    note = "note" if step < 4 else "ending"
    path = old_store(
        tmp_path / "s",
        step,
        "INSERT INTO captures (id, link, started_us) VALUES (4, 'serial:COM3', 17)",
        "INSERT INTO chunks VALUES (9, 4, 2, 18, 'board', x'0102')",
        "INSERT INTO cars VALUES (3, 'Dunlin', 'name = \"Dunlin\"')",
        RUN.format(note=note),
    )
    (tmp_path / "new").touch()  # empty: the steps themselves make its tables
    Store.open(tmp_path / "new").close()
    with Store.open(path) as store:
        assert [chunk.data for chunk in store.chunks(4)] == [b"\1\2"]
        assert [(row.id, row.source) for row in store.runs()] == [("7", "old.csv")]
        assert store.check() == []
    assert columns_of(path) == columns_of(tmp_path / "new")
    with closing(sqlite3.connect(path)) as direct:
        assert direct.execute("SELECT text FROM cars").fetchall() == [('name = "Dunlin"',)]
        assert direct.execute("SELECT * FROM unspool_step").fetchall() == [(LATEST,)]
        assert direct.execute("PRAGMA user_version").fetchone() == (COUNTED + 1,)
        with pytest.raises(sqlite3.IntegrityError):
            direct.execute("UPDATE chunks SET data = x'00'")


def test_an_older_store_gets_the_next_step(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Store.open(place) as store:
        store.cars.save('name = "Dunlin"', "Dunlin", "Ada")
    later_step(monkeypatch, tmp_path)
    for _ in range(2):  # then nothing is left to do
        with Store.open(place) as store:
            assert [car.name for car in store.cars.listed()] == ["Dunlin"]
    assert columns_of(place)["runs"][-1] == ("place", "TEXT", False)


def test_a_step_that_fails_leaves_the_old_schema(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    Store.open(place).close()
    before = columns_of(place)
    with monkeypatch.context() as patch:
        later_step(patch, tmp_path, "op.execute(text('ALTER TABLE nothing RENAME TO x'))")
        with pytest.raises(StoreError):
            Store.open(place)
    assert columns_of(place) == before
    Store.open(place).close()


def test_a_newer_store_is_left_alone(place: Place) -> None:
    Store.open(place).close()
    say(place, f"UPDATE {VERSION_TABLE} SET version_num = '0099'")
    with pytest.raises(StoreError, match="newer unspool") as caught:
        Store.open(place)
    assert "0099" in str(caught.value)
    assert str(place) in str(caught.value)


def test_a_newer_store_of_the_time_of_counting_is_left_alone(tmp_path: Path) -> None:
    path = old_store(tmp_path / "s", COUNTED, "PRAGMA user_version = 99")
    with pytest.raises(StoreError, match="newer unspool"):
        Store.open(path)


def test_a_database_of_another_program_on_a_server(server: DatabaseServer) -> None:
    with server.fresh("template0") as place:
        say(place, "CREATE TABLE books (title TEXT)")
        with pytest.raises(StoreError, match="another program"):
            Store.open(place)
        assert list(columns_of(place)) == ["books"]


def test_several_who_open_a_new_store_at_once_make_it_once(server: DatabaseServer) -> None:
    faults: list[Exception] = []

    def open_one(place: Server) -> None:
        try:
            Store.open(place).close()
        except Exception as error:
            faults.append(error)

    with server.fresh("template0") as place:
        threads = [Thread(target=open_one, args=(place,)) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert faults == []
        assert sorted(columns_of(place)) == sorted([*schema.metadata.tables, VERSION_TABLE])
