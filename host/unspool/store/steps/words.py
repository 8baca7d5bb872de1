"""What the steps are written with: columns and triggers that both databases understand."""

from __future__ import annotations

from alembic import op
from sqlalchemy import BigInteger, Column, Float, Integer, LargeBinary, Text, text

VERSION_TABLE = "unspool_step"  # names the last step taken, and the database as one of ours


def whole(name: str, *more: object, **kinds: object) -> Column[int]:
    """A column of integers of 64 bits. SQLite counts rows by itself if it is called INTEGER."""
    kind = Integer().with_variant(BigInteger(), "postgresql")
    return Column(name, kind, *more, **kinds)  # type: ignore[arg-type]  # passed on as they are


def words(name: str, *, null: bool = False, default: str | None = None) -> Column[str]:
    return Column(name, Text(), nullable=null, server_default=default)


def number(name: str) -> Column[float]:
    return Column(name, Float(), nullable=True)


def blob(name: str) -> Column[bytes]:
    return Column(name, LargeBinary(), nullable=False)


def add(table: str, *columns: Column[int] | Column[str] | Column[float]) -> None:
    for column in columns:
        op.add_column(table, column)


def refuse(trigger: str, change: str, table: str, says: str, when: str = "") -> None:
    """Makes the table itself refuse a change. when: SQL about OLD, "" for always.

    A trigger of that name is replaced.
    """
    if op.get_context().dialect.name == "sqlite":
        op.execute(text(f"DROP TRIGGER IF EXISTS {trigger}"))
        only = f"WHEN {when}" if when else ""
        op.execute(
            text(
                f"CREATE TRIGGER {trigger} BEFORE {change} ON {table} {only}"
                f" BEGIN SELECT RAISE(ABORT, '{says}'); END"
            )
        )
        return
    op.execute(
        text(
            f"CREATE OR REPLACE FUNCTION {trigger}() RETURNS trigger LANGUAGE plpgsql AS $$"
            f" BEGIN IF {when or 'true'} THEN"
            f" RAISE EXCEPTION '{says}' USING ERRCODE = 'integrity_constraint_violation';"
            f" END IF; RETURN {'OLD' if change == 'DELETE' else 'NEW'}; END $$"
        )
    )
    op.execute(text(f"DROP TRIGGER IF EXISTS {trigger} ON {table}"))
    op.execute(
        text(
            f"CREATE TRIGGER {trigger} BEFORE {change} ON {table}"
            f" FOR EACH ROW EXECUTE FUNCTION {trigger}()"
        )
    )
