"""The listening level: its range, its steps, and how it is told."""

STEP_DB = 2.0
LOWEST_DB, HIGHEST_DB = -40.0, 0.0


def within(level_db: float) -> float:
    """A level brought into the range."""
    return min(HIGHEST_DB, max(LOWEST_DB, level_db))


def step_of(level_db: float) -> int:
    """Which step of the scale a level is, 0 the lowest."""
    return round((level_db - LOWEST_DB) / STEP_DB)


def level_told(level_db: float) -> str:
    """A level in words."""
    return f"Level {step_of(level_db)} of {step_of(HIGHEST_DB)}"
