"""What every JSON object is made of: the format's number, values that may be unknown, findings."""

from __future__ import annotations

from math import isfinite
from typing import Any

from unspool.finding import Finding, Value
from unspool.render.words.findings import sentence

FORMAT = 1
Json = dict[str, Any]


def known(value: float | None) -> float | None:
    """A number that JSON can hold, or None."""
    return float(value) if value is not None and isfinite(value) else None


def finding_json(finding: Finding) -> Json:
    """Code, severity, the sentence, and the values that the sentence was made from."""
    return {
        "code": str(finding.code),
        "severity": str(finding.severity),
        "text": sentence(finding),
        "values": {name: _value(value) for name, value in finding.values.items()},
    }


def _value(value: Value) -> Any:
    if isinstance(value, tuple):
        return [_value(one) for one in value]
    return known(value) if isinstance(value, float) else value
