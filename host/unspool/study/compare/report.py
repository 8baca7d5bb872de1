"""A comparison as the JSON object and the table that other programs read."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

from unspool.model.report import FORMAT, known
from unspool.study.compare.statistics import LEVEL, Estimate
from unspool.study.compare.types import Comparison, Difference, Group, Summary

Json = dict[str, Any]
Row = dict[str, str | float | None]


def comparison_json(comparison: Comparison) -> Json:
    """The object that `unspool compare --json` prints, in SI units."""
    c = comparison
    return {
        "unspool": FORMAT,
        "by": c.by,
        "level": LEVEL,
        "groups": [_group(group) for group in c.groups],
        "differences": [_difference(difference) for difference in c.differences],
        "left_out": [{"run": left.name, "reason": left.reason} for left in c.left_out],
        "cautions": list(c.cautions),
    }


def comparison_table(comparison: Comparison) -> list[Row]:
    """One row a run: its name, its group and every quantity."""
    return [
        {
            "run": run.name,
            "group": group.name,
            **{s.quantity.key: s.values[i] for s in group.summaries},
        }
        for group in comparison.groups
        for i, run in enumerate(group.runs)
    ]


def comparison_text(comparison: Comparison) -> str:
    """That table as CSV (RFC 4180); what is not known is an empty field."""
    rows = comparison_table(comparison)
    text = StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _group(group: Group) -> Json:
    return {
        "name": group.name,
        "runs": [run.name for run in group.runs],
        "quantities": {s.quantity.key: _summary(s) for s in group.summaries},
    }


def _summary(summary: Summary) -> Json:
    of_all = summary.sample
    return {
        "values": [known(value) for value in summary.values],
        "mean": known(of_all.mean) if of_all else None,
        "sd": known(of_all.sd) if of_all else None,
        **_interval(summary.mean),
        "repeatability": known(summary.repeatability),
    }


def _difference(difference: Difference) -> Json:
    d = difference
    return {
        "quantity": d.quantity.key,
        "first": d.first,
        "second": d.second,
        "difference": known(d.estimate.value),
        **_interval(d.estimate),
        "degrees_of_freedom": known(d.estimate.freedom),
        "paired": d.paired,
        "verdict": str(d.verdict),
        "more_runs_each": d.more_runs,
        "text": d.text,
    }


def _interval(estimate: Estimate | None) -> Json:
    low, high = estimate.interval if estimate and estimate.interval else (None, None)
    return {"low": known(low), "high": known(high)}
