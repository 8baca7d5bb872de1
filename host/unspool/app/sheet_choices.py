"""Cars and floors that an attempt can be given, and what its history calls them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from unspool.car import parse_car
from unspool.errors import UnspoolError
from unspool.language import _
from unspool.shelved import Shelved, Version
from unspool.store import Correction, Field, Said, Shelf, Store


@dataclass(frozen=True)
class Choice:
    """value: "2:Sandpiper" for its version 2, "" for none. tiers: their names, of a car."""

    value: str
    words: str
    tiers: tuple[str, ...] = ()


def car_choices(store: Store, text: str | None) -> list[Choice]:
    """The car of this text first, then its other versions, then the current ones of others."""
    found = _choices(store.cars, text)
    known = [replace(choice, tiers=_tiers(version.text)) for choice, version in found]
    return known if found and found[0][1].text == text else [_unknown(text), *known]


def floor_choices(store: Store, text: str | None) -> list[Choice]:
    """The floor of this text first; the level one needs no file."""
    found = _choices(store.tracks, text)
    known = [choice for choice, _version in found]
    level = Choice("", _("Level"))
    if text is None:
        return [level, *known]
    if found and found[0][1].text == text:
        return [known[0], level, *known[1:]]
    return [Choice("?", _("As it is")), level, *known]


def history_with_versions(store: Store, run_id: str) -> list[Correction]:
    """What was said of the run, the oldest first. Cars and floors are said with their version."""
    shelves = {Field.CAR: store.cars, Field.TRACK: store.tracks}
    said = store.history(run_id, called="id")
    names = {
        field: dict(_called(shelf))
        for field, shelf in shelves.items()
        if any(one.field is field for one in said)
    }
    return [_named(one, names[one.field]) if one.field in names else one for one in said]


def _named(one: Correction, names: dict[Said, str]) -> Correction:
    before, after = (names.get(value, value and "?") for value in (one.before, one.after))
    return replace(one, before=before, after=after)


def _called(shelf: Shelf) -> Iterator[tuple[Said, str]]:
    for thing in shelf.listed():
        for version in thing.versions:
            yield version.sheet, _version_words(thing, version)


def _version_words(thing: Shelved, version: Version) -> str:
    if len(thing.versions) == 1:
        return thing.name
    return _("{name}, version {number}", name=thing.name, number=version.number)


def _choices(shelf: Shelf, text: str | None) -> list[tuple[Choice, Version]]:
    things = shelf.listed()
    own = [one for one in things if any(version.text == text for version in one.versions)]
    offered = [(one, version) for one in own for version in reversed(one.versions)]
    offered.sort(key=lambda pair: pair[1].text != text)
    others = [one for one in things if one not in own and not one.away]
    offered += [(one, one.current) for one in others]
    return [
        (Choice(f"{version.number}:{one.name}", _version_words(one, version)), version)
        for one, version in offered
    ]


def _unknown(text: str | None) -> Choice:
    """Of a run without a car, or with one that the store cannot name."""
    return Choice("?", _("As it is") if text else _("No car yet"), _tiers(text) if text else ())


def _tiers(text: str) -> tuple[str, ...]:
    try:
        return tuple(tier.name for tier in parse_car(text, "the car").drum)
    except UnspoolError:
        return ()
