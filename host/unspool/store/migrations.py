"""The store's schema, step by step; a step that was ever published is never changed again.

SQLite keeps two numbers for the program that owns a file: `application_id` marks our databases
among all others, `user_version` counts the steps that were taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sqlalchemy import Connection

from unspool.errors import StoreError

Migration = tuple[str, ...]

APPLICATION_ID = 0x756E7370  # "unsp"

FIRST: Migration = (
    """CREATE TABLE captures (
        id INTEGER NOT NULL PRIMARY KEY,
        link TEXT NOT NULL,
        started_us INTEGER NOT NULL
    )""",
    """CREATE TABLE chunks (
        id INTEGER NOT NULL PRIMARY KEY,
        capture_id INTEGER NOT NULL REFERENCES captures (id),
        session INTEGER NOT NULL,
        arrived_us INTEGER NOT NULL,
        origin TEXT NOT NULL,
        data BLOB NOT NULL
    )""",
    "CREATE INDEX chunks_capture ON chunks (capture_id)",
    """CREATE TABLE cars (
        id INTEGER NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        text TEXT NOT NULL UNIQUE
    )""",
    """CREATE TABLE tracks (
        id INTEGER NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        text TEXT NOT NULL UNIQUE
    )""",
    """CREATE TABLE runs (
        id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
        identity TEXT NOT NULL UNIQUE,
        source TEXT NOT NULL,
        started_us INTEGER NOT NULL,
        capture_id INTEGER REFERENCES captures (id),
        car_id INTEGER REFERENCES cars (id),
        track_id INTEGER REFERENCES tracks (id),
        edges INTEGER NOT NULL,
        missing INTEGER NOT NULL,
        time_s BLOB NOT NULL,
        direction BLOB NOT NULL,
        number BLOB NOT NULL,
        tick_hz FLOAT,
        boot INTEGER,
        wound_turns FLOAT,
        wound_steps TEXT,
        clock_ppm FLOAT,
        clock_sd_ppm FLOAT,
        note TEXT NOT NULL
    )""",
    """CREATE TRIGGER chunks_are_kept BEFORE UPDATE ON chunks
        BEGIN SELECT RAISE(ABORT, 'captures only grow'); END""",
    """CREATE TRIGGER chunks_stay BEFORE DELETE ON chunks
        BEGIN SELECT RAISE(ABORT, 'captures only grow'); END""",
)

# A capture that grew long is followed by another, which knows what the first already has.
FOLLOWING_CAPTURES: Migration = (
    "ALTER TABLE captures ADD COLUMN known_boot INTEGER",
    "ALTER TABLE captures ADD COLUMN known_edge INTEGER",
)

# The recorder writes `note` again with each reading of a capture; what a builder noted stays.
BUILDERS_NOTES: Migration = ("ALTER TABLE runs ADD COLUMN builder_note TEXT NOT NULL DEFAULT ''",)

# The recorder's note was one of two sentences. A code takes their place.
ENDINGS: Migration = (
    "ALTER TABLE runs RENAME COLUMN note TO ending",
    """UPDATE runs SET ending = CASE
        WHEN ending LIKE 'the board restarted during the run%' THEN 'board_restarted'
        WHEN ending LIKE 'the recording was stopped before%' THEN 'recording_stopped'
        WHEN capture_id IS NULL THEN 'unknown'
        ELSE 'stood_still' END""",
)

LOST_BEFORE: Migration = ("ALTER TABLE runs ADD COLUMN lost_before INTEGER NOT NULL DEFAULT 0",)

# What can be computed again is kept here, so that it is computed once.
KEPT: Migration = (
    """CREATE TABLE kept (
        id INTEGER NOT NULL PRIMARY KEY,
        run_id INTEGER NOT NULL REFERENCES runs (id) ON DELETE CASCADE,
        key TEXT NOT NULL,
        code TEXT NOT NULL,
        data BLOB NOT NULL
    )""",
    "CREATE INDEX kept_run ON kept (run_id, key)",
    "CREATE INDEX kept_code ON kept (code)",
)

# Winding, weight, wheel and floor belong to a run. The history of what was said of them only grows.
CORRECTIONS: Migration = (
    "ALTER TABLE runs ADD COLUMN said_turns TEXT",
    "ALTER TABLE runs ADD COLUMN weight_g FLOAT",
    "ALTER TABLE runs ADD COLUMN circumference_mm FLOAT",
    "ALTER TABLE runs ADD COLUMN circumference_sd_mm FLOAT",
    "ALTER TABLE runs ADD COLUMN taped_m FLOAT",
    "ALTER TABLE runs ADD COLUMN discarded INTEGER NOT NULL DEFAULT 0",
    """CREATE TABLE corrections (
        id INTEGER NOT NULL PRIMARY KEY,
        run_id INTEGER NOT NULL REFERENCES runs (id),
        made_us INTEGER NOT NULL,
        who TEXT NOT NULL,
        field TEXT NOT NULL,
        before TEXT NOT NULL,
        after TEXT NOT NULL
    )""",
    "CREATE INDEX corrections_run ON corrections (run_id)",
    """CREATE TRIGGER corrections_are_kept BEFORE UPDATE ON corrections
        BEGIN SELECT RAISE(ABORT, 'corrections only grow'); END""",
    """CREATE TRIGGER corrections_stay BEFORE DELETE ON corrections
        BEGIN SELECT RAISE(ABORT, 'corrections only grow'); END""",
)

# A capture belongs to a board and its boot, and one that no run needs can be deleted.
BOARDS: Migration = (
    "ALTER TABLE captures ADD COLUMN board INTEGER",
    "ALTER TABLE captures ADD COLUMN boot INTEGER",
    "ALTER TABLE captures ADD COLUMN sessions INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE captures ADD COLUMN stray_bytes INTEGER NOT NULL DEFAULT 0",
    """UPDATE captures SET sessions =
        (SELECT coalesce(max(session), 0) FROM chunks WHERE capture_id = captures.id)""",
    "CREATE INDEX runs_capture ON runs (capture_id)",
    "DROP TRIGGER chunks_stay",
    """CREATE TRIGGER chunks_stay BEFORE DELETE ON chunks
        WHEN EXISTS (SELECT 1 FROM runs WHERE capture_id = OLD.capture_id)
        BEGIN SELECT RAISE(ABORT, 'a run needs this capture'); END""",
)

# Tags, the stopwatch, and the clock on the wall: an attempt is numbered by its car's day.
ATTEMPTS: Migration = (
    "ALTER TABLE runs ADD COLUMN tags TEXT NOT NULL DEFAULT '[]'",
    "ALTER TABLE runs ADD COLUMN timed_s FLOAT",
    "ALTER TABLE runs ADD COLUMN utc_offset_s INTEGER",
    "CREATE INDEX runs_days ON runs (started_us, utc_offset_s, car_id)",
)

# A car's sheets are its versions. Which of them is used, and who chose it, only grows.
VERSIONS: Migration = (
    """CREATE TABLE versions (
        id INTEGER NOT NULL PRIMARY KEY,
        car_id INTEGER REFERENCES cars (id),
        track_id INTEGER REFERENCES tracks (id),
        made_us INTEGER NOT NULL,
        who TEXT NOT NULL,
        how TEXT NOT NULL
    )""",
    *(
        f"""INSERT INTO versions ({column}, made_us, who, how)
            SELECT sheets.id,
                coalesce(min(runs.started_us), 1000000 * CAST(strftime('%s', 'now') AS INTEGER)),
                '', 'run'
            FROM {sheets} AS sheets LEFT JOIN runs ON runs.{column} = sheets.id
            GROUP BY sheets.id ORDER BY sheets.id"""
        for sheets, column in (("cars", "car_id"), ("tracks", "track_id"))
    ),
    """CREATE TRIGGER versions_are_kept BEFORE UPDATE ON versions
        BEGIN SELECT RAISE(ABORT, 'versions only grow'); END""",
    """CREATE TRIGGER versions_stay BEFORE DELETE ON versions
        BEGIN SELECT RAISE(ABORT, 'versions only grow'); END""",
)

# What the Logbook shows of a run that takes its edges to know.
LINES: Migration = (
    """CREATE TABLE lines (
        run_id INTEGER NOT NULL PRIMARY KEY REFERENCES runs (id) ON DELETE CASCADE,
        basis TEXT NOT NULL,
        code TEXT NOT NULL,
        winding TEXT NOT NULL,
        weight_g FLOAT,
        distance_m FLOAT,
        ends TEXT NOT NULL,
        peak_m_s FLOAT,
        spark TEXT NOT NULL,
        findings TEXT NOT NULL,
        fault TEXT NOT NULL
    )""",
)

BOARD_CARS: Migration = (
    """CREATE TABLE board_cars (
        board INTEGER NOT NULL PRIMARY KEY,
        car TEXT NOT NULL,
        track TEXT NOT NULL
    )""",
)

STEPS: tuple[Migration, ...] = (
    *(FIRST, FOLLOWING_CAPTURES, BUILDERS_NOTES, ENDINGS, LOST_BEFORE),
    *(KEPT, CORRECTIONS, BOARDS, ATTEMPTS, VERSIONS, LINES, BOARD_CARS),
)


def migrate(connection: Connection, path: Path, steps: Sequence[Migration] = STEPS) -> None:
    """Brings the database up to the last step, inside the caller's transaction.

    Raises StoreError for a database of another program or of a newer unspool; neither is touched.
    """
    taken = _steps_taken(connection, path, steps)
    for step in steps[taken:]:
        for statement in step:
            connection.exec_driver_sql(statement)
    if taken < len(steps):
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {len(steps)}")


def is_current(connection: Connection, path: Path) -> bool:
    """Whether all steps were taken. Raises StoreError as `migrate` does."""
    return _steps_taken(connection, path, STEPS) == len(STEPS)


def _steps_taken(connection: Connection, path: Path, steps: Sequence[Migration]) -> int:
    taken = _number_of_steps(connection, path)
    if taken > len(steps):
        raise StoreError(
            f"the store {path} was made by a newer unspool (schema {taken}, this one knows"
            f" {len(steps)}); update unspool, or use --store for another"
        )
    return taken


def _number_of_steps(connection: Connection, path: Path) -> int:
    owner = _number(connection, "PRAGMA application_id")
    tables = _number(connection, "SELECT count(*) FROM sqlite_schema")
    if owner == APPLICATION_ID:
        return _number(connection, "PRAGMA user_version")
    if owner or tables:
        raise StoreError(
            f"{path} is another program's database, not a store of unspool; give another file with"
            " --store"
        )
    return 0


def _number(connection: Connection, statement: str) -> int:
    return int(connection.exec_driver_sql(statement).scalar_one())
