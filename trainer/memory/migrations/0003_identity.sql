-- Whose log this is: each store has an id of its own, made once.
CREATE TABLE this_store (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    id TEXT NOT NULL
);
INSERT INTO this_store VALUES (1, lower(hex(randomblob(8))));

-- Part of the log: trials that another store logged first, with its id and their number there.
-- All others were logged here, and their number is their id.
CREATE TABLE imported (
    trial INTEGER PRIMARY KEY REFERENCES trials (id),
    store TEXT NOT NULL,
    number INTEGER NOT NULL
);
CREATE INDEX imported_by_number ON imported (store, number);

CREATE TRIGGER this_store_stays BEFORE UPDATE ON this_store
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER this_store_lasts BEFORE DELETE ON this_store
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER this_store_once BEFORE INSERT ON this_store
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER imported_stay BEFORE UPDATE ON imported
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER imported_last BEFORE DELETE ON imported
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER imported_once BEFORE INSERT ON imported
WHEN EXISTS (SELECT 1 FROM imported WHERE trial = NEW.trial)
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;

-- Everything is looked up in the rows below, so that logging an answer writes one row of one table.
DROP INDEX trials_by_unit;
DROP INDEX trials_by_drill;
DROP INDEX trials_confused;

-- Marks computed again from raw trials by `rebuild`, where other rules had given them.
CREATE TABLE remarked (
    trial INTEGER PRIMARY KEY,
    credit REAL NOT NULL CHECK (credit BETWEEN 0 AND 1),
    guess_chance REAL NOT NULL CHECK (guess_chance >= 0 AND guess_chance < 1),
    taken_for TEXT,
    parts TEXT NOT NULL,
    rules_version INTEGER NOT NULL
);

-- What is counted of each trial, with the store and number that it has everywhere; rules_version is the log's.
-- Order everywhere: at_utc, store, number.
CREATE TABLE outcomes (
    trial INTEGER PRIMARY KEY,
    at_utc TEXT NOT NULL,
    store TEXT NOT NULL,
    number INTEGER NOT NULL,
    utc_offset_minutes INTEGER NOT NULL,
    unit TEXT NOT NULL,
    kind TEXT NOT NULL,
    rung INTEGER NOT NULL,
    key TEXT NOT NULL,
    voicing TEXT NOT NULL,
    tempo_bpm REAL,
    credit REAL NOT NULL,
    guess_chance REAL NOT NULL,
    helps TEXT NOT NULL,
    answer_s REAL NOT NULL,
    sound_s REAL NOT NULL,
    taken_for TEXT,
    rules_version INTEGER NOT NULL,
    slip INTEGER NOT NULL
);
CREATE INDEX outcomes_in_order ON outcomes (at_utc);
CREATE INDEX outcomes_by_unit ON outcomes (unit, at_utc);
CREATE INDEX outcomes_by_drill ON outcomes (unit, kind, rung, at_utc);
CREATE INDEX outcomes_confused ON outcomes (unit, taken_for) WHERE taken_for IS NOT NULL AND slip = 0;

-- The same rows as before, without the numbers that differ from store to store.
DROP TABLE reviews;
CREATE TABLE reviews (
    unit TEXT NOT NULL,
    day TEXT NOT NULL,
    rating INTEGER NOT NULL CHECK (rating BETWEEN 1 AND 4),
    rule TEXT NOT NULL,
    stability REAL NOT NULL,
    difficulty REAL NOT NULL,
    due_day TEXT NOT NULL,
    trials INTEGER NOT NULL,
    PRIMARY KEY (unit, day)
) WITHOUT ROWID;

-- The model of the player after so many trials, slips included, and the last of these: the newest, and earlier
-- ones to go back to, the fewer the older.
DROP TABLE player_models;
CREATE TABLE player_models (
    trials INTEGER PRIMARY KEY,
    at_utc TEXT NOT NULL,
    store TEXT NOT NULL,
    number INTEGER NOT NULL,
    trial INTEGER NOT NULL,
    model TEXT NOT NULL
);

DELETE FROM tallies;
UPDATE derived_from SET through_trial = 0, through_correction = 0, rules = '', forgetting = '';
