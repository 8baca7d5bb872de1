"""Tags, the stopwatch, and the clock on the wall: an attempt is numbered by its car's day."""

from __future__ import annotations

from alembic import op

from unspool.store.steps.words import add, number, whole, words

revision, down_revision = "0009", "0008"


def upgrade() -> None:
    add("runs", words("tags", default="[]"), number("timed_s"), whole("utc_offset_s"))
    op.create_index("runs_days", "runs", ["started_us", "utc_offset_s", "car_id"])
