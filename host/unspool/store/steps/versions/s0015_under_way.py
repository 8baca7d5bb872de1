"""Which boards are recorded, and by which process."""

from __future__ import annotations

from alembic import op

from unspool.store.steps.words import whole, words

revision, down_revision = "0015", "0014"


def upgrade() -> None:
    op.create_table(
        "under_way",
        whole("id", primary_key=True),
        *(words(name) for name in ("board", "car", "track", "host")),
        *(whole(name, nullable=False) for name in ("process", "since_us")),
    )
