"""Captures, cars, tracks and runs."""

from __future__ import annotations

from alembic import op
from sqlalchemy import ForeignKey

from unspool.store.steps.words import blob, number, refuse, whole, words

revision, down_revision = "0001", None


def upgrade() -> None:
    op.create_table(
        "captures",
        whole("id", primary_key=True),
        words("link"),
        whole("started_us", nullable=False),
    )
    op.create_table(
        "chunks",
        whole("id", primary_key=True),
        whole("capture_id", ForeignKey("captures.id"), nullable=False),
        whole("session", nullable=False),
        whole("arrived_us", nullable=False),
        words("origin"),
        blob("data"),
    )
    op.create_index("chunks_capture", "chunks", ["capture_id"])
    for table in ("cars", "tracks"):
        text = words("text")
        text.unique = True
        op.create_table(table, whole("id", primary_key=True), words("name"), text)
    _make_runs()
    refuse("chunks_are_kept", "UPDATE", "chunks", "captures only grow")
    refuse("chunks_stay", "DELETE", "chunks", "captures only grow")


def _make_runs() -> None:
    identity = words("identity")
    identity.unique = True
    op.create_table(
        "runs",
        whole("id", primary_key=True),
        identity,
        words("source"),
        whole("started_us", nullable=False),
        whole("capture_id", ForeignKey("captures.id")),
        whole("car_id", ForeignKey("cars.id")),
        whole("track_id", ForeignKey("tracks.id")),
        whole("edges", nullable=False),
        whole("missing", nullable=False),
        *(blob(name) for name in ("time_s", "direction", "number")),
        number("tick_hz"),
        whole("boot"),
        number("wound_turns"),
        words("wound_steps", null=True),
        number("clock_ppm"),
        number("clock_sd_ppm"),
        words("note"),
        sqlite_autoincrement=True,
    )
