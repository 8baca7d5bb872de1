"""An app for tests: a real store and live state, and readings made of the sample run."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import sample_run
from unspool.app.live_state import LiveState
from unspool.car import Car, Track
from unspool.finding import note, warning
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import LinkChanged, RunEdges
from unspool.model.outcome import Prediction
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.reading.events.types import Reading
from unspool.store import Store, Winding

LINK_UP = LinkChanged(True, note(RecordCode.LISTENING, link="virtual:"))
LINK_DOWN = LinkChanged(False, warning(RecordCode.LINK_FAILED, reason="the cable is out"))

LIVE_KEY = "5a5a5a"  # of the one board

SCENARIO = Path(__file__).parents[1] / "host" / "unspool" / "virtual" / "demo" / "scenario"


def make_live_state(
    car: Car | None = None, read: Callable[[str], Reading | None] | None = None
) -> LiveState:
    car = car or sample_run.sample_car()
    live = LiveState(car, key=LIVE_KEY, predict=predicted)
    if read:
        live.use_readings(read)
    return live


def predicted(car: Car, _track: Track) -> Prediction:
    """The sample prediction, with 1 m of distance for each wound turn."""
    turns = sum(tier.turns for tier in car.drum)
    return sample_run.sample_prediction(
        car, distance_m=turns, distance_low_m=turns - 1.0, distance_high_m=turns + 1.0
    )


def edges(key: str, start: int, stop: int, *, arrived_s: float = 0.0) -> RunEdges:
    """Edges `start` to `stop` of the sample run."""
    train = sample_run.sample_motion().train
    part = slice(start, stop)
    return RunEdges(
        key, start == 0, train.time_s[part], train.direction[part], train.number[part], arrived_s
    )


def car_text(name: str = "Sandpiper") -> str:
    """The demo's car file under another name."""
    text = (SCENARIO / "sandpiper.toml").read_text()
    return text.replace('name = "Sandpiper"', f"name = {toml_string(name)}", 1)


def toml_string(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def read_sample(_train: PulseTrain, car: Car, _track: Track, winding: Any) -> Reading:
    planned = tuple(tier.turns for tier in car.drum)
    return sample_run.sample_reading(car.name, winding=winding or planned)


def filled_store(path: Path, names: tuple[str, ...] = ("Sandpiper",)) -> Store:
    """A store with one imported run a name; the trains differ so that none is a duplicate."""
    store = Store.open(path / "runs.sqlite")
    train = sample_run.sample_motion().train
    for i, name in enumerate(names):
        part = PulseTrain(train.time_s + i, train.direction, train.number)
        store.add_import(part, car_text(name), source="run.csv", winding=Winding(8.9))
    return store
