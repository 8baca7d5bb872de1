"""Several cars entered at once: from a CSV file, or from lines that somebody pastes."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from unspool.contest import Contest, rules_toml
from unspool.errors import InputError
from unspool.judging.setting_up import MOST_ENTRIES, Organiser
from unspool.language import _
from unspool.store import Store

COLUMNS = ("team", "car", "weight_g", "age", "forecast")
NEEDED = ("team", "car")
Car = dict[str, str]


def csv_cars(text: str, source: str) -> list[Car]:
    """One car a line, by column. Raises InputError for a text that is no such table."""
    rows = csv.DictReader(StringIO(text))
    heads = tuple(rows.fieldnames or ())
    if not set(NEEDED) <= set(heads) or not set(heads) <= set(COLUMNS):
        columns = ", ".join(COLUMNS)
        raise InputError(
            _("{source}: the first line must name {columns}", source=source, columns=columns)
        )
    found: list[Car] = []
    for row in rows:
        if None in row or len(found) >= MOST_ENTRIES:
            words = _("has too many fields, or is one too many")
            raise InputError(
                _("{source}, line {line}: {fault}", source=source, line=rows.line_num, fault=words)
            )
        found.append({name: (value or "") for name, value in row.items()})
    return found


def pasted_cars(text: str) -> list[Car]:
    """One car a line, in the order of COLUMNS, as a spreadsheet gives it to be pasted.

    Tabs part the fields, or else semicolons, or else commas. Raises InputError for a line with too
    many fields. Lines without letters are left out.
    """
    lines = [line for line in text.splitlines() if line.strip(" \t,;")]
    return [_pasted(line, number) for number, line in enumerate(lines, 1)]


def _pasted(line: str, number: int) -> Car:
    sign = next((one for one in "\t;" if one in line), ",")
    fields = [field.strip() for field in next(csv.reader([line], delimiter=sign))]
    if len(fields) > len(COLUMNS):
        words = _("has more than {most} fields", most=len(COLUMNS))
        raise InputError(_("line {line} of the cars: {fault}", line=number, fault=words))
    return dict(zip(COLUMNS, fields, strict=False))


def try_out(contest: Contest, cars: Sequence[Car], first: int = 1) -> None:
    """Enters them in a store that is thrown away, so that no half of them is kept.

    Raises InputError as `enter_all`, or for a name at fault.
    """
    there = [
        {"team": contest.teams[one.team], "car": one.car}
        for one in contest.entries.values()
        if not one.withdrawn
    ]
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "trial.sqlite") as trial:
        made = Organiser.make(trial, "", contest.name, rules_toml(contest.rules))
        enter_all(made, there)
        enter_all(made, cars, first)


def enter_all(organiser: Organiser, cars: Sequence[Car], first: int = 1) -> None:
    """first: the number of the first car's line.

    Raises InputError that names the first line which cannot be entered.
    """
    for line, car in enumerate(cars, first):
        try:
            entry = organiser.enter(*(car.get(name, "") for name in COLUMNS[:-1]))
            if car.get("forecast", "").strip():
                organiser.forecast(entry, car["forecast"])
        except InputError as error:
            raise InputError(
                _("line {line} of the cars: {fault}", line=line, fault=error)
            ) from error
