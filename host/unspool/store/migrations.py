"""Brings a store up to the last step of its schema, by Alembic; the steps stand in steps/versions.

SQLite keeps two numbers for the program that owns a file. `application_id` marks our databases
among all others. `user_version` counted the steps before Alembic did, up to COUNTED; now it says
one more, so that an unspool of that time leaves the file alone.
"""

from __future__ import annotations

from pathlib import Path
from threading import Lock

from sqlalchemy import Connection, inspect, select, text

from unspool.errors import StoreError
from unspool.language import Phrase
from unspool.store.place import Place
from unspool.store.steps.words import VERSION_TABLE

APPLICATION_ID = 0x756E7370  # "unsp"
COUNTED = 12
LATEST = "0015"
FOLDER = Path(__file__).with_name("steps")
_TURN = Lock()  # Alembic keeps what it works on in a module


def migrate(connection: Connection, place: Place) -> None:
    """Takes the steps that are left, inside the caller's transaction.

    Raises StoreError for a database of another program or of a newer unspool; neither is touched.
    """
    taken = last_step(connection, place)
    if _noted(connection) == LATEST:
        return
    with _TURN:
        _upgrade(connection, taken)
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {COUNTED + 1}")


def is_current(connection: Connection, place: Place) -> bool:
    """Whether all steps were taken. Raises StoreError as `migrate` does."""
    return last_step(connection, place) == LATEST and _noted(connection) is not None


def last_step(connection: Connection, place: Place) -> str | None:
    """The last one that was taken, None for none. Raises StoreError as `migrate` does."""
    taken = _noted(connection) or _counted(connection)
    if taken is None and _is_used(connection):
        raise StoreError(
            Phrase(
                "{place} is another program's database, not a store of unspool; give another with"
                " --store",
                place=place,
            )
        )
    if taken is not None and taken > LATEST:
        raise StoreError(
            Phrase(
                "the store {place} was made by a newer unspool (schema {taken}, this one knows"
                " {known}); update unspool, or use --store for another",
                place=place,
                taken=taken,
                known=LATEST,
            )
        )
    return taken


def _upgrade(connection: Connection, taken: str | None) -> None:
    # half of the commands never need it, and importing it takes a tenth of a second
    from alembic import command
    from alembic.config import Config

    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    if taken is not None and _noted(connection) is None:
        command.stamp(config, taken)
    command.upgrade(config, LATEST)


def _noted(connection: Connection) -> str | None:
    """The step that Alembic noted."""
    if not inspect(connection).has_table(VERSION_TABLE):
        return None
    found = connection.execute(select(text("version_num")).select_from(text(VERSION_TABLE)))
    return str(found.scalar_one())


def _counted(connection: Connection) -> str | None:
    """The step that SQLite's own number says, in a store of the time before Alembic."""
    if connection.dialect.name != "sqlite":
        return None
    if _number(connection, "PRAGMA application_id") != APPLICATION_ID:
        return None
    return f"{_number(connection, 'PRAGMA user_version'):04}"


def _is_used(connection: Connection) -> bool:
    if connection.dialect.name != "sqlite":
        return bool(inspect(connection).get_table_names())
    owner = _number(connection, "PRAGMA application_id")
    return bool(owner or _number(connection, "SELECT count(*) FROM sqlite_schema"))


def _number(connection: Connection, statement: str) -> int:
    return int(connection.exec_driver_sql(statement).scalar_one())
