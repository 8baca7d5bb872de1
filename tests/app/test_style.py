"""The style sheet and the pictures speak of the same colours, and all text can be read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import unspool.app
from contrast import contrast
from unspool.render.figures import palette

ASSETS = Path(unspool.app.__file__).parent / "assets"
CSS = (ASSETS / "unspool.css").read_text()
COLOURS = dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6});", CSS))

# (text, ground) as the style sheet pairs them
PAIRS = [
    ("ink", "ground"),
    ("ink", "paper"),
    ("quiet", "ground"),
    ("quiet", "paper"),
    ("measured", "paper"),  # links
    ("measured", "ground"),
    ("paper", "ink"),  # masthead; the end of a run
    ("paper", "quiet"),  # no board
    ("ink", "amber"),  # winding
    ("paper", "green"),  # wound
    ("paper", "measured"),  # running
    ("paper", "found"),  # the page has lost its connection
    ("ink", "warn-ground"),
    ("ink", "note-ground"),
    ("measured", "note-ground"),
]
# (what must be seen, ground): borders that say something, focus rings, marks of the key
MARKS = [
    ("edge", "paper"),
    ("edge", "ground"),
    ("measured", "paper"),
    ("measured", "ground"),
    ("amber", "ink"),
    ("expected", "paper"),
    ("found", "paper"),
    ("found", "warn-ground"),
]


@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_meets_aa(text: str, ground: str) -> None:
    assert contrast(COLOURS[text], COLOURS[ground]) >= 4.5


@pytest.mark.parametrize(("mark", "ground"), MARKS)
def test_marks_meet_aa(mark: str, ground: str) -> None:
    assert contrast(COLOURS[mark], COLOURS[ground]) >= 3.0


@pytest.mark.parametrize("name", ["paper", "ink", "quiet", "rule", "measured", "expected", "found"])
def test_pictures_use_the_same_colours(name: str) -> None:
    assert getattr(palette, name.upper()) == COLOURS[name]


def test_every_colour_of_the_sheet_has_a_name() -> None:
    """A colour outside :root would escape the pairs above."""
    rules = CSS.split("}", 1)[1]
    assert re.findall(r"#[0-9a-fA-F]{3,8}\b", rules) == []


def test_nothing_is_fetched_from_elsewhere() -> None:
    assert {file.suffix for file in ASSETS.iterdir()} == {".css", ".js", ".svg"}
    for file in ASSETS.iterdir():
        outside = re.findall(r"(?:https?:)?//[\w.-]+\.\w+", file.read_text())
        assert [a for a in outside if "www.w3.org" not in a] == [], file.name
