CREATE TABLE captures (
        id INTEGER NOT NULL PRIMARY KEY,
        link TEXT NOT NULL,
        started_us INTEGER NOT NULL
    , known_boot INTEGER, known_edge INTEGER, board INTEGER, boot INTEGER, sessions INTEGER NOT NULL DEFAULT 0, stray_bytes INTEGER NOT NULL DEFAULT 0);
CREATE TABLE chunks (
        id INTEGER NOT NULL PRIMARY KEY,
        capture_id INTEGER NOT NULL REFERENCES captures (id),
        session INTEGER NOT NULL,
        arrived_us INTEGER NOT NULL,
        origin TEXT NOT NULL,
        data BLOB NOT NULL
    );
CREATE INDEX chunks_capture ON chunks (capture_id);
CREATE TABLE cars (
        id INTEGER NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        text TEXT NOT NULL UNIQUE
    );
CREATE TABLE tracks (
        id INTEGER NOT NULL PRIMARY KEY,
        name TEXT NOT NULL,
        text TEXT NOT NULL UNIQUE
    );
CREATE TABLE runs (
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
        ending TEXT NOT NULL
    , builder_note TEXT NOT NULL DEFAULT '', lost_before INTEGER NOT NULL DEFAULT 0, said_turns TEXT, weight_g FLOAT, circumference_mm FLOAT, circumference_sd_mm FLOAT, taped_m FLOAT, discarded INTEGER NOT NULL DEFAULT 0, tags TEXT NOT NULL DEFAULT '[]', timed_s FLOAT, utc_offset_s INTEGER);
CREATE TRIGGER chunks_are_kept BEFORE UPDATE ON chunks
        BEGIN SELECT RAISE(ABORT, 'captures only grow'); END;
CREATE TABLE kept (
        id INTEGER NOT NULL PRIMARY KEY,
        run_id INTEGER NOT NULL REFERENCES runs (id) ON DELETE CASCADE,
        key TEXT NOT NULL,
        code TEXT NOT NULL,
        data BLOB NOT NULL
    );
CREATE INDEX kept_run ON kept (run_id, key);
CREATE INDEX kept_code ON kept (code);
CREATE TABLE corrections (
        id INTEGER NOT NULL PRIMARY KEY,
        run_id INTEGER NOT NULL REFERENCES runs (id),
        made_us INTEGER NOT NULL,
        who TEXT NOT NULL,
        field TEXT NOT NULL,
        before TEXT NOT NULL,
        after TEXT NOT NULL
    );
CREATE INDEX corrections_run ON corrections (run_id);
CREATE TRIGGER corrections_are_kept BEFORE UPDATE ON corrections
        BEGIN SELECT RAISE(ABORT, 'corrections only grow'); END;
CREATE TRIGGER corrections_stay BEFORE DELETE ON corrections
        BEGIN SELECT RAISE(ABORT, 'corrections only grow'); END;
CREATE INDEX runs_capture ON runs (capture_id);
CREATE TRIGGER chunks_stay BEFORE DELETE ON chunks
        WHEN EXISTS (SELECT 1 FROM runs WHERE capture_id = OLD.capture_id)
        BEGIN SELECT RAISE(ABORT, 'a run needs this capture'); END;
CREATE INDEX runs_days ON runs (started_us, utc_offset_s, car_id);
CREATE TABLE versions (
        id INTEGER NOT NULL PRIMARY KEY,
        car_id INTEGER REFERENCES cars (id),
        track_id INTEGER REFERENCES tracks (id),
        made_us INTEGER NOT NULL,
        who TEXT NOT NULL,
        how TEXT NOT NULL
    );
CREATE TRIGGER versions_are_kept BEFORE UPDATE ON versions
        BEGIN SELECT RAISE(ABORT, 'versions only grow'); END;
CREATE TRIGGER versions_stay BEFORE DELETE ON versions
        BEGIN SELECT RAISE(ABORT, 'versions only grow'); END;
PRAGMA application_id = 0x756E7370;
PRAGMA user_version = 10;
