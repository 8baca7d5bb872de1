"""PINs that are kept, salted and hashed."""

from __future__ import annotations

from alembic import op

from unspool.store.steps.words import blob, whole, words

revision, down_revision = "0014", "0013"


def upgrade() -> None:
    op.create_table(
        "pins",
        whole("id", primary_key=True),
        *(words(name) for name in ("name", "key", "role")),
        *(blob(name) for name in ("salt", "hash")),
        *(whole(name, nullable=False) for name in ("n", "r", "p", "made_us")),
        words("who"),
    )
    op.create_index("pins_key", "pins", ["key"], unique=True)
