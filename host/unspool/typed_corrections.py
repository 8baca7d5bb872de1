"""Corrections as a form sends them: texts, with decimal commas, cars and tracks by their names."""

from __future__ import annotations

from collections.abc import Mapping

from unspool.errors import InputError, one_fault
from unspool.language import _, later
from unspool.store import Field, Said, Shelf, Store, StoredRun, Tags
from unspool.typed import decimal, typed_number, typed_tags

TURNS = "turns:"  # a tier's name follows
ADD_TAGS, REMOVE_TAGS = "add_tags", "remove_tags"
_MEASURES = {
    "weight_g": (Field.WEIGHT_G, later("the weight")),
    "circumference_mm": (Field.CIRCUMFERENCE_MM, later("the circumference")),
    "taped_m": (Field.TAPED_M, later("the taped distance")),
    "timed_s": (Field.TIMED_S, later("the time by the stopwatch")),
}
_DISCARDED = {"yes": True, "no": False}
_VERSION = "_version"  # of the car or track in the field before it
Fields = Mapping[str, object]


def typed_changes(store: Store, run: StoredRun, fields: Fields) -> dict[Field, Said]:
    """What the fields of a form say of the run. Raises InputError for what no form of ours sends.

    An empty measure is none. `car` and `track` are names that the store knows, with the number of
    a version in `car_version` and `track_version`, or else the current one. An empty track is a
    level floor. `tags` takes the place of all tags; `add_tags` and `remove_tags` change some.
    """
    changes: dict[Field, Said] = {}
    turns: list[tuple[str, float]] = []
    for name, value in fields.items():
        if not isinstance(value, str):
            raise one_fault(name[:80], _("no text"), _("what was typed"))
        if name.startswith(TURNS):
            tier = name.removeprefix(TURNS)
            turns.append((tier, typed_number(_("the turns on {tier}", tier=tier), value)))
        elif not name.endswith(_VERSION):
            field, meant = _change(store, run, name, value, fields)
            changes[field] = meant
    if turns:
        changes[Field.TURNS] = tuple(turns)
    if Field.CIRCUMFERENCE_MM in changes:
        changes[Field.CIRCUMFERENCE_SD_MM] = None  # a person gives none
    return changes


def _change(
    store: Store, run: StoredRun, name: str, value: str, fields: Fields
) -> tuple[Field, Said]:
    if name in _MEASURES:
        field, called = _MEASURES[name]
        return field, typed_number(_(called), value) if value.strip() else None
    if name == "note":
        return Field.NOTE, value.strip()
    if name in ("tags", ADD_TAGS, REMOVE_TAGS):
        return Field.TAGS, _tags(run.tags, name, typed_tags(value))
    if name == "discarded" and value in _DISCARDED:
        return Field.DISCARDED, _DISCARDED[value]
    if name == "car":
        return Field.CAR, _sheet(store.cars, value, fields.get("car_version"))
    if name == "track":
        given = fields.get("track_version")
        return Field.TRACK, _sheet(store.tracks, value, given) if value else None
    raise one_fault(name[:80], f'"{value[:20]}"', _("what a form of unspool sends"))


def _tags(now: Tags, name: str, given: Tags) -> Tags:
    if name == "tags":
        return given
    if name == ADD_TAGS:
        return typed_tags(",".join((*now, *given)))
    gone = {tag.casefold() for tag in given}
    return tuple(tag for tag in now if tag.casefold() not in gone)


def _sheet(shelf: Shelf, name: str, number: object) -> str:
    """The text of the version."""
    thing = shelf.one(name)
    if number in (None, ""):
        return thing.current.text
    wanted = decimal(number) if isinstance(number, str) else None
    version = None if wanted is None else thing.version(int(wanted))
    if version is None:
        raise InputError(
            _("{name} has no version {number}", name=thing.name, number=str(number)[:20])
        )
    return version.text
