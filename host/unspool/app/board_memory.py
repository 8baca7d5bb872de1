"""BoardMemory: which car a board was last recorded with, and the car and floor of that name."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from unspool.car import FLAT, Car, Track, parse_car, parse_track
from unspool.errors import InputError, StoreError
from unspool.instrument.record import RunContext
from unspool.language import _
from unspool.store import BoardCar, Store

LEVEL = ""  # the floor that is taken without a choice


@dataclass(frozen=True)
class RecordedCar:
    """The car and the track that are recorded, with the text of their files for the store."""

    car: Car
    track: Track
    car_text: str
    track_text: str | None

    @property
    def names(self) -> BoardCar:
        return BoardCar(self.car.name, LEVEL if self.track_text is None else self.track.name)

    @property
    def context(self) -> RunContext:
        turns = sum(tier.turns for tier in self.car.drum)
        disc = self.car.encoder
        return RunContext(self.car_text, self.track_text, disc.pulses_per_turn, turns, disc.sensors)


def recorded_car(store: Store, car: str, floor: str) -> RecordedCar:
    """By the names that the store knows them by. Raises InputError."""
    if not car:
        raise InputError(_("choose a car first"))
    text = store.cars.one(car).current.text
    the_car = parse_car(text, _("the car {name}", name=car))
    if floor == LEVEL:
        return RecordedCar(the_car, FLAT, text, None)
    track_text = store.tracks.one(floor).current.text
    track = parse_track(track_text, _("the floor {name}", name=floor))
    return RecordedCar(the_car, track, text, track_text)


class BoardMemory:
    """What cannot be read or kept now must stop no recording: it is asked again another time."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def of(self, board: int) -> RecordedCar | None:
        """None for a board that is new, or whose car is not in the store any more."""
        with suppress(InputError, StoreError):
            if has := self._store.board_cars().get(board):
                return recorded_car(self._store, has.car, has.track)
        return None

    def keep(self, board: int, recorded: RecordedCar) -> None:
        if board:
            with suppress(StoreError):
                if self._store.board_cars().get(board) != recorded.names:
                    self._store.remember_car(board, recorded.names)
