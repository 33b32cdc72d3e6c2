"""Where the player stands with each cadence type, in the words that memory has for it."""

from collections.abc import Mapping
from datetime import datetime

from trainer import places
from trainer.commands.player import open_memory, player_settings, practice_day_of

NEW = "not yet met"
LEARNED = frozenset({"resting", "known by ear"})
"""A type counts as learned from when it may rest on."""


def standing_at(now: datetime) -> dict[str, str]:
    """Where each type that was ever asked stands. Raises SettingsError, StoreError."""
    path = places.memory_file()
    if not path.exists():
        return {}
    from trainer.memory.progress import progress

    settings = player_settings()
    with open_memory(settings, path) as store:
        store.refresh()
        return {row.unit: row.status.value for row in progress(store, practice_day_of(now, settings))}


def learned_of(standing: Mapping[str, str]) -> frozenset[str]:
    """The types that count as learned."""
    return frozenset(type for type, word in standing.items() if word in LEARNED)
