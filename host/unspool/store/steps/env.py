"""What Alembic runs for each upgrade: inside the transaction of the caller, on its connection."""

from __future__ import annotations

from alembic import context

from unspool.store.steps.words import VERSION_TABLE

context.configure(connection=context.config.attributes["connection"], version_table=VERSION_TABLE)
context.run_migrations()
