"""Desk: what a form of a car or a floor shows of the text that is being changed in it.

The form's state is the text of the file, so nothing of it is lost but what the builder changes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from math import pi
from typing import Any
from urllib.parse import quote

from unspool.car import Car, parse_car, parse_track
from unspool.car.editing import Value, edited, value_at
from unspool.car.new_car import NEW_CAR, NEW_FLOOR
from unspool.car.toml_source import Table, parse_toml
from unspool.errors import InputError
from unspool.language import _, many
from unspool.model import predict
from unspool.render.figures import car_drawing, floor_drawing
from unspool.render.words.car_fields import car_fields
from unspool.render.words.desk import (
    OF_CARS,
    OF_FLOORS,
    DeskWords,
    expected_words,
    rises_words,
    warning_words,
)
from unspool.render.words.floor_fields import floor_fields
from unspool.render.words.form_fields import FormField, fault_words, matters_words, measured_words
from unspool.shelved import Version
from unspool.study.sensitivity import distance_changes
from unspool.typed import decimal

_ONE_OF_LIST = re.compile(r"\.[0-9]{1,4}\.")
_WHERE = re.compile(r"\[([0-9]+)\]")
NEW_TABLES: dict[str, dict[str, Value]] = {
    "drum": {"diameter_mm": 18, "turns": 2},
    "wheels": {"count": 2, "diameter_mm": 100, "mass_g": 25},
    "level": {},
}


@dataclass(frozen=True)
class Shown:
    """faults: a sentence for each path; "" has those of no field. matters: the same for measures.

    answer: what stands first; warnings: what to know before the car runs. picture: the address of
    the drawing, "" if it cannot be drawn.
    """

    answer: str
    warnings: tuple[str, ...] = ()
    faults: dict[str, str] = field(default_factory=dict)
    matters: dict[str, str] = field(default_factory=dict)
    picture: str = ""
    what: str = ""


@dataclass(frozen=True)
class Desk:
    """One kind of thing: a car or a floor. path: where its pages are. noun: in names of files."""

    path: str
    noun: str
    words: DeskWords
    new: str
    fields: dict[str, FormField]
    _shown: Callable[[str, dict[str, FormField]], Shown]

    def shown(self, text: str) -> Shown:
        """Never raises an InputError: its faults are what is shown."""
        try:
            return self._shown(text, self.fields)
        except InputError as error:
            return _faulty(error, self.fields)

    def source(self) -> str:
        """What its text is called in an error."""
        return _(self.words.source)

    def address(self, name: str) -> str:
        return f"{self.path}/{quote(name, safe='')}"

    def name_of(self, text: str) -> str:
        """The name in the text, "" if there is none."""
        return str(value_at(parse_toml(text, self.source()), "name") or "")

    def typed(self, text: str, typed: Mapping[str, Any]) -> str:
        """The text with what was typed into fields, by their paths.

        What is no number stands there as it was typed, and is then a fault. Raises InputError for
        a field that the form does not have.
        """
        changes = {path: self._value(path, value) for path, value in typed.items()}
        after = edited(text, changes)
        if value_at(parse_toml(after, self.source()), "pulley") is None and _is_empty(
            after, "pulley"
        ):
            return edited(after, {"pulley": None})
        return after

    def one_more(self, text: str, section: str) -> dict[str, Value]:
        """A table for the end of a list, with a name of its own; a level goes on from the last."""
        listed = parse_toml(text, self.source()).get(section, [])
        if section == "level":
            last = listed[-1] if listed else {}
            end = last.get("distance_m", -1.0)
            known = end + 1.0 if isinstance(end, int | float) else 0.0
            return {"distance_m": known, "height_mm": last.get("height_mm", 0)}
        names = {one.get("name") for one in listed if isinstance(one, dict)}
        word = _("tier {name}") if section == "drum" else _("axle {name}")
        free = (word.format(name=n) for n in range(len(listed) + 1, len(listed) + 100))
        return {"name": next(n for n in free if n not in names), **NEW_TABLES[section]}

    def file_name(self, version: Version) -> str:
        """Letters that every system takes in a file's name."""
        plain = re.sub(r"[^A-Za-z0-9]+", "-", version.name).strip("-").lower()
        return f"{plain or self.noun}-{version.number}.toml"

    def _value(self, path: str, value: Any) -> Value | None:
        known = self.fields.get(_ONE_OF_LIST.sub(".*.", path))
        if known is None or not isinstance(value, str) or len(value) > 200:
            raise InputError(_("that is no form that a page of unspool sends"))
        bare = value.strip()
        if known.text:
            return bare
        if not bare:
            return None
        if known.path == "encoder.axle":
            return bare
        if known.choices:
            return {"true": True, "1": 1}.get(bare, bare)
        number = decimal(bare)
        if number is None:
            return bare
        return int(bare) if bare.isascii() and bare.isdigit() else number


def _is_empty(text: str, section: str) -> bool:
    return parse_toml(text, _("the car")).get(section) == {}


def no_version(desk: Desk, name: str, number: str) -> str:
    """What to say of a version that is not there."""
    return _(desk.words.no_version, name=name, number=number)


def paths(raw: Table, known: FormField) -> list[str]:
    """The paths of a field in this file: one for each table of its list."""
    section, star, key = known.path.partition(".*.")
    if not star:
        return [known.path]
    listed = raw.get(section)
    count = len(listed) if isinstance(listed, list) else 0
    return [f"{section}.{number}.{key}" for number in range(count)]


def _faulty(error: InputError, fields: Mapping[str, FormField]) -> Shown:
    faults: dict[str, str] = {}
    labels = {known.key: known.label for known in fields.values()}
    for one in error.faults:
        path = _WHERE.sub(r".\1", one.where)
        known = fields.get(_ONE_OF_LIST.sub(".*.", path))
        unit = known.unit if known else ""
        faults.setdefault(path, fault_words(unit, one.found, one.expected, labels))
    if not faults:
        faults[""] = str(error)
    answer = many(
        "{count} thing to mend before it can be saved.",
        "{count} things to mend before it can be saved.",
        len(faults),
    )
    return Shown(answer, faults=faults)


def _shown_car(text: str, fields: dict[str, FormField]) -> Shown:
    car = parse_car(text, _("the car"))
    raw = parse_toml(text, _("the car"))
    steps = {path: f for f in fields.values() if f.step is not None for path in paths(raw, f)}
    changes = distance_changes(text, {path: f.step or 0.0 for path, f in steps.items()})
    known = {path: matters_words(steps[path], m) for path, m in changes.items()}
    expected = predict(car)
    return Shown(
        expected_words(expected),
        tuple(warning_words(expected)),
        matters=known | _measured(car, raw),
        picture=_as_address(car_drawing.car_svg(car)),
        what=car_drawing.describe(car),
    )


def _measured(car: Car, raw: Table) -> dict[str, str]:
    """What the wheel whose edges are counted does to all distances that are measured."""
    number = [wheel.name for wheel in car.wheels].index(car.encoder.axle)
    wheel = car.wheels[number]
    key = "rolling_circumference_mm" if wheel.rolled_out else "diameter_mm"
    around = 2e3 * wheel.radius_m * (pi if wheel.rolled_out else 1.0)
    return {f"wheels.{number}.{key}": measured_words(100.0 / around)}


def _shown_floor(text: str, _fields: dict[str, FormField]) -> Shown:
    track = parse_track(text, _("the floor"))
    picture = _as_address(floor_drawing.floor_svg(track))
    return Shown(rises_words(track), picture=picture, what=floor_drawing.describe(track))


def _as_address(svg: str) -> str:
    return "data:image/svg+xml," + quote(svg)


CARS = Desk("/cars", "car", OF_CARS, NEW_CAR, car_fields(), _shown_car)
FLOORS = Desk("/floors", "floor", OF_FLOORS, NEW_FLOOR, floor_fields(), _shown_floor)
