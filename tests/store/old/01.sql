CREATE TABLE captures (
        id INTEGER NOT NULL PRIMARY KEY,
        link TEXT NOT NULL,
        started_us INTEGER NOT NULL
    );
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
        note TEXT NOT NULL
    );
CREATE TRIGGER chunks_are_kept BEFORE UPDATE ON chunks
        BEGIN SELECT RAISE(ABORT, 'captures only grow'); END;
CREATE TRIGGER chunks_stay BEFORE DELETE ON chunks
        BEGIN SELECT RAISE(ABORT, 'captures only grow'); END;
PRAGMA application_id = 0x756E7370;
PRAGMA user_version = 1;
