"""What was said of a run in words: each field, with and without a value."""

from __future__ import annotations

import pytest

from unspool.render.words.corrections import change_words, taped_words
from unspool.store import Field, Said


@pytest.mark.parametrize(
    ("field", "before", "after", "text"),
    [
        ("car", "Dunlin", "Sandpiper", "car: Sandpiper (before: Dunlin)"),
        ("car", "Dunlin", "Dunlin", "car: another file of Dunlin (before: Dunlin)"),
        ("track", None, "Corridor", "track: Corridor (before: level)"),
        (
            "turns",
            None,
            (("start", 3.0), ("run", 5.5)),
            "winding: 3.00 turns on start, 5.50 turns on run (before: as counted or planned)",
        ),
        ("weight_g", None, 655.5, "weight: 655.5 g (before: the car file's)"),
        (
            "circumference_mm",
            388.2,
            384.61234,
            "rolling circumference: 384.612 mm (before: 388.2 mm)",
        ),
        (
            "circumference_sd_mm",
            0.4,
            None,
            "its standard deviation: the usual one (before: 0.4 mm)",
        ),
        ("taped_m", 12.0, 12.455, "taped distance: 12.455 m (before: 12 m)"),
        ("note", "", "new\nstring", "note: new string (before: none)"),
        ("note", "new", "", "note: none (before: new)"),
        ("discarded", False, True, "discarded: yes (before: no)"),
    ],
)
def test_a_change(field: str, before: Said, after: Said, text: str) -> None:
    assert change_words(field, before, after).replace("\u00a0", " ") == text


@pytest.mark.parametrize("field", Field)
def test_every_field_has_words(field: Field) -> None:
    assert change_words(field, None, None)


def test_the_tape_beside_the_wheel() -> None:
    said = taped_words(12.4, 12.553).replace("\u00a0", " ")
    assert said == "by the tape 12.400 m, 0.153 m less than by the wheel"
    assert taped_words(12.6, 12.553).endswith("more than by the wheel")
