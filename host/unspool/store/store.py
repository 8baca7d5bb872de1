"""Store: one database with all captures, runs, cars and tracks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from types import MappingProxyType

from sqlalchemy import Engine

from unspool.errors import InputError, StoreError, StoreWaitError
from unspool.language import Phrase
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import (
    board_cars,
    captures,
    carried,
    corrections,
    kept,
    lines,
    runs,
    schema,
)
from unspool.store.appends import Appends
from unspool.store.attempts import attempt
from unspool.store.captures import CaptureLog
from unspool.store.carried import Carried
from unspool.store.contests import Contests
from unspool.store.database import give_back_space
from unspool.store.database_errors import as_store_error
from unspool.store.kept import Keeper
from unspool.store.lines import Line
from unspool.store.opening import OpenStore
from unspool.store.pins import Pins
from unspool.store.place import Place
from unspool.store.rows import (
    Attempt,
    BoardCar,
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
from unspool.store.under_way import RecordingsUnderWay


class Store(OpenStore):
    """Use `Store.open`; safe to use from several threads. All methods raise StoreError.

    cars, tracks: those that the store knows by name, with their versions.
    contests: those judged with it, with their logs.
    pins: those that open its pages. under_way: its recordings now.
    """

    def __init__(self, place: Place, engine: Engine) -> None:
        super().__init__(place, engine)
        self._keeper = Keeper(place)
        self._appends = Appends(self._write)
        self.cars = Shelf("car", place, schema.cars, self._read, self._write)
        self.tracks = Shelf("track", place, schema.tracks, self._read, self._write)
        self.contests = Contests(self._read, self._write)
        self.pins = Pins(self._read, self._write)
        self.under_way = RecordingsUnderWay(self._read, self._write)

    def close(self) -> None:
        super().close()
        self._keeper.close()

    def begin_capture(
        self, link: str, known: KnownEdges | None = None, key: BoardKey | None = None
    ) -> CaptureLog:
        """A new capture of what arrives over `link`; known: what earlier ones have already.

        key: whose it is, for a board with a number.
        """
        with self._write() as connection:
            capture = captures.begin(connection, link, known, key)
            session = captures.begin_session(connection, capture)
        return CaptureLog(capture, session, self._appends)

    def resume_capture(
        self, capture: int, after: int | None = None, *, again: bool = False
    ) -> CaptureLog:
        """Goes on with a capture, in a session of its own; no other session can write to it then.

        again: the answer to an earlier call was lost, so that session may be there already.
        Raises CaptureTakenError if there is no such capture, or its last session is not `after`.
        """
        with self._write() as connection:
            session = captures.begin_session(connection, capture, after, again=again)
        return CaptureLog(capture, session, self._appends)

    def last_capture(self, link: str, identity: int = 0) -> CaptureRow | None:
        """The newest capture of the board with this number. If there is none, or the number is 0:
        the newest one over the link that is of no board with a number.
        """
        with self._read() as connection:
            of_board = captures.last_of_board(connection, identity) if identity else None
            return of_board or captures.last_of_link(connection, link)

    def board_cars(self) -> dict[int, BoardCar]:
        """What each board was last recorded with, by the board's number."""
        with self._read() as connection:
            return board_cars.listed(connection)

    def remember_car(self, board: int, has: BoardCar) -> None:
        """Keeps it in place of what the board had before. board: its number, not 0."""
        with self._write() as connection:
            board_cars.remember(connection, board, has)

    def boards_by_link(self) -> dict[str, int]:
        """The number of the board that was last recorded over each link."""
        with self._read() as connection:
            return board_cars.by_link(connection)

    def tidy(self) -> Tidied:
        """Deletes the captures that no run, no recorder and no board needs; see tidying.py."""
        with self._write() as connection:
            gone = tidy(connection)
        if gone.captures:
            with suppress(StoreWaitError), as_store_error(self.place):
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
            raise InputError(
                Phrase(
                    "the store {place} has no capture {number}", place=self.place, number=capture
                )
            )
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
                corrections.correct(connection, new.run_id, said, who, self.place, None)
            return new

    def save_found(
        self, capture: int, found: FoundRun, car_text: str | None, track_text: str | None = None
    ) -> str:
        """Keeps a run found in a capture and gives its id.

        The same run found again, perhaps with more of its edges, keeps its id, car and track.
        """
        with self._write() as connection:
            return runs.save_found(connection, capture, found, car_text, track_text)

    def runs(self, newest: int | None = None) -> list[RunRow]:
        """All runs, in the order in which the store got them. newest: so many that began last."""
        with self._read() as connection:
            return runs.listed(connection, newest)

    def run(self, run_id: str) -> StoredRun:
        """One run. Raises InputError when the store has no run of that id."""
        with self._read() as connection:
            return runs.read(connection, run_id, self.place)

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
            corrections.correct(connection, run_id, changes, who, self.place, seen)

    def correct_each(
        self, given: Mapping[str, tuple[Mapping[Field, Said], int | None]], who: str
    ) -> dict[str, int]:
        """The same for several runs, by their ids: all of them, or none.

        Returns the new revisions of those that changed.
        """
        with self._write() as connection:
            made = {
                run_id: corrections.correct(connection, run_id, changes, who, self.place, seen)
                for run_id, (changes, seen) in given.items()
            }
        return {run_id: revision for run_id, revision in made.items() if revision is not None}

    def undo_correction(self, run_id: str, who: str, seen: int | None = None) -> None:
        """Takes back what was said of a run last. Raises InputError if nothing was.

        seen: as `correct` takes it.
        """
        self.undo_each({run_id: seen}, who)

    def undo_each(self, given: Mapping[str, int | None], who: str) -> None:
        """The same for several runs, by their ids with the revision seen: all of them, or none."""
        with self._write() as connection:
            for run_id, seen in given.items():
                corrections.undo(connection, run_id, who, self.place, seen)

    def history(self, run_id: str, called: str = "name") -> list[Correction]:
        """What was said of a run, the oldest first. called: "name", or "id" of cars and tracks."""
        with self._read() as connection:
            return corrections.history(connection, run_id, called)

    def carry(self, run_id: str) -> Carried:
        """A run with its history, for another store. Raises InputError if there is none."""
        with self._read() as connection:
            return carried.carry(connection, run_id, self.place)

    def add_carried(self, runs: Sequence[Carried]) -> list[Imported]:
        """Keeps runs of another store, all or none; one that is there already stays as it is.

        The caller has found them to fit their cars.
        """
        with self._write() as connection:
            return carried.add(connection, runs)

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

    def lines(self, of: Sequence[str] | None = None) -> dict[str, Line]:
        """What `keep_lines` was given, by the runs' ids, whether it still holds or not.

        of: only these runs.
        """
        with self._read() as connection:
            return lines.listed(connection, of)

    def write_lines(self, made: Sequence[Line]) -> None:
        """The same, but waits for its turn, and raises StoreError."""
        with self._write() as connection:
            lines.write(connection, made)

    def count_lines(self, code: str) -> int:
        """How many lines this code made."""
        with self._read() as connection:
            return lines.count(connection, code)

    def keep_lines(self, made: Sequence[Line]) -> None:
        """Keeps lines of the Logbook in place of those there were. Never raises, as `keep`."""
        if self._unwritable is None:
            self._keeper.keep_lines(made)
