"""Values as JSON holds them: numbers, or null for what is not known."""

from __future__ import annotations

import json
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.finding import warning
from unspool.render.json.common import finding_json, known
from unspool.render.words import findings


@given(st.floats())
def test_a_number_is_itself_or_null(value: float) -> None:
    assert json.loads(json.dumps(known(value), allow_nan=False)) in (value, None)


@pytest.mark.parametrize("value", [None, nan, inf, -inf])
def test_what_is_not_known_is_null(value: float | None) -> None:
    assert known(value) is None


def test_a_finding_holds_its_sentence_and_its_values(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(findings, "TEXTS", {"made_up": lambda v: f"{v['far_m']:.2f} m"})
    found = warning("made_up", far_m=1.5, high_m=inf, tiers=("start", "run"), turns=(1.0, nan))
    assert finding_json(found) == {
        "code": "made_up",
        "severity": "warning",
        "text": "1.50 m",
        "values": {
            "far_m": 1.5,
            "high_m": None,
            "tiers": ["start", "run"],
            "turns": [1.0, None],
        },
    }
