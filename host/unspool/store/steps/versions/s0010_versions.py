"""A car's sheets are its versions. Which of them is used, and who chose it, only grows."""

from __future__ import annotations

import time

from alembic import op
from sqlalchemy import ForeignKey, text

from unspool.store.steps.words import refuse, whole, words

revision, down_revision = "0010", "0009"


def upgrade() -> None:
    op.create_table(
        "versions",
        whole("id", primary_key=True),
        whole("car_id", ForeignKey("cars.id")),
        whole("track_id", ForeignKey("tracks.id")),
        whole("made_us", nullable=False),
        words("who"),
        words("how"),
    )
    for sheets, column in (("cars", "car_id"), ("tracks", "track_id")):
        _first_versions(sheets, column)
    refuse("versions_are_kept", "UPDATE", "versions", "versions only grow")
    refuse("versions_stay", "DELETE", "versions", "versions only grow")


def _first_versions(sheets: str, column: str) -> None:
    """Each sheet that is there counts as brought along by its first run."""
    insert = text(
        f"""INSERT INTO versions ({column}, made_us, who, how)
        SELECT sheets.id, coalesce(min(runs.started_us), :now), '', 'run'
        FROM {sheets} AS sheets LEFT JOIN runs ON runs.{column} = sheets.id
        GROUP BY sheets.id ORDER BY sheets.id"""
    )
    op.execute(insert.bindparams(now=time.time_ns() // 1000))
