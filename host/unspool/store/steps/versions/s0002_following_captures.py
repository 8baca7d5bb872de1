"""A capture that grew long is followed by another, which knows what the first already has."""

from __future__ import annotations

from unspool.store.steps.words import add, whole

revision, down_revision = "0002", "0001"


def upgrade() -> None:
    add("captures", whole("known_boot"), whole("known_edge"))
