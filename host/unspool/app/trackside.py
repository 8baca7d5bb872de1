"""Trackside: what Track does: which car, floor and board, the recordings, and the sensors."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import asdict, dataclass, field
from functools import cached_property
from typing import Any

from unspool.app.board_memory import LEVEL, RecordedCar, recorded_car
from unspool.app.boards import Boards, moved_key
from unspool.app.flashing import Flashing
from unspool.app.going_on import GoingOn
from unspool.app.live_boards import LiveBoards
from unspool.app.recording import Recording
from unspool.app.recordings import Recordings
from unspool.app.sensor_watch import SensorWatch
from unspool.errors import InputError, UnspoolError
from unspool.instrument.record import LinkChanged, Notice
from unspool.language import _
from unspool.render.words.board import board_name
from unspool.render.words.values import joined
from unspool.store import Store, UnderWay
from unspool.store.shelf import Shelf


@dataclass(frozen=True)
class Trackside:
    """The parts of it, and the store with its cars and floors."""

    store: Store
    lives: LiveBoards
    recordings: Recordings
    boards: Boards = field(default_factory=Boards)
    sensors: SensorWatch = field(default_factory=SensorWatch)
    flashing: Flashing = field(default_factory=Flashing)

    @classmethod
    def of(cls, store: Store, lives: LiveBoards | None = None) -> Trackside:
        lives = lives or LiveBoards()
        return cls(store, lives, Recordings(store, lives))

    @cached_property
    def going_on(self) -> GoingOn:
        return GoingOn(self.store)

    def choices(self) -> dict[str, Any]:
        """What can be chosen, and what the newest attempt was made with, for a page."""
        newest = max(self.store.runs(), key=lambda row: row.started_at, default=None)
        level = {"key": LEVEL, "label": _("A level floor"), "note": ""}
        cars, floors = _named(self.store.cars), [level, *_named(self.store.tracks)]
        return {
            "car": cars,
            "floor": floors,
            "board": self._boards(),
            "chosen": {
                "car": newest.car or "" if newest else "",
                "floor": newest.track or LEVEL if newest else LEVEL,
            },
            "looking": self.boards.is_looking,
            "fault": str(self.boards.fault),
        }

    def _boards(self) -> list[dict[str, Any]]:
        """The ways that are free, each with what the board that was there last remembers."""
        used, last, cars = (
            self.recordings.links,
            self.store.boards_by_link(),
            self.store.board_cars(),
        )
        offered = []
        for one in self.boards.choices():
            link = self.boards.spec(one.key)
            if link in used:
                continue
            shown = asdict(one)
            if has := cars.get(board := last.get(link, 0)):
                was = _(
                    "Last time {board} of {car} was there.", board=board_name(board), car=has.car
                )
                shown["note"] = joined(shown["note"], was)
                shown |= {"car": has.car, "floor": has.track}
            offered.append(shown)
        return offered

    def start(self, car: str, floor: str, board: str) -> None:
        """Raises InputError for what is not there, or is recorded already."""
        self._let_go_of_board()
        self._record(recorded_car(self.store, car, floor), board)

    def start_all(self) -> int:
        """Records every board that is here and free, each with the car that it remembers.

        Returns how many these are. Raises InputError if there is none.
        """
        self._let_go_of_board()
        free = [one for one in self._boards() if one["likely"]]
        if not free:
            raise InputError(_("no other board is here: plug one in, or look for radio boards"))
        for one in free:
            self._record(None, one["key"])
        return len(free)

    def resume(self) -> list[str]:
        """Goes on with what an app that was killed recorded; returns the names of these boards.

        A way that is none any more is left out.
        """
        names = []
        for one in self.going_on.left():
            with suppress(UnspoolError):
                recording = self._record(self._known(one), one.board)
                recording.live.update(by_itself=True)
                names.append(recording.live.line.name)
        return names

    def _known(self, one: UnderWay) -> RecordedCar | None:
        """None leaves the car to the board: another one may be on that port now."""
        board = self.store.boards_by_link().get(self.boards.spec(one.board), 0)
        if not one.car or board in self.store.board_cars():
            return None
        return recorded_car(self.store, one.car, one.track)

    def _record(self, recorded: RecordedCar | None, board: str) -> Recording:
        link = self.boards.link(board)

        def heard(key: str, notice: Notice) -> None:
            if isinstance(notice, LinkChanged) and notice.up:
                self.going_on.moved(key, moved_key(board, link))

        recording = self.recordings.start(recorded, link, heard, self.going_on.ended)
        names = recorded.names if recorded else None
        self.going_on.begun(recording.live.key, board, names)
        return recording

    def change_car(self, key: str, car: str, floor: str) -> str:
        """The board is in this car; what it was recorded with is said again. Raises InputError."""
        recording = self.recordings.one(key)
        recorded = recorded_car(self.store, car, floor)
        recording.change(recorded)
        self.going_on.changed(recording.live.key, recorded.names)
        return recording.live.line.name

    def check(self, car: str, board: str) -> None:
        """Begins to look at the sensors. Raises InputError if that board is recorded."""
        link = self.boards.link(board)
        if link.spec in self.recordings.links:
            raise InputError(_("the board is being recorded; end the recording first"))
        self._let_go_of_writing()
        known = recorded_car(self.store, car, LEVEL).car if car else None
        self.sensors.start(link, known)

    def flash(self, board: str, kind: str, lose: bool) -> None:
        """Begins to put the firmware on a board. Raises InputError if that board is recorded."""
        if board and self.boards.spec(board) in self.recordings.links:
            raise InputError(_("the board is being recorded; end the recording first"))
        self._let_go_of_sensors()
        self.flashing.start(board, kind, lose)

    def close(self) -> None:
        """Ends what is under way."""
        self.sensors.end()
        self.recordings.stop()
        self.recordings.join()

    def _let_go_of_board(self) -> None:
        self._let_go_of_sensors()
        self._let_go_of_writing()

    def _let_go_of_writing(self) -> None:
        if self.flashing.is_under_way:
            raise InputError(_("the firmware is being written; wait until it is done"))

    def _let_go_of_sensors(self) -> None:
        if self.sensors.is_under_way:
            raise InputError(_("the sensors are being checked; end the check first"))


def _named(shelf: Shelf) -> list[dict[str, str]]:
    offered = (one for one in shelf.listed() if not one.away)
    return [{"key": one.name, "label": one.name, "note": ""} for one in offered]
