"""The sentence of each finding, made from its code and its values.

Each package that returns findings has one module of sentences here, with a table `TEXTS` from code
to a function of the values. This module joins the tables. Another language needs other tables only.
"""

from __future__ import annotations

from collections.abc import Iterable

from unspool.finding import Finding, Severity
from unspool.render.words import (
    board,
    calibration,
    comparison,
    plan,
    prediction,
    reading,
    rollout,
    sensors,
)
from unspool.render.words.values import Text

TEXTS: dict[str, Text] = {
    **reading.TEXTS,
    **rollout.TEXTS,
    **calibration.TEXTS,
    **comparison.TEXTS,
    **board.TEXTS,
    **sensors.TEXTS,
    **prediction.TEXTS,
    **plan.TEXTS,
}


def sentence(finding: Finding) -> str:
    """Returns the finding in one or two plain sentences, units included."""
    return TEXTS[finding.code](finding.values)


def warnings_first(findings: Iterable[Finding]) -> list[Finding]:
    """Warnings, then notes, each in the order in which they were found."""
    return sorted(findings, key=lambda finding: finding.severity is not Severity.WARNING)
