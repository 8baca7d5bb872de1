"""The recorder's note was one of two sentences. A code takes their place."""

from __future__ import annotations

from alembic import op
from sqlalchemy import text

revision, down_revision = "0004", "0003"


def upgrade() -> None:
    op.execute(text("ALTER TABLE runs RENAME COLUMN note TO ending"))
    op.execute(
        text(
            """UPDATE runs SET ending = CASE
            WHEN ending LIKE 'the board restarted during the run%' THEN 'board_restarted'
            WHEN ending LIKE 'the recording was stopped before%' THEN 'recording_stopped'
            WHEN capture_id IS NULL THEN 'unknown'
            ELSE 'stood_still' END"""
        )
    )
