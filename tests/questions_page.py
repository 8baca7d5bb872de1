"""docs/questions.md taken apart, with the runs on it, for the tests of that page."""

from __future__ import annotations

import json
import re
import tomllib
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

from unspool.car import FLAT, load_car, load_track
from unspool.cli.entry import run as command
from unspool.virtual.truth import TrueRun
from unspool.virtual.truth import run as true_run

ROOT = Path(__file__).parents[1]
FILES = ROOT / "docs" / "questions"
PAGE = (ROOT / "docs" / "questions.md").read_text(encoding="utf-8")
GRAVITY = 9.80665
_ROW_FILE = re.compile(r"\]\(questions/([\w.-]+)\)")


@dataclass(frozen=True)
class Row:
    """A row of a table: its files, and its printed figures by their headings."""

    section: str
    files: tuple[str, ...]
    figures: dict[str, str]

    @property
    def car(self) -> str:
        return self.files[0]

    @property
    def track(self) -> str | None:
        others = [name for name in self.files[1:] if name.endswith(".toml")]
        return others[0] if others else None

    @property
    def after_runs(self) -> bool:
        return any(name.endswith(".csv") for name in self.files)


def sections() -> dict[str, str]:
    """Heading -> text; the text before the first question is under ''."""
    parts = re.split(r"^## (.+)$", PAGE, flags=re.MULTILINE)
    return {"": parts[0], **dict(zip(parts[1::2], parts[2::2], strict=True))}


def rows() -> list[Row]:
    return [row for heading, text in sections().items() for row in _rows(heading, text)]


def _rows(heading: str, text: str) -> list[Row]:
    found, columns = [], list[str]()
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.strip("| ").split(" | ")]
        if not line.startswith("|"):
            columns = []
        elif not columns:
            columns = [cell.strip() for cell in line[1:-1].split("|")]
        elif not line.startswith("|--"):
            figures = dict(zip(columns[1:], cells[1:], strict=True))
            found.append(Row(heading, tuple(_ROW_FILE.findall(cells[0])), figures))
    return found


def commands(text: str) -> list[list[str]]:
    return [line.split() for line in re.findall(r"^    ((?:unspool|python) .+)$", text, re.M)]


def prose(text: str) -> str:
    """The text without tables, commands, code, pictures, and the places that links lead to."""
    text = re.sub(r"^```.*?^```$", "", text, flags=re.MULTILINE | re.DOTALL)
    text = re.sub(r"^(\||    |!\[).*$", "", text, flags=re.MULTILINE)
    return re.sub(r"\]\([^)]*\)|`[^`]*`", "", text)


def said(*arguments: str) -> str:
    """What an `unspool` command prints; it must end well."""
    with redirect_stdout(StringIO()) as out:
        assert command(list(arguments)) == 0
    return out.getvalue()


@cache
def told(car: str, track: str | None = None) -> dict[str, Any]:
    """`unspool predict --json` of a file of the page."""
    more = () if track is None else ("--track", str(FILES / track))
    answer = json.loads(said("predict", str(FILES / car), *more, "--json"))
    assert isinstance(answer, dict)
    return answer


@cache
def true(car: str, track: str | None = None) -> TrueRun:
    """The independent solver's run of a file of the page."""
    return true_run(load_car(FILES / car), load_track(FILES / track) if track else FLAT)


@cache
def written(name: str) -> dict[str, Any]:
    return tomllib.loads((FILES / name).read_text(encoding="utf-8"))


def steady_n(car: str) -> float:
    """Rolling resistance in N on the level, by hand."""
    file = written(car)
    mass = 1e-3 * (file["body"]["mass_g"] + file["weight"]["mass_g"])
    losses = file["losses"]
    return float(losses["rolling_coefficient"] * mass * GRAVITY + losses["constant_drag_n"])
