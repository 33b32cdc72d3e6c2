-- Computed from the log alone; can be thrown away and computed again at any time.
CREATE TABLE reviews (
    unit TEXT NOT NULL,
    day TEXT NOT NULL,
    rating INTEGER NOT NULL CHECK (rating BETWEEN 1 AND 4),
    rule TEXT NOT NULL,
    stability REAL NOT NULL,
    difficulty REAL NOT NULL,
    due_day TEXT NOT NULL,
    trials INTEGER NOT NULL,
    first_trial INTEGER NOT NULL,
    last_trial INTEGER NOT NULL,
    PRIMARY KEY (unit, day)
) WITHOUT ROWID;

-- Trials and credit by unit, kind and rung, and by one facet at a time (all, key, voicing, tempo).
CREATE TABLE tallies (
    unit TEXT NOT NULL,
    kind TEXT NOT NULL,
    rung INTEGER NOT NULL,
    facet TEXT NOT NULL,
    value TEXT NOT NULL,
    trials INTEGER NOT NULL,
    credit REAL NOT NULL,
    guess REAL NOT NULL,
    answer_s REAL NOT NULL,
    sound_s REAL NOT NULL,
    PRIMARY KEY (unit, kind, rung, facet, value)
) WITHOUT ROWID;

-- The model of the player after a trial: the newest, and two earlier ones to go back to when a slip is told.
CREATE TABLE player_models (
    after_trial INTEGER PRIMARY KEY,
    model TEXT NOT NULL
);

-- How far the rows above have read the log, and by which rules.
CREATE TABLE derived_from (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    through_trial INTEGER NOT NULL,
    through_correction INTEGER NOT NULL,
    rules TEXT NOT NULL,
    forgetting TEXT NOT NULL
);
INSERT INTO derived_from VALUES (1, 0, 0, '', '');
