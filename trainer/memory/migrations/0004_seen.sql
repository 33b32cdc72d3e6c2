-- What the player sees over time, computed from the log alone. Sums are whole numbers: of millionths of credit
-- and of chance of guessing; so they are the same in whatever order trials come, and can be taken back.
-- times: how many answers came so long after the sound's end, as 58 unsigned numbers of 4 bytes, little end first.
CREATE TABLE practice_days (
    day TEXT PRIMARY KEY,
    trials INTEGER NOT NULL,
    exact INTEGER NOT NULL,
    helped INTEGER NOT NULL,
    credit INTEGER NOT NULL,
    guess INTEGER NOT NULL,
    seconds INTEGER NOT NULL,
    slots TEXT NOT NULL
) WITHOUT ROWID;

-- By the Monday that a week begins with; the unit '' is all of them.
CREATE TABLE practice_weeks (
    unit TEXT NOT NULL,
    week TEXT NOT NULL,
    trials INTEGER NOT NULL,
    exact INTEGER NOT NULL,
    credit INTEGER NOT NULL,
    guess INTEGER NOT NULL,
    times BLOB NOT NULL,
    PRIMARY KEY (unit, week)
) WITHOUT ROWID;

-- By quarter of the year and by one facet at a time (kind, key, voicing, tempo).
CREATE TABLE facets (
    unit TEXT NOT NULL,
    facet TEXT NOT NULL,
    quarter TEXT NOT NULL,
    value TEXT NOT NULL,
    trials INTEGER NOT NULL,
    exact INTEGER NOT NULL,
    credit INTEGER NOT NULL,
    guess INTEGER NOT NULL,
    times BLOB NOT NULL,
    PRIMARY KEY (unit, facet, quarter, value)
) WITHOUT ROWID;

-- What was taken for what, by month.
CREATE TABLE mistaken (
    unit TEXT NOT NULL,
    taken_for TEXT NOT NULL,
    month TEXT NOT NULL,
    trials INTEGER NOT NULL,
    PRIMARY KEY (unit, taken_for, month)
) WITHOUT ROWID;

-- The newest answers in the log's order as JSON: of a unit (kind ''), and on the top rung of a unit in a kind of
-- drill; trials: all of them on any rung; shown: those on the top rung show that it is heard there. Of the answers
-- listed: sums of credit and chance of guessing, the middle times from the start and from the end of the sound, and
-- the practice day of the newest; empty where none is listed.
CREATE TABLE newest (
    unit TEXT NOT NULL,
    kind TEXT NOT NULL,
    trials INTEGER NOT NULL,
    shown INTEGER NOT NULL,
    listed INTEGER NOT NULL,
    credit REAL NOT NULL,
    guess REAL NOT NULL,
    answer_s REAL,
    after_s REAL,
    last_day TEXT,
    answers TEXT NOT NULL,
    PRIMARY KEY (unit, kind)
) WITHOUT ROWID;

-- The day of a unit's first right answer without help on each rung; rung 0: the day that its answers on the top
-- rung first showed it, in every kind of drill that it had been asked in by then.
CREATE TABLE firsts (
    unit TEXT NOT NULL,
    rung INTEGER NOT NULL,
    day TEXT NOT NULL,
    PRIMARY KEY (unit, rung)
) WITHOUT ROWID;
