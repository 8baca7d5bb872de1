"""Results as tables for spreadsheets."""

from __future__ import annotations

import csv
from io import StringIO

from unspool.safe_text import cell
from unspool.study.compare import Comparison

Row = dict[str, str | float | None]


def comparison_csv(comparison: Comparison) -> str:
    """One row a run, as CSV (RFC 4180); what is not known is an empty field.

    No name of a run or a group can start a formula.
    """
    rows = _comparison_rows(comparison)
    text = StringIO()
    writer = csv.DictWriter(text, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _comparison_rows(comparison: Comparison) -> list[Row]:
    """Each run's name, its group and every quantity."""
    return [
        {
            "run": cell(run.name),
            "group": cell(group.name),
            **{s.quantity.key: s.values[i] for s in group.summaries},
        }
        for group in comparison.groups
        for i, run in enumerate(group.runs)
    ]
