"""The cars of a contest from a CSV file."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from unspool.car.toml_source import read_text
from unspool.errors import InputError
from unspool.judging import Organiser
from unspool.store import Store

COLUMNS = ("team", "car", "weight_g", "age", "forecast")
NEEDED = ("team", "car")
MOST_LINES = 500


def read_entries(path: Path) -> list[dict[str, str]]:
    """One car a line, by column. Raises InputError for a file that is no such table."""
    rows = csv.DictReader(StringIO(read_text(path)))
    heads = tuple(rows.fieldnames or ())
    if not set(NEEDED) <= set(heads) or not set(heads) <= set(COLUMNS):
        raise InputError(f"{path}: the first line must name {', '.join(COLUMNS)}")
    found: list[dict[str, str]] = []
    for row in rows:
        if None in row or len(found) >= MOST_LINES:
            raise InputError(
                f"{path}, line {rows.line_num}: has too many fields, or is one too many"
            )
        found.append({name: (value or "") for name, value in row.items()})
    return found


def try_out(name: str, rules: str, cars: Sequence[dict[str, str]]) -> None:
    """Makes the contest in a store that is thrown away, so that no half of it is kept.

    Raises InputError as `enter_all`, or for a name or rules at fault.
    """
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "trial.sqlite") as trial:
        enter_all(Organiser.make(trial, "", name, rules), cars)


def enter_all(organiser: Organiser, cars: Sequence[dict[str, str]]) -> None:
    """Raises InputError that names the first line which cannot be entered."""
    for line, car in enumerate(cars, 2):
        try:
            entry = organiser.enter(
                car["team"], car["car"], car.get("weight_g", ""), car.get("age", "")
            )
            if car.get("forecast", "").strip():
                organiser.forecast(entry, car["forecast"])
        except InputError as error:
            raise InputError(f"line {line} of the cars: {error}") from error
