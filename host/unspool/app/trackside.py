"""Trackside: what Track does: which car, floor and board, the recording, and the sensors."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any

from unspool.app.boards import Boards
from unspool.app.flashing import Flashing
from unspool.app.live_state import LiveState
from unspool.app.recording import RecordedCar, Recording
from unspool.app.sensor_watch import SensorWatch
from unspool.car import FLAT, parse_car, parse_track
from unspool.errors import InputError
from unspool.store import Store
from unspool.store.shelf import Shelf

LEVEL = ""  # the floor that is taken without a choice
LEVEL_FLOOR = {"key": LEVEL, "label": "A level floor", "note": ""}


@dataclass(frozen=True)
class Trackside:
    """The parts of it, and the store with its cars and floors."""

    store: Store
    live: LiveState
    recording: Recording
    boards: Boards = field(default_factory=Boards)
    sensors: SensorWatch = field(default_factory=SensorWatch)
    flashing: Flashing = field(default_factory=Flashing)

    @classmethod
    def of(cls, store: Store, live: LiveState) -> Trackside:
        return cls(store, live, Recording(store, live))

    def choices(self) -> dict[str, Any]:
        """What can be chosen, and what the newest attempt was made with. For JSON."""
        newest = max(self.store.runs(), key=lambda row: row.started_at, default=None)
        return {
            "car": _named(self.store.cars),
            "floor": [LEVEL_FLOOR, *_named(self.store.tracks)],
            "board": [asdict(one) for one in self.boards.choices()],
            "chosen": {
                "car": newest.car or "" if newest else "",
                "floor": newest.track or LEVEL if newest else LEVEL,
            },
            "looking": self.boards.is_looking,
            "fault": self.boards.fault,
        }

    def start(self, car: str, floor: str, board: str) -> None:
        """Raises InputError for what is not there, or if something is recorded already."""
        self._let_go_of_board()
        self.recording.start(self._recorded(car, floor), self.boards.link(board))

    def check(self, car: str, board: str) -> None:
        """Begins to look at the sensors. Raises InputError, also during a recording."""
        if self.recording.is_under_way:
            raise InputError("the board is being recorded; end the recording first")
        self._let_go_of_writing()
        known = self._recorded(car, LEVEL).car if car else None
        self.sensors.start(self.boards.link(board), known)

    def flash(self, board: str, kind: str, lose: bool) -> None:
        """Begins to put the firmware on a board. Raises InputError, also during a recording."""
        if self.recording.is_under_way:
            raise InputError("a board is being recorded; end the recording first")
        self._let_go_of_sensors()
        self.flashing.start(board, kind, lose)

    def close(self) -> None:
        """Ends what is under way."""
        self.sensors.end()
        self.recording.stop()
        self.recording.join()

    def _let_go_of_board(self) -> None:
        self._let_go_of_sensors()
        self._let_go_of_writing()

    def _let_go_of_writing(self) -> None:
        if self.flashing.is_under_way:
            raise InputError("the firmware is being written; wait until it is done")

    def _let_go_of_sensors(self) -> None:
        if self.sensors.is_under_way:
            raise InputError("the sensors are being checked; end the check first")

    def _recorded(self, car: str, floor: str) -> RecordedCar:
        if not car:
            raise InputError("choose a car first")
        text = self.store.cars.one(car).current.text
        the_car = parse_car(text, f"the car {car}")
        if floor == LEVEL:
            return RecordedCar(the_car, FLAT, text, None)
        track_text = self.store.tracks.one(floor).current.text
        track = parse_track(track_text, f"the floor {floor}")
        return RecordedCar(the_car, track, text, track_text)


def _named(shelf: Shelf) -> list[dict[str, str]]:
    offered = (one for one in shelf.listed() if not one.away)
    return [{"key": one.name, "label": one.name, "note": ""} for one in offered]
