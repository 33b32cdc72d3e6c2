"""The listening level: its range, its steps, where it begins before it was ever set, and how it is told.

Levels are decibels by which everything that is played is turned down; what is played is equally loud before.
"""

from trainer.settings import Settings

STEP_DB = 2.0
LOWEST_DB, HIGHEST_DB = -40.0, 0.0

FIRST_DB = -20.0
"""Where what sounds by itself begins before the level was ever set."""
SAMPLE_DB = -30.0
"""Where the sample begins that the level is first set by."""

CAUTION = (
    "Long listening on headphones can harm hearing: keep it low, take breaks, follow your local rules, "
    "and see an audiologist about ringing ears."
)
"""Said where the level was never set."""


def within(level_db: float) -> float:
    """A level brought into the range."""
    return min(HIGHEST_DB, max(LOWEST_DB, level_db))


def begins_at(settings: Settings) -> float:
    """Where the level stands as the sound begins: quiet as long as it was never set."""
    return settings.volume_db if settings.level_set else min(FIRST_DB, settings.volume_db)


def begins_quiet(how: str) -> str:
    """What is said where the level was never set; `how` tells how it is turned up."""
    return f"The sound begins quiet. {how} {CAUTION}"


def factor(level_db: float) -> float:
    """What samples are multiplied by at a level."""
    return float(10.0 ** (level_db / 20.0))


def step_of(level_db: float) -> int:
    """Which step of the scale a level is, 0 the lowest."""
    return round((level_db - LOWEST_DB) / STEP_DB)


def level_told(level_db: float) -> str:
    """A level in words."""
    return f"Level {step_of(level_db)} of {step_of(HIGHEST_DB)}"
