"""The form of a contest's rules, as its page sends it, made into rules."""

from __future__ import annotations

from typing import Any

import tomlkit

from unspool.app.contest_sent import number
from unspool.app.sent import Sent
from unspool.contest import parse_rules, rules_toml
from unspool.contest.rules import MOST_ATTEMPTS
from unspool.errors import InputError, with_other_names
from unspool.language import _
from unspool.render.words.contest_rules import LABELS
from unspool.typed import typed_number

CHOSEN = ("measure", "by", "score", "ties", "order", "forecast")
WHOLE = ("attempts", "drop_worst")
NUMBERS = ("mark_m", "resolution", "doubt_m")
OF_CLASS = ("weight_min_g", "weight_max_g", "age_min", "age_max")
OF_PENALTY = ("metres", "seconds")


def rules_sent(sent: Sent) -> str:
    """The rules as TOML. Raises InputError with every fault, each by its field's label."""
    given: dict[str, Any] = {name: sent.get(name, "") for name in CHOSEN}
    given |= {name: _whole(value) for name, value in _numbers(sent, "", WHOLE).items()}
    given |= _numbers(sent, "", NUMBERS)
    rows = min(number(sent, "rows"), 2 * MOST_ATTEMPTS)
    given["classes"] = [_class(sent, one) for one in _named(sent, "class", rows)]
    given["penalties"] = [_penalty(sent, one) for one in _named(sent, "penalty", rows)]
    try:
        return rules_toml(parse_rules(tomlkit.dumps(given), _("the rules")))
    except InputError as error:
        raise with_other_names(error, _label) if error.faults else error from error


def _whole(value: float) -> float:
    return int(value) if value.is_integer() else value


def _named(sent: Sent, kind: str, rows: int) -> list[str]:
    """The rows that have a name; a row without one is left out."""
    return [f"{kind}-{n}-" for n in range(rows) if sent.get(f"{kind}-{n}-name", "").strip()]


def _class(sent: Sent, row: str) -> dict[str, Any]:
    return {"name": sent[f"{row}name"].strip(), **_numbers(sent, row, OF_CLASS)}


def _penalty(sent: Sent, row: str) -> dict[str, Any]:
    void = {"void": sent.get(f"{row}void") == "void"}
    return {"name": sent[f"{row}name"].strip(), **_numbers(sent, row, OF_PENALTY), **void}


def _numbers(sent: Sent, row: str, names: tuple[str, ...]) -> dict[str, float]:
    """Those that were typed, by name."""
    given = {name: sent.get(f"{row}{name}", "") for name in names}
    typed = {name: text for name, text in given.items() if text.strip()}
    return {name: typed_number(_(LABELS[name]), text) for name, text in typed.items()}


def _label(where: str) -> str:
    """`classes[0].age_min` is the field of that name in the first class."""
    return _(LABELS.get(where.rpartition(".")[2], where))
