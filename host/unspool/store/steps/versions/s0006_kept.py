"""What can be computed again is kept here, so that it is computed once."""

from __future__ import annotations

from alembic import op
from sqlalchemy import ForeignKey

from unspool.store.steps.words import blob, whole, words

revision, down_revision = "0006", "0005"


def upgrade() -> None:
    op.create_table(
        "kept",
        whole("id", primary_key=True),
        whole("run_id", ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
        words("key"),
        words("code"),
        blob("data"),
    )
    op.create_index("kept_run", "kept", ["run_id", "key"])
    op.create_index("kept_code", "kept", ["code"])
