"""A file is changed where it is asked to be, and nowhere else."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.car import parse_car, parse_track
from unspool.car.changes import changes_between
from unspool.car.editing import edited, value_at, with_table, without_table
from unspool.car.new_car import NEW_CAR, NEW_FLOOR
from unspool.errors import InputError
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

TEXTS = [path.read_text("utf-8") for path in (SANDPIPER, DUNLIN, CORRIDOR)]
TEXTS += [NEW_CAR, NEW_FLOOR, TEXTS[0].replace("\n", "\r\n")]
CAR = TEXTS[0]


@pytest.mark.parametrize("text", TEXTS)
def test_no_change_leaves_every_byte(text: str) -> None:
    assert edited(text, {}) == text
    assert edited(text, {"losses.nothing": None, "nothing.at_all": None}) == text


@pytest.mark.parametrize(
    ("path", "value", "before", "after"),
    [
        ("body.mass_g", 930, "mass_g = 910", "mass_g = 930"),
        ("drum.1.turns", 5.25, "turns = 5.3", "turns = 5.25"),
        ("name", 'A "b"', 'name = "Sandpiper"', 'name = "A \\"b\\""'),
        ("wheels.0.driven", None, "driven = true\n", ""),
    ],
)
def test_one_value_changes_and_nothing_else(path: str, value: Any, before: str, after: str) -> None:
    assert CAR.count(before) == 1
    assert edited(CAR, {path: value}) == CAR.replace(before, after)


def test_a_key_that_is_new_stands_at_the_end_of_its_table() -> None:
    text = edited(CAR, {"body.mass_sd_g": 2.0})
    assert "centre_of_mass_height_mm = 120\nmass_sd_g = 2.0\n\n[weight]" in text
    made = edited(NEW_CAR, {"losses.floor": "rough"})
    assert made == NEW_CAR + '\n[losses]\nfloor = "rough"\n'


def test_line_ends_stay_as_they_are() -> None:
    text = with_table(edited(TEXTS[-1], {"body.mass_sd_g": 2}), "drum", {"name": "x", "turns": 1})
    assert text.count("\n") == text.count("\r\n")


def test_a_table_comes_and_goes() -> None:
    text = with_table(CAR, "drum", {"name": "slow", "diameter_mm": 12, "turns": 2})
    assert parse_car(text, "x").drum[2].name == "slow"
    assert "turns = 2\n\n[encoder]" in text
    assert without_table(text, "drum", 2) == CAR
    floor = with_table(NEW_FLOOR, "level", {"distance_m": 20, "height_mm": 3})
    assert parse_track(floor, "x").height_m == (0.0, 0.0, 0.003)
    assert without_table(floor, "level", 0).count("[[level]]") == 2
    alone = without_table(without_table(NEW_FLOOR, "level", 0), "level", 0)
    assert parse_track(with_table(alone, "level", {"distance_m": 0, "height_mm": 0}), "x")


@pytest.mark.parametrize(
    "change",
    [
        lambda: edited("[[", {}),
        lambda: edited(CAR, {"drum.7.turns": 1}),
        lambda: edited(CAR, {"name.x": 1}),
        lambda: edited(CAR, {"drum.turns": 1}),
        lambda: without_table(CAR, "drum", 2),
        lambda: without_table(CAR, "drum", -1),
        lambda: without_table(CAR, "body", 0),
        lambda: without_table(CAR, "nothing", 0),
        lambda: with_table(CAR, "body", {}),
    ],
)
def test_what_leads_nowhere_is_refused(change: Any) -> None:
    with pytest.raises(InputError):
        change()


def test_values_are_found() -> None:
    raw = tomllib.loads(CAR)
    assert value_at(raw, "drum.1.turns") == 5.3
    assert value_at(raw, "wheels.0.driven") is True
    for path in ("drum", "drum.9.turns", "drum.x.turns", "name.x", "nothing", "body"):
        assert value_at(raw, path) is None


PATHS = {
    "name": st.from_regex(r"[A-Za-z\u00e9 \"\\']{1,20}", fullmatch=True),
    "body.mass_g": st.integers(10, 10**5) | st.floats(10, 1e5),
    "body.mass_sd_g": st.none() | st.floats(0.01, 10),
    "drum.0.turns": st.floats(0.05, 500),
    "losses.floor": st.none() | st.sampled_from(["smooth", "rough"]),
    "pulley.mass_g": st.none() | st.integers(1, 50),
}


@given(st.sampled_from([CAR, NEW_CAR, TEXTS[-1]]), st.fixed_dictionaries({}, optional=PATHS))
def test_the_file_then_says_what_was_put_there(text: str, changes: dict[str, Any]) -> None:
    after = edited(text, changes)
    raw = tomllib.loads(after)
    assert {path: value_at(raw, path) for path in changes} == changes
    keys = {change.key.replace("drum.start", "drum.0") for change in changes_between(text, after)}
    assert keys <= set(changes)
    assert edited(after, changes) == after
