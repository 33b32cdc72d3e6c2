PRAGMA journal_mode = WAL;
BEGIN TRANSACTION;
CREATE TABLE corrections (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    trial INTEGER NOT NULL REFERENCES trials (id),
    at_utc TEXT NOT NULL,
    reason TEXT NOT NULL CHECK (reason = 'slip'),
    UNIQUE (trial, reason)
);
INSERT INTO "corrections" VALUES(1,5,'2027-03-02T18:05:00+00:00','slip');
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
INSERT INTO "trials" VALUES(1,'2027-03-01T18:00:00+00:00',60,'evening','major-two-five-one','name-cadence',1,'Bb major',100,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',1.0,'[]',3.33333333333333314829e-01,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(2,'2027-03-01T18:01:00+00:00',60,'evening','backdoor','name-functions',2,'D minor',101,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',0.0,'[]',0.25,'["again"]',9.5,8.0,'plagal',1);
INSERT INTO "trials" VALUES(3,'2027-03-01T18:02:00+00:00',60,'evening','major-two-five-one','name-functions',3,'F# major',102,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',6.66666666666666629659e-01,'[]',0.02,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(4,'2027-03-02T18:03:00+00:00',60,'evening','backdoor','name-cadence',1,'Bb major',103,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',1.0,'[]',3.33333333333333314829e-01,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(5,'2027-03-02T18:04:00+00:00',60,'evening','major-two-five-one','name-functions',2,'D minor',104,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',0.0,'[]',0.25,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(6,'2027-03-02T18:05:00+00:00',60,'evening','backdoor','name-functions',3,'F# major',105,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',6.66666666666666629659e-01,'[]',0.02,'["again"]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(7,'2027-03-03T18:06:00+00:00',60,'evening','major-two-five-one','name-cadence',1,'Bb major',106,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',1.0,'[]',3.33333333333333314829e-01,'[]',9.5,8.0,'plagal',1);
INSERT INTO "trials" VALUES(8,'2027-03-03T18:07:00+00:00',60,'evening','backdoor','name-functions',2,'D minor',107,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',0.0,'[]',0.25,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(9,'2027-03-03T18:08:00+00:00',60,'evening','major-two-five-one','name-functions',3,'F# major',108,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',6.66666666666666629659e-01,'[]',0.02,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(10,'2027-03-04T18:09:00+00:00',60,'evening','backdoor','name-cadence',1,'Bb major',109,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',1.0,'[]',3.33333333333333314829e-01,'["again"]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(11,'2027-03-04T18:10:00+00:00',60,'evening','major-two-five-one','name-functions',2,'D minor',110,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',0.0,'[]',0.25,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(12,'2027-03-04T18:11:00+00:00',60,'evening','backdoor','name-functions',3,'F# major',111,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',6.66666666666666629659e-01,'[]',0.02,'[]',9.5,8.0,'plagal',1);
INSERT INTO "trials" VALUES(13,'2027-03-05T18:12:00+00:00',60,'evening','major-two-five-one','name-cadence',1,'Bb major',112,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',1.0,'[]',3.33333333333333314829e-01,'[]',9.5,8.0,NULL,1);
INSERT INTO "trials" VALUES(14,'2027-03-05T18:13:00+00:00',60,'evening','backdoor','name-functions',2,'D minor',113,'table','shells',92.0,'{}','2 5 1','ii7 V7 Imaj7',0.0,'[]',0.25,'["again"]',9.5,8.0,NULL,1);
CREATE INDEX trials_by_unit ON trials (unit, id);
CREATE INDEX trials_by_drill ON trials (unit, kind, rung, id);
CREATE INDEX trials_confused ON trials (unit, taken_for) WHERE taken_for IS NOT NULL;
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
COMMIT;
PRAGMA application_id = 1801812326;
PRAGMA user_version = 1;
