"""The recorder writes `note` again with each reading of a capture; what a builder noted stays."""

from __future__ import annotations

from unspool.store.steps.words import add, words

revision, down_revision = "0003", "0002"


def upgrade() -> None:
    add("runs", words("builder_note", default=""))
