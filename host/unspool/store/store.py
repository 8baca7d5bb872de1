"""Store: one SQLite file with all captures, runs, cars and tracks.

Durability. Once a chunk is appended, the board may forget those edges,
so the append must outlive a killed process and a power cut. In WAL mode that takes
`synchronous = FULL`: every commit syncs the log. (`NORMAL` syncs at checkpoints only, and a power
cut could undo what was already acknowledged.)
https://www.sqlite.org/pragma.html#pragma_synchronous

Several programs may use one store at once, two recorders on different boards too. WAL lets readers
and a writer work side by side. Every write is one short transaction, and a writer that finds
another at work waits BUSY_S for its turn. The lock on its port keeps a board from two recorders.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from types import MappingProxyType, TracebackType

from platformdirs import user_data_path
from sqlalchemy import Connection, Engine, text

from unspool.errors import InputError, StoreError, StoreWaitError
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import captures, corrections, kept, runs, schema
from unspool.store.attempts import attempt
from unspool.store.captures import CaptureLog
from unspool.store.database import give_back_space, open_database, read_only_databases
from unspool.store.database_errors import as_store_error
from unspool.store.kept import Keeper
from unspool.store.migrations import is_current, migrate
from unspool.store.rows import (
    Attempt,
    BoardKey,
    CaptureRow,
    Chunk,
    Correction,
    Field,
    FoundRun,
    Imported,
    KnownEdges,
    RunRow,
    Said,
    StoredRun,
    Tidied,
    Winding,
)
from unspool.store.run_numbers import number_of
from unspool.store.shelf import Shelf
from unspool.store.tidying import tidy

BUSY_S = 10.0


def default_path() -> Path:
    """Where the store is when nobody says otherwise: the user's own data folder."""
    return user_data_path("unspool", appauthor=False) / "unspool.sqlite"


class Store:
    """Use `Store.open`; safe to use from several threads. All methods raise StoreError.

    cars, tracks: those that the store knows by name, with their versions.
    """

    def __init__(self, path: Path, engine: Engine) -> None:
        self.path = path
        self._engine = engine
        self._unwritable: StoreError | None = None  # why it was opened only to be read
        self._writing = engine.execution_options(unspool_writes=True)
        self._keeper = Keeper(path)
        self.cars = Shelf("car", path, schema.cars, self._read, self._write)
        self.tracks = Shelf("track", path, schema.tracks, self._read, self._write)

    @classmethod
    def open(cls, path: Path | None = None, busy_s: float = BUSY_S) -> Store:
        """Opens the store at `path`, made new or brought up to date if needed.

        A store that is up to date is opened without a lock. If its disk is full or may not be
        written, it can be read all the same, and each write raises StoreError.
        """
        where = default_path() if path is None else Path(path)
        _make_folder(where)
        try:
            return cls._prepared(where, open_database(where, busy_s))
        except StoreError as error:
            for engine in read_only_databases(where):
                with suppress(StoreError):
                    store = cls._prepared(where, engine)
                    store._unwritable = error
                    return store
            raise

    @classmethod
    def _prepared(cls, path: Path, engine: Engine) -> Store:
        store = cls(path, engine)
        try:
            with store._read() as connection:
                current = is_current(connection, path)
            if not current:
                with store._write() as connection:
                    migrate(connection, path)
        except BaseException:
            store.close()
            raise
        return store

    def close(self) -> None:
        self._engine.dispose()
        self._keeper.close()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def check(self) -> list[str]:
        """What SQLite's integrity check and foreign keys find wrong; empty when all is well."""
        with self._read() as connection:
            found = [str(row[0]) for row in connection.execute(text("PRAGMA integrity_check"))]
            dangling = list(connection.execute(text("PRAGMA foreign_key_check")))
        return [line for line in found if line != "ok"] + [str(tuple(row)) for row in dangling]

    def begin_capture(
        self, link: str, known: KnownEdges | None = None, key: BoardKey | None = None
    ) -> CaptureLog:
        """A new capture of what arrives over `link`; known: what earlier ones have already.

        key: whose it is, for a board with a number.
        """
        with self._write() as connection:
            capture = captures.begin(connection, link, known, key)
            session = captures.begin_session(connection, capture)
        return CaptureLog(capture, session, self._write)

    def resume_capture(self, capture: int, after: int | None = None) -> CaptureLog:
        """Goes on with a capture, in a session of its own; no other session can write to it then.

        Raises CaptureTakenError if there is no such capture, or its last session is not `after`.
        """
        with self._write() as connection:
            session = captures.begin_session(connection, capture, after)
        return CaptureLog(capture, session, self._write)

    def last_capture(self, link: str, identity: int = 0) -> CaptureRow | None:
        """The newest capture of the board with this number. If there is none, or the number is 0:
        the newest one over the link that is of no board with a number.
        """
        with self._read() as connection:
            of_board = captures.last_of_board(connection, identity) if identity else None
            return of_board or captures.last_of_link(connection, link)

    def tidy(self) -> Tidied:
        """Deletes the captures that no run, no recorder and no board needs; see tidying.py."""
        with self._write() as connection:
            gone = tidy(connection)
        if gone.captures:
            with suppress(StoreWaitError), as_store_error(self.path):
                give_back_space(self._engine)
        return gone

    def captures(self) -> list[CaptureRow]:
        """All captures, the newest last."""
        with self._read() as connection:
            return captures.listed(connection)

    def capture(self, capture: int) -> CaptureRow:
        """One capture. Raises InputError when there is none of that number."""
        with self._read() as connection:
            row = captures.one(connection, capture)
        if row is None:
            raise InputError(f"the store {self.path} has no capture {capture}")
        return row

    def chunks(self, capture: int) -> list[Chunk]:
        """What arrived, in order."""
        with self._read() as connection:
            return captures.chunks(connection, capture)

    def add_import(
        self,
        train: PulseTrain,
        car_text: str,
        track_text: str | None = None,
        *,
        source: str,
        winding: Winding | None = None,
        said: Mapping[Field, Said] = MappingProxyType({}),
        who: str = "",
    ) -> Imported:
        """Keeps an imported run, wholly or not at all; the same import again adds nothing.

        winding: what a recorder counted. said: what `who` says of the run, as in `correct`.
        """
        with self._write() as connection:
            new = runs.add_import(connection, train, car_text, track_text, source, winding, who)
            if not new.already_there:
                corrections.correct(connection, new.run_id, said, who, self.path, None)
            return new

    def save_found(
        self, capture: int, found: FoundRun, car_text: str | None, track_text: str | None = None
    ) -> str:
        """Keeps a run found in a capture and gives its id.

        The same run found again, perhaps with more of its edges, keeps its id, car and track.
        """
        with self._write() as connection:
            return runs.save_found(connection, capture, found, car_text, track_text)

    def runs(self) -> list[RunRow]:
        """All runs, in the order in which the store got them."""
        with self._read() as connection:
            return runs.listed(connection)

    def run(self, run_id: str) -> StoredRun:
        """One run. Raises InputError when the store has no run of that id."""
        with self._read() as connection:
            return runs.read(connection, run_id, self.path)

    def attempt(self, run_id: str) -> Attempt | None:
        """The run's number among those of its car on its day; None if there is no such run."""
        with self._read() as connection:
            return attempt(connection, number_of(run_id))

    def correct(
        self, run_id: str, changes: Mapping[Field, Said], who: str, seen: int | None = None
    ) -> None:
        """Keeps what somebody says of a run, and what was known before in its history.

        The caller has found the changes to fit the run (unspool.correct does). seen: the run's
        revision that they were made to. Raises InputError if there is no run of that id, or if it
        was corrected since then.
        """
        with self._write() as connection:
            corrections.correct(connection, run_id, changes, who, self.path, seen)

    def correct_each(
        self, given: Mapping[str, tuple[Mapping[Field, Said], int | None]], who: str
    ) -> None:
        """The same for several runs, by their ids: all of them, or none."""
        with self._write() as connection:
            for run_id, (changes, seen) in given.items():
                corrections.correct(connection, run_id, changes, who, self.path, seen)

    def undo_correction(self, run_id: str, who: str) -> None:
        """Takes back what was said of a run last. Raises InputError if nothing was."""
        with self._write() as connection:
            corrections.undo(connection, run_id, who, self.path)

    def history(self, run_id: str) -> list[Correction]:
        """What was said of a run, the oldest first."""
        with self._read() as connection:
            return corrections.history(connection, run_id)

    def kept(self, run_id: str, key: str, code: str) -> bytes | None:
        """What `keep` was given for a run, None if it is not there, or cannot be read."""
        with suppress(StoreError), self._read() as connection:
            return kept.read(connection, run_id, key, code)
        return None

    def keep(self, run_id: str, key: str, code: str, data: bytes) -> None:
        """Keeps a result of a run: key says what it rests on, code what computed it.

        Results of other code go. Never raises: without a store to write, nothing is kept.
        """
        if self._unwritable is None:
            self._keeper.keep(run_id, key, code, data)

    @contextmanager
    def _read(self) -> Iterator[Connection]:
        with as_store_error(self.path), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _write(self) -> Iterator[Connection]:
        if self._unwritable is not None:
            raise self._unwritable
        with as_store_error(self.path), self._writing.begin() as connection:
            yield connection


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"the folder {path.parent} for the store cannot be made ({error.strerror}); use --store"
            " for another"
        ) from error
    if path.is_dir():
        raise StoreError(f"{path} is a folder; give a file with --store")
