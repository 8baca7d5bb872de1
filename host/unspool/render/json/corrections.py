"""The history of a run as JSON."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from unspool.render.json.common import FORMAT, Json
from unspool.render.words.corrections import Said, change_words

Line = tuple[datetime, str, str, Said, Said]  # when, who, field, before, after


def history_json(run: str, history: Iterable[Line]) -> Json:
    """The object that `unspool correct --json` prints: who said what of the run, oldest first."""
    return {"unspool": FORMAT, "run": run, "history": [_line_json(*line) for line in history]}


def _line_json(made_at: datetime, who: str, field: str, before: Said, after: Said) -> Json:
    return {
        "made_at": made_at.isoformat(),
        "who": who,
        "field": field,
        "before": _value(before),
        "after": _value(after),
        "text": change_words(field, before, after),
    }


def _value(value: Said) -> Any:
    return list(map(_one, value)) if isinstance(value, tuple) else value


def _one(one: str | tuple[str, float]) -> Any:
    """A tag, or the turns on a tier."""
    return one if isinstance(one, str) else {"tier": one[0], "turns": one[1]}
