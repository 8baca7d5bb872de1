"""What each board was last recorded with."""

from __future__ import annotations

from alembic import op

from unspool.store.steps.words import whole, words

revision, down_revision = "0012", "0011"


def upgrade() -> None:
    op.create_table(
        "board_cars",
        whole("board", primary_key=True, autoincrement=False),
        words("car"),
        words("track"),
    )
