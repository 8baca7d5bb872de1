"""The tables as the code sees them; steps/ is what makes them in a database.

Captures are the truth: what is in one never changes, and one that a run needs is never deleted.
Runs can be found again from them; imported runs have no capture and are the truth themselves.
"""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Float,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    Table,
)
from sqlalchemy import Integer as SmallInteger
from sqlalchemy import Text as PlainText

from unspool.store.any_text import AnyText

metadata = MetaData()

# 64 bits in both; SQLite numbers rows by itself only if their column is an INTEGER
Integer = SmallInteger().with_variant(BigInteger(), "postgresql")
Text = PlainText().with_variant(AnyText(), "postgresql")

captures = Table(
    "captures",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("link", Text, nullable=False),
    Column("started_us", Integer, nullable=False),  # host time, microseconds since 1970 UTC
    # edges of this boot before this number are in an earlier capture; both null if none are
    Column("known_boot", Integer),
    Column("known_edge", Integer),
    # the one boot of the one board whose capture it is; null if the board has no number, and in
    # captures that follow a port
    Column("board", Integer),
    Column("boot", Integer),
    # how many recorders wrote to it; only the last of them may
    Column("sessions", Integer, nullable=False, server_default="0"),
    Column("stray_bytes", Integer, nullable=False, server_default="0"),  # that no frame explains
)

chunks = Table(
    "chunks",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("capture_id", Integer, ForeignKey("captures.id"), nullable=False),
    # counts the recorders that wrote this capture: host times are steady within one session only
    Column("session", Integer, nullable=False),
    Column("arrived_us", Integer, nullable=False),
    Column("origin", Text, nullable=False),  # an Origin
    Column("data", LargeBinary, nullable=False),
    Index("chunks_capture", "capture_id"),
)

cars = Table(
    "cars",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("text", Text, nullable=False, unique=True),
)

tracks = Table(
    "tracks",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("text", Text, nullable=False, unique=True),
)

runs = Table(
    "runs",
    metadata,
    Column("id", Integer, primary_key=True),
    # sha256 of what makes the run this run: the same import, or the same run of a capture
    Column("identity", Text, nullable=False, unique=True),
    Column("source", Text, nullable=False),
    Column("started_us", Integer, nullable=False),
    Column("capture_id", Integer, ForeignKey("captures.id")),
    Column("car_id", Integer, ForeignKey("cars.id")),
    Column("track_id", Integer, ForeignKey("tracks.id")),
    Column("edges", Integer, nullable=False),
    Column("missing", Integer, nullable=False),
    Column("time_s", LargeBinary, nullable=False),
    Column("direction", LargeBinary, nullable=False),
    Column("number", LargeBinary, nullable=False),
    Column("tick_hz", Float),
    Column("boot", Integer),
    Column("wound_turns", Float),
    Column("wound_steps", Text),  # JSON list of turns, one a step that the builder marked
    Column("clock_ppm", Float),
    Column("clock_sd_ppm", Float),
    Column("ending", Text, nullable=False),  # why the edges end: an Ending
    Column("builder_note", Text, nullable=False, server_default=""),
    Column("lost_before", Integer, nullable=False, server_default="0"),
    # what people said of the run, in place of what was counted or is in the car's sheet
    Column("said_turns", Text),  # JSON list of tier and turns
    Column("weight_g", Float),
    Column("circumference_mm", Float),
    Column("circumference_sd_mm", Float),
    Column("taped_m", Float),
    Column("discarded", Integer, nullable=False, server_default="0"),
    Column("tags", Text, nullable=False, server_default="[]"),  # JSON list of words
    Column("timed_s", Float),  # how long it ran, by a stopwatch
    # local time minus UTC on the machine that recorded it; null if it is not known
    Column("utc_offset_s", Integer),
    Index("runs_days", "started_us", "utc_offset_s", "car_id"),
    sqlite_autoincrement=True,  # a run's id is spoken and written down: never given twice
)

# Who changed what of a run, and when: this only grows. The runs' own columns hold the newest.
corrections = Table(
    "corrections",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("run_id", Integer, ForeignKey("runs.id"), nullable=False),
    Column("made_us", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("field", Text, nullable=False),  # a Field
    Column("before", Text, nullable=False),  # JSON of the column's cell
    Column("after", Text, nullable=False),
    Index("corrections_run", "run_id"),
)

# Which sheet of a car or track was used from when on: this only grows. One of the two ids is null.
versions = Table(
    "versions",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("car_id", Integer, ForeignKey("cars.id")),
    Column("track_id", Integer, ForeignKey("tracks.id")),
    Column("made_us", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("how", Text, nullable=False),  # a How
)

# Readings, kept so that no run is read twice; kept.py says which.
kept = Table(
    "kept",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("run_id", Integer, ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    Column("key", Text, nullable=False),  # digest of what the reading rests on
    Column("code", Text, nullable=False),  # digest of the code that made it
    Column("data", LargeBinary, nullable=False),
    Index("kept_run", "run_id", "key"),
    Index("kept_code", "code"),
)

# What the Logbook shows of a run that takes its edges to know; lines.py says when it still holds.
lines = Table(
    "lines",
    metadata,
    Column("run_id", Integer, ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    Column("basis", Text, nullable=False),  # digest of the run's cells that it rests on
    Column("code", Text, nullable=False),  # digest of the code that made it
    Column("winding", Text, nullable=False),  # JSON list of tier and turns
    Column("weight_g", Float),
    Column("distance_m", Float),
    Column("ends", Text, nullable=False),  # an Ends: what distance_m is
    Column("peak_m_s", Float),
    Column("spark", Text, nullable=False),  # JSON list of speeds in percent of the peak
    Column("findings", Text, nullable=False),  # JSON list of code and severity
    Column("fault", Text, nullable=False),  # why the run cannot be read, "" if it can
)

# What each board was last recorded with, so that nobody has to say it again.
board_cars = Table(
    "board_cars",
    metadata,
    Column("board", Integer, primary_key=True, autoincrement=False),  # its number for life
    Column("car", Text, nullable=False),  # by name: the current version is the one meant
    Column("track", Text, nullable=False),  # "" for a level floor
)

# A contest is what its events add up to: this only grows, so no result changes without a trace.
contests = Table(
    "contests",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("identity", Text, nullable=False),  # the same in each store that it is copied to
    Column("made_us", Integer, nullable=False),
    Index("contests_identity", "identity", unique=True),
)

contest_events = Table(
    "contest_events",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("contest_id", Integer, ForeignKey("contests.id"), nullable=False),
    Column("number", Integer, nullable=False),  # counts from 1 in the contest: others refer to it
    Column("made_us", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("kind", Text, nullable=False),
    # what two people may not change at once, such as one attempt
    Column("subject", Text, nullable=False),
    Column("data", Text, nullable=False),  # JSON object
    Column("run_id", Integer, ForeignKey("runs.id")),  # of an attempt that was recorded
    Index("contest_events_number", "contest_id", "number", unique=True),
)

# Who has a PIN that stays. A copy leaves them out: they open this store's pages alone.
pins = Table(
    "pins",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("key", Text, nullable=False),  # the name_key of it
    Column("role", Text, nullable=False),
    Column("salt", LargeBinary, nullable=False),
    Column("hash", LargeBinary, nullable=False),  # by scrypt, with these three
    Column("n", Integer, nullable=False),
    Column("r", Integer, nullable=False),
    Column("p", Integer, nullable=False),
    Column("made_us", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Index("pins_key", "key", unique=True),
)

# Which boards are recorded now. A copy leaves them out: they belong to a process.
under_way = Table(
    "under_way",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("board", Text, nullable=False),  # the way to it, as a page chooses it
    Column("car", Text, nullable=False),  # by name, "" if the board knows it
    Column("track", Text, nullable=False),  # "" for a level floor
    Column("host", Text, nullable=False),
    Column("process", Integer, nullable=False),  # its number there
    Column("since_us", Integer, nullable=False),
)
