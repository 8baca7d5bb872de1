"""Cars and tracks that somebody keeps in the store: found valid first, and known by their names."""

from __future__ import annotations

from unspool.car import parse_car, parse_track
from unspool.car.changes import Change, changes_between
from unspool.store import Shelved, Store


def save_car(
    store: Store, text: str, who: str, seen: int | None = None, source: str = "the car"
) -> Shelved:
    """Keeps the text of a car file as the current version of the car that it names.

    seen: as `Shelf.save` takes it. Raises InputError with every fault, ChangedMeanwhileError if
    somebody else changed the car since `seen`.
    """
    return store.cars.save(text, parse_car(text, source).name, who, seen)


def save_track(
    store: Store, text: str, who: str, seen: int | None = None, source: str = "the floor"
) -> Shelved:
    """The same for the text of a track file."""
    return store.tracks.save(text, parse_track(text, source).name, who, seen)


def changes_of(thing: Shelved) -> dict[int, tuple[Change, ...]]:
    """What each version changed of the one before it, by its number. Nothing for the first."""
    pairs = zip(thing.versions, thing.versions[1:], strict=False)
    found = {after.number: changes_between(before.text, after.text) for before, after in pairs}
    return {thing.versions[0].number: (), **found}
