"""What the Logbook shows of a run that takes its edges to know."""

from __future__ import annotations

from alembic import op
from sqlalchemy import ForeignKey

from unspool.store.steps.words import number, whole, words

revision, down_revision = "0011", "0010"


def upgrade() -> None:
    run = ForeignKey("runs.id", ondelete="CASCADE")
    op.create_table(
        "lines",
        whole("run_id", run, primary_key=True),
        *(words(name) for name in ("basis", "code", "winding")),
        number("weight_g"),
        number("distance_m"),
        words("ends"),
        number("peak_m_s"),
        *(words(name) for name in ("spark", "findings", "fault")),
    )
