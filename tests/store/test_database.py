"""Opening the file of a store: several programs may do so at the same moment."""

from __future__ import annotations

import sqlite3
import sqlite3.dbapi2
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from unspool.store.database import open_database


class _Busy(sqlite3.Connection):
    """Refuses the first switches to WAL, as SQLite does if two programs switch at once."""

    refusals = 0

    def execute(self, statement: str, *values: object) -> sqlite3.Cursor:  # type: ignore[override]
        if "WAL" in statement and _Busy.refusals:
            _Busy.refusals -= 1
            error = sqlite3.OperationalError("database is locked")
            error.sqlite_errorcode = sqlite3.SQLITE_BUSY
            raise error
        return super().execute(statement, *values)


@pytest.fixture
def _busy(monkeypatch: pytest.MonkeyPatch) -> None:
    connect = sqlite3.dbapi2.connect
    monkeypatch.setattr(sqlite3.dbapi2, "connect", lambda *a, **k: connect(*a, **k, factory=_Busy))


@pytest.mark.usefixtures("_busy")
def test_a_new_file_that_another_program_switches_is_waited_for(tmp_path: Path) -> None:
    _Busy.refusals = 3
    with open_database(tmp_path / "new.sqlite", 5.0).connect() as connection:
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "wal"
    assert _Busy.refusals == 0


@pytest.mark.usefixtures("_busy")
def test_nobody_waits_for_ever(tmp_path: Path) -> None:
    _Busy.refusals = 10**9
    with pytest.raises(OperationalError), open_database(tmp_path / "new.sqlite", 0.05).connect():
        pass
    _Busy.refusals = 0
