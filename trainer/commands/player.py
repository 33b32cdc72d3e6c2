"""The player's settings and memory, opened as each command needs them."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, cast

from trainer import places
from trainer.settings import Settings, load

if TYPE_CHECKING:  # who only looks at the settings need not wait for SQLite
    from trainer.harmony.note_names import Naming
    from trainer.memory.store import Store


def player_settings() -> Settings:
    """The settings; the defaults where there are none yet. Raises SettingsError."""
    return load(places.settings_file())


def player_naming() -> "Naming":
    """How the player names notes. Raises SettingsError."""
    return cast("Naming", player_settings().note_names)


def open_memory(settings: Settings, path: Path | None = None) -> "Store":
    """The store, made where there is none; close it after use. Raises StoreError."""
    from trainer.memory.schedule import Settings as MemorySettings
    from trainer.memory.store import open_store

    remembering = MemorySettings(settings.day_ends_hour, settings.wanted_recall)
    return open_store(path or places.memory_file(), remembering)


def offset_minutes(now: datetime) -> int:
    """The player's clock minus UTC."""
    offset = now.utcoffset()
    return 0 if offset is None else round(offset.total_seconds() / 60)


def practice_day_of(now: datetime, settings: Settings) -> date:
    """The practice day that a moment of the player's belongs to."""
    from trainer.memory.trial import practice_day

    return practice_day(now, offset_minutes(now), settings.day_ends_hour)
