"""How many edges were lost before the first."""

from __future__ import annotations

from unspool.store.steps.words import add, whole

revision, down_revision = "0005", "0004"


def upgrade() -> None:
    add("runs", whole("lost_before", nullable=False, server_default="0"))
