"""A capture belongs to a board and its boot, and one that no run needs can be deleted."""

from __future__ import annotations

from alembic import op
from sqlalchemy import text

from unspool.store.steps.words import add, refuse, whole

revision, down_revision = "0008", "0007"


def upgrade() -> None:
    add("captures", whole("board"), whole("boot"))
    for name in ("sessions", "stray_bytes"):
        add("captures", whole(name, nullable=False, server_default="0"))
    op.execute(
        text(
            "UPDATE captures SET sessions = (SELECT coalesce(max(session), 0) FROM chunks"
            " WHERE capture_id = captures.id)"
        )
    )
    op.create_index("runs_capture", "runs", ["capture_id"])
    with_run = "EXISTS (SELECT 1 FROM runs WHERE capture_id = OLD.capture_id)"
    refuse("chunks_stay", "DELETE", "chunks", "a run needs this capture", with_run)
