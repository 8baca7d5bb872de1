"""Style sheets and pictures speak of the same colours, and all text can be read, light and dark."""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path

import plotly.offline
import pytest

from contrast import contrast, turned_over
from unspool.app.own_files import ASSETS, GRID, PLOTLY, SCRIPTS, STYLES, address
from unspool.render.figures import palette

CSS = {file: (ASSETS / file).read_text() for file in STYLES}
LIGHT, DARK = (
    dict(re.findall(r"--([a-z-]+):\s*(#[0-9a-f]{6});", part))
    for part in CSS["colours.css"].split("@media")
)
THEMES = pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])

# (text, ground) as the style sheets pair them
PAIRS = [
    *((text, ground) for text in ("ink", "quiet", "measured", "found") for ground in ("paper",)),
    *((text, "ground") for text in ("ink", "quiet", "measured")),
    ("on-bar", "bar"),
    ("ground", "ink"),  # the end of a run; a button under the mouse
    *(("on-solid", ground) for ground in ("quiet", "measured", "green", "found")),
    ("on-amber", "amber"),  # winding
    ("ink", "warn-ground"),
    ("ink", "note-ground"),
    ("quiet", "note-ground"),
    ("measured", "note-ground"),
]
# (what must be seen, ground): borders that say something, focus rings, marks of the key
MARKS = [
    ("edge", "paper"),
    ("edge", "ground"),
    ("measured", "paper"),
    ("measured", "ground"),
    ("amber", "bar"),
    ("expected", "paper"),
    ("found", "paper"),
    ("found", "warn-ground"),
]
DRAWN = [
    *(palette.MEASURED, palette.EXPECTED, palette.FOUND, palette.COAST, *palette.STRETCHES),
    *(colour for colour, _, _ in palette.GROUPS),
]


@THEMES
@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_text_meets_aa(theme: dict[str, str], text: str, ground: str) -> None:
    assert contrast(theme[text], theme[ground]) >= 4.5


@THEMES
@pytest.mark.parametrize(("mark", "ground"), MARKS)
def test_marks_meet_aa(theme: dict[str, str], mark: str, ground: str) -> None:
    assert contrast(theme[mark], theme[ground]) >= 3.0


@pytest.mark.parametrize("name", ["paper", "ink", "quiet", "rule", "measured", "expected", "found"])
def test_pictures_use_the_same_colours(name: str) -> None:
    assert getattr(palette, name.upper()) == LIGHT[name]


def test_pictures_can_be_read_in_the_dark() -> None:
    """parts.css turns their colours over with a filter."""
    assert "filter: invert(1) hue-rotate(180deg)" in CSS["parts.css"]
    for text in (palette.INK, palette.QUIET):
        assert contrast(turned_over(text), DARK["paper"]) >= 4.5
    for mark in DRAWN:
        assert contrast(turned_over(mark), DARK["paper"]) >= 3.0, mark


def test_both_themes_name_the_same_colours() -> None:
    assert LIGHT.keys() == DARK.keys()


def test_a_colour_is_named_in_one_file() -> None:
    """A colour elsewhere would escape the pairs above."""
    named = "colours.css"
    assert {f: re.findall(r"#[0-9a-fA-F]{3,8}\b", CSS[f]) for f in STYLES if f != named} == {
        f: [] for f in STYLES if f != named
    }


def test_all_files_are_served_and_none_is_long() -> None:
    own = {file.name for file in ASSETS.iterdir() if file.is_file()}
    assert own == {*STYLES, *SCRIPTS, "mark.svg"}
    assert {f for f in own if len((ASSETS / f).read_text().splitlines()) > 300} == set()


def test_nothing_is_fetched_from_elsewhere() -> None:
    for file in ASSETS.iterdir():
        outside = re.findall(r"(?:https?:)?//[\w.-]+\.\w+", file.read_text()) if file.suffix else []
        assert [a for a in outside if "www.w3.org" not in a] == [], file.name


def test_an_address_changes_with_the_file() -> None:
    made = address("mark.svg")
    assert made.startswith("/assets/mark.svg?")
    assert made.endswith(sha256((ASSETS / "mark.svg").read_bytes()).hexdigest()[:12])


def test_the_drawing_library_fits_what_makes_the_pictures() -> None:
    assert f"-{plotly.offline.get_plotlyjs_version()}.min.js" in PLOTLY
    assert (ASSETS / PLOTLY).parent.joinpath("LICENSE.txt").is_file()


def test_the_table_of_the_logbook_is_what_its_script_packs() -> None:
    packing = (Path(__file__).parents[2] / ".ci" / "grid" / "build").read_text()
    version = re.search(r"^LIBRARY=(\S+)$", packing, re.MULTILINE)
    assert version is not None
    assert GRID.endswith(f"-{version[1]}.min.js")
    assert "MIT License" in (ASSETS / GRID).parent.joinpath("LICENSE.txt").read_text()
