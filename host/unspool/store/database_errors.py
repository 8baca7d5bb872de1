"""What SQLite says when it fails, as one sentence that says whose fault it is and what to do.

The codes are SQLite's primary result codes, https://www.sqlite.org/rescode.html.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy.exc import DBAPIError

from unspool.errors import StoreError, StoreWaitError

_SENTENCES = {
    sqlite3.SQLITE_BUSY: (
        "the store {path} is locked by another program; close it there, or use --store for another"
    ),
    sqlite3.SQLITE_FULL: (
        "the disk that holds the store {path} is full; make room there, or use --store for another"
        " disk; what was recorded before is safe"
    ),
    sqlite3.SQLITE_CORRUPT: (
        "the store {path} is damaged; keep a copy of it, go on with --store for a new one, and save"
        " what can be read with sqlite3's .recover command"
    ),
    sqlite3.SQLITE_NOTADB: "{path} is not a store of unspool; give another file with --store",
    sqlite3.SQLITE_READONLY: (
        "the store {path} may not be written by this user; change its permissions or its folder's,"
        " or use --store for another"
    ),
    sqlite3.SQLITE_CANTOPEN: (
        "the store {path} cannot be opened; check that its folder exists and that this user may"
        " write there, or use --store for another"
    ),
    sqlite3.SQLITE_IOERR: (
        "the disk refused to read or write the store {path}; check the disk and its free space;"
        " what was recorded before is safe"
    ),
}
_SAME = {
    sqlite3.SQLITE_LOCKED: sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_PERM: sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_AUTH: sqlite3.SQLITE_READONLY,
}
_PASSING = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR)
_PRIMARY = 0xFF  # an extended result code carries its primary code in the low byte


@contextmanager
def as_store_error(path: Path) -> Iterator[None]:
    """Turns a database error inside into a StoreError about the store at `path`."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        code = getattr(cause, "sqlite_errorcode", None)
        if code is None:
            raise  # a mistake of ours in using the driver, not a fault of the store
        primary = _SAME.get(code & _PRIMARY, code & _PRIMARY)
        sentence = _SENTENCES.get(primary, "the store {path} cannot be used: " + str(cause))
        kind = StoreWaitError if primary in _PASSING else StoreError
        raise kind(sentence.format(path=path)) from error
    except UnicodeDecodeError as error:  # SQLite quotes a damaged schema in its message
        raise StoreError(_SENTENCES[sqlite3.SQLITE_CORRUPT].format(path=path)) from error
