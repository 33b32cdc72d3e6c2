-- Sessions over a teacher's exercise are found by their name; other answers cost nothing by it.
CREATE INDEX trials_exercised ON trials (session) WHERE session GLOB 'exercise *';
