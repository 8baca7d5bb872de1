"""What a database says when it fails, as one sentence that says whose fault it is and what to do.

The codes here are SQLite's primary result codes, https://www.sqlite.org/rescode.html.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, TimeoutError

from unspool.errors import StoreError, StoreWaitError
from unspool.language import Phrase, later
from unspool.store.place import Place, Server
from unspool.store.server_errors import server_error

_SENTENCES = {
    sqlite3.SQLITE_BUSY: later(
        "the store {place} is locked by another program; close it there, or use --store for another"
    ),
    sqlite3.SQLITE_FULL: later(
        "the disk that holds the store {place} is full; make room there, or use --store for another"
        " disk; what was recorded before is safe"
    ),
    sqlite3.SQLITE_CORRUPT: later(
        "the store {place} is damaged; keep a copy of it, go on with --store for a new one, and"
        " save what can be read with sqlite3's .recover command"
    ),
    sqlite3.SQLITE_NOTADB: later(
        "{place} is not a store of unspool; give another file with --store"
    ),
    sqlite3.SQLITE_READONLY: later(
        "the store {place} may not be written by this user; change its permissions or its folder's,"
        " or use --store for another"
    ),
    sqlite3.SQLITE_CANTOPEN: later(
        "the store {place} cannot be opened; check that its folder exists and that this user may"
        " write there, or use --store for another"
    ),
    sqlite3.SQLITE_IOERR: later(
        "the disk refused to read or write the store {place}; check the disk and its free space;"
        " what was recorded before is safe"
    ),
}
_OTHER = later("the store {place} cannot be used: {said}")
_SAME = {
    sqlite3.SQLITE_LOCKED: sqlite3.SQLITE_BUSY,
    sqlite3.SQLITE_PERM: sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_AUTH: sqlite3.SQLITE_READONLY,
}
_PASSING = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR)
_PRIMARY = 0xFF  # an extended result code carries its primary code in the low byte


@contextmanager
def as_store_error(place: Place) -> Iterator[None]:
    """Turns a database error inside into a StoreError about the store at `place`."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        if isinstance(place, Server) and cause is not None:
            raise server_error(place, cause) from error
        raise _of_file(place, cause) from error
    except TimeoutError as error:  # all of the pool's connections are at work
        raise StoreWaitError(Phrase(_SENTENCES[sqlite3.SQLITE_BUSY], place=place)) from error
    except UnicodeDecodeError as error:  # SQLite quotes a damaged schema in its message
        raise StoreError(Phrase(_SENTENCES[sqlite3.SQLITE_CORRUPT], place=place)) from error


def _of_file(place: Place, cause: BaseException | None) -> BaseException:
    """What SQLite says; without a code, a mistake of ours in using the driver, as it is."""
    code = getattr(cause, "sqlite_errorcode", None)
    if code is None:
        return cause or AssertionError("an error of the driver without a cause")
    primary = _SAME.get(code & _PRIMARY, code & _PRIMARY)
    sentence = _SENTENCES.get(primary, _OTHER)
    kind = StoreWaitError if primary in _PASSING else StoreError
    return kind(Phrase(sentence, place=place, said=str(cause)))
