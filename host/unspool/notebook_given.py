"""What a notebook gives: edges, a car or a track, each as the thing itself or as its file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from unspool.car import Car, Track, load_car, load_track
from unspool.errors import InputError
from unspool.reading.edges.edge_file import read_edge_file
from unspool.reading.edges.pulse_train import PulseTrain

EdgesOrFile = PulseTrain | Path | str
CarOrFile = Car | Path | str
TrackOrFile = Track | Path | str


def edges_of(train: EdgesOrFile) -> PulseTrain:
    return train if isinstance(train, PulseTrain) else read_edge_file(train)


def car_of(car: CarOrFile) -> Car:
    return car if isinstance(car, Car) else load_car(car)


def track_of(track: TrackOrFile) -> Track:
    return track if isinstance(track, Track) else load_track(track)


def one_each(given: Any, count: int, what: str) -> list[Any]:
    """The only one for all runs, or one a run."""
    each = list(given) if isinstance(given, (list, tuple)) else [given] * count
    if len(each) != count:
        raise InputError(f"{count} runs and {len(each)} {what}; give one for all, or one a run")
    return each
