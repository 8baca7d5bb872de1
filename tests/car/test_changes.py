"""What changed from one version of a file to the next."""

from __future__ import annotations

import pytest

from unspool.car.changes import Change, changes_between
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

CAR = SANDPIPER.read_text("utf-8")


@pytest.mark.parametrize(
    ("before", "after", "change"),
    [
        ("mass_g = 910", "mass_g = 930", Change("body.mass_g", 910, 930)),
        ("turns = 3.5", "turns = 3.25", Change("drum.start.turns", 3.5, 3.25)),
        ("driven = true", "driven = true\nshaft_mm = 5", Change("wheels.rear.shaft_mm", None, 5)),
        ('name = "Sandpiper"', 'name = "Sanderling"', Change("name", "Sandpiper", "Sanderling")),
    ],
)
def test_one_key(before: str, after: str, change: Change) -> None:
    assert before in CAR
    changed = CAR.replace(before, after, 1)
    assert changes_between(CAR, changed) == (change,)
    assert changes_between(changed, CAR) == (Change(change.key, change.after, change.before),)


def test_comments_spaces_and_numbers_written_otherwise_are_no_changes() -> None:
    assert changes_between(CAR, CAR.replace("\n", "  # x\r\n").replace("910", "910.0")) == ()


def test_levels_are_called_by_their_place() -> None:
    track = CORRIDOR.read_text("utf-8")
    changed = track + "\n[[level]]\ndistance_m = 90.0\nheight_mm = 5\n"
    keys = {one.key.split(".")[0] for one in changes_between(track, changed)}
    assert keys == {"level"}
    assert {one.before for one in changes_between(track, changed)} == {None}


def test_what_is_no_toml_has_no_changes() -> None:
    assert changes_between(CAR, "[[") == changes_between("[[", CAR) == ()


def test_another_car_differs_in_its_name() -> None:
    first = changes_between(CAR, DUNLIN.read_text("utf-8"))[0]
    assert first == Change("name", "Sandpiper", "Dunlin")
