"""`unspool contest results --json`."""

from __future__ import annotations

from dataclasses import asdict
from math import isfinite
from typing import Any

from unspool.contest import Contest, board, findings, forecasters
from unspool.render.json.common import finding_json


def contest_json(contest: Contest) -> dict[str, Any]:
    """Scores in m or s, as the rules have it; `place` and `score` are null for cars without one."""
    return {
        "unspool": 1,
        "contest": contest.name,
        "rules": contest.rules.model_dump(mode="json"),
        "seed": contest.seed,
        "final": contest.closed,
        "classes": [
            {"class": one.class_name, "rows": [asdict(row) for row in one.rows]}
            for one in board(contest)
        ],
        "forecasts": [
            asdict(one) | {"error": one.error if isfinite(one.error) else None}
            for one in forecasters(contest)
        ],
        "findings": [finding_json(one) for one in findings(contest)],
    }
