"""Results as tables for spreadsheets."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from importlib.util import find_spec
from io import BytesIO, StringIO

import numpy as np
from numpy.typing import NDArray

from unspool.errors import InputError
from unspool.reading.motion import Motion
from unspool.safe_text import cell
from unspool.study.compare import Comparison

MOTION_COLUMNS = (
    *("time_s", "distance_m", "speed_m_s", "speed_sd_m_s"),
    *("acceleration_m_s2", "acceleration_sd_m_s2"),
)
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


def motion_csv(motions: Mapping[str, Motion]) -> str:
    """One row an edge of each run, in SI, with the run's name first. What is not known is empty."""
    text = StringIO()
    writer = csv.writer(text)
    writer.writerow(("run", *MOTION_COLUMNS))
    for name, motion in motions.items():
        columns = (getattr(motion, column).tolist() for column in MOTION_COLUMNS)
        for row in zip(*columns, strict=True):
            writer.writerow((cell(name), *("" if v != v else v for v in row)))
    return text.getvalue()


def has_parquet() -> bool:
    """Whether the library for Parquet is installed; it is as large as all others together."""
    return find_spec("pyarrow") is not None


def motion_parquet(motions: Mapping[str, Motion]) -> bytes:
    """The same table as a Parquet file. Raises InputError if its library is not installed."""
    if not has_parquet():
        raise InputError(
            "Parquet needs the library pyarrow, which is not installed; install it beside unspool,"
            " or take the CSV"
        )
    import pyarrow
    import pyarrow.parquet

    lengths = [len(motion.time_s) for motion in motions.values()]
    names = np.repeat(np.array(list(motions), dtype=object), lengths)
    columns = {column: _joined(motions, column) for column in MOTION_COLUMNS}
    table = pyarrow.table({"run": pyarrow.array(names, pyarrow.string()), **columns})
    out = BytesIO()
    pyarrow.parquet.write_table(table.replace_schema_metadata({"unspool": "1"}), out)
    return out.getvalue()


def _joined(motions: Mapping[str, Motion], column: str) -> NDArray[np.float64]:
    return np.concatenate([getattr(motion, column) for motion in motions.values()])


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
