"""Connections to a store on a server of PostgreSQL.

One lock of the database lets its writers in one after the other, as SQLite does with its file. So a
number that is given later is always the larger one, and what a writer looked at still holds when it
writes. https://www.postgresql.org/docs/current/explicit-locking.html#ADVISORY-LOCKS

A server that has gone away is noticed within GONE_S. The pool tries each connection before it hands
it out, so a server that has come back is used again.
"""

from __future__ import annotations

from sqlalchemy import Connection, Engine, create_engine, event

from unspool.errors import StoreError
from unspool.store.place import Server

WRITERS = 0x756E7370  # "unsp", the number of the lock
GONE_S = 10
LONGEST_S = 120  # for one statement


def open_server(server: Server, busy_s: float, *, lasting: bool) -> Engine:
    """Connects to nothing yet. Raises StoreError if the driver is missing or the address is bad."""
    engine = _engine(server, busy_s, lasting)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        if connection.get_execution_options().get("unspool_writes", False):
            connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({WRITERS})")

    return engine


def add_schema(connection: Connection, name: str, statements: str) -> None:
    """Makes the schema with its tables, unless it is there. statements: several, of SQL."""
    there = "SELECT count(*) FROM information_schema.schemata WHERE schema_name = %(name)s"
    if connection.exec_driver_sql(there, {"name": name}).scalar_one():
        return
    connection.exec_driver_sql(f"CREATE SCHEMA {name}")
    connection.exec_driver_sql(f"SET LOCAL search_path = {name}")
    driver = connection.connection.driver_connection
    assert driver is not None  # the pool has just given it
    driver.execute(statements)  # the driver's own way takes several at once


def _engine(server: Server, busy_s: float, lasting: bool) -> Engine:
    try:
        return create_engine(
            server.url,
            pool_pre_ping=True,
            connect_args=_network() | {"options": _settings(busy_s, lasting)},
        )
    except ImportError as error:
        raise StoreError(
            "a store on a server needs the library psycopg; install it with"
            " pip install 'unspool[league]'"
        ) from error
    except ValueError as error:
        raise StoreError(
            f"the store's address {server} cannot be read; write"
            " postgresql+psycopg://USER@HOST:PORT/NAME"
        ) from error


def _network() -> dict[str, int | str]:
    return {
        "connect_timeout": GONE_S // 2,
        "keepalives_idle": GONE_S // 2,
        "keepalives_interval": 1,
        "keepalives_count": GONE_S // 2,
        "tcp_user_timeout": GONE_S * 1000,
        "client_encoding": "utf8",
        "application_name": "unspool",
    }


def _settings(busy_s: float, lasting: bool) -> str:
    chosen = {
        "lock_timeout": round(busy_s * 1000),
        "statement_timeout": LONGEST_S * 1000,
        "idle_in_transaction_session_timeout": LONGEST_S * 1000,
        "synchronous_commit": "on" if lasting else "off",
    }
    return " ".join(f"-c {name}={value}" for name, value in chosen.items())
