"""Contests, and the log of each, which only grows."""

from __future__ import annotations

from alembic import op
from sqlalchemy import ForeignKey

from unspool.store.steps.words import refuse, whole, words

revision, down_revision = "0013", "0012"


def upgrade() -> None:
    op.create_table(
        "contests",
        whole("id", primary_key=True),
        words("identity"),
        whole("made_us", nullable=False),
    )
    op.create_index("contests_identity", "contests", ["identity"], unique=True)
    op.create_table(
        "contest_events",
        whole("id", primary_key=True),
        whole("contest_id", ForeignKey("contests.id"), nullable=False),
        whole("number", nullable=False),
        whole("made_us", nullable=False),
        *(words(name) for name in ("who", "kind", "subject", "data")),
        whole("run_id", ForeignKey("runs.id"), nullable=True),
    )
    op.create_index(
        "contest_events_number", "contest_events", ["contest_id", "number"], unique=True
    )
    refuse("contest_events_are_kept", "UPDATE", "contest_events", "a contest only grows")
    refuse("contest_events_stay", "DELETE", "contest_events", "a contest only grows")
