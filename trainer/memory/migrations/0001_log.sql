-- The log: what happened, added to and never changed.
CREATE TABLE trials (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    at_utc TEXT NOT NULL,
    utc_offset_minutes INTEGER NOT NULL,
    session TEXT NOT NULL,
    unit TEXT NOT NULL,
    kind TEXT NOT NULL,
    rung INTEGER NOT NULL CHECK (rung BETWEEN 1 AND 6),
    key TEXT NOT NULL,
    seed INTEGER NOT NULL,
    material TEXT NOT NULL,
    voicing TEXT NOT NULL,
    tempo_bpm REAL,
    question TEXT NOT NULL,
    answer TEXT NOT NULL,
    correct TEXT NOT NULL,
    credit REAL NOT NULL CHECK (credit BETWEEN 0 AND 1),
    parts TEXT NOT NULL,
    guess_chance REAL NOT NULL CHECK (guess_chance >= 0 AND guess_chance < 1),
    helps TEXT NOT NULL,
    answer_s REAL NOT NULL,
    sound_s REAL NOT NULL,
    taken_for TEXT,
    rules_version INTEGER NOT NULL
);
CREATE INDEX trials_by_unit ON trials (unit, id);
CREATE INDEX trials_by_drill ON trials (unit, kind, rung, id);
CREATE INDEX trials_confused ON trials (unit, taken_for) WHERE taken_for IS NOT NULL;

-- A later word on a trial; "slip": the answer was a slip of the finger and counts for nothing.
CREATE TABLE corrections (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    trial INTEGER NOT NULL REFERENCES trials (id),
    at_utc TEXT NOT NULL,
    reason TEXT NOT NULL CHECK (reason = 'slip'),
    UNIQUE (trial, reason)
);

CREATE TRIGGER trials_stay BEFORE UPDATE ON trials
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER trials_last BEFORE DELETE ON trials
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER trials_once BEFORE INSERT ON trials WHEN EXISTS (SELECT 1 FROM trials WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER corrections_stay BEFORE UPDATE ON corrections
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER corrections_last BEFORE DELETE ON corrections
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
CREATE TRIGGER corrections_once BEFORE INSERT ON corrections
WHEN EXISTS (SELECT 1 FROM corrections WHERE id = NEW.id OR (trial = NEW.trial AND reason = NEW.reason))
BEGIN SELECT RAISE(ABORT, 'the log of trials is never changed'); END;
