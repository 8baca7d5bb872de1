"""Winding, weight, wheel and floor belong to a run. Their history only grows."""

from __future__ import annotations

from alembic import op
from sqlalchemy import ForeignKey

from unspool.store.steps.words import add, number, refuse, whole, words

revision, down_revision = "0007", "0006"
NUMBERS = ("weight_g", "circumference_mm", "circumference_sd_mm", "taped_m")


def upgrade() -> None:
    add("runs", words("said_turns", null=True), *map(number, NUMBERS))
    add("runs", whole("discarded", nullable=False, server_default="0"))
    op.create_table(
        "corrections",
        whole("id", primary_key=True),
        whole("run_id", ForeignKey("runs.id"), nullable=False),
        whole("made_us", nullable=False),
        *(words(name) for name in ("who", "field", "before", "after")),
    )
    op.create_index("corrections_run", "corrections", ["run_id"])
    refuse("corrections_are_kept", "UPDATE", "corrections", "corrections only grow")
    refuse("corrections_stay", "DELETE", "corrections", "corrections only grow")
