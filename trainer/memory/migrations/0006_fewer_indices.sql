-- A unit's newest trials are found by outcomes_by_unit; nothing that a player waits for asks by kind and rung, and each
-- index is made anew with every rebuild.
DROP INDEX outcomes_by_drill;
