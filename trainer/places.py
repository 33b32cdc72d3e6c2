"""Where the player's things are: settings, memory, tunes, log and what is written when there is no sound.

The platform's own user folders; KEYFARER_HOME puts everything under one folder instead.
"""

import os
from pathlib import Path

APP = "keyfarer"


def _home() -> Path | None:
    home = os.environ.get("KEYFARER_HOME")
    return Path(home).expanduser() if home else None


def settings_file() -> Path:
    """The settings; it need not exist."""
    home = _home()
    if home is not None:
        return home / "settings.toml"
    import platformdirs

    return platformdirs.user_config_path(APP) / "settings.toml"


def keys_file() -> Path:
    """The player's own keys; it need not exist."""
    return settings_file().with_name("keys.toml")


def memory_file() -> Path:
    """The store of trials; its folder need not exist yet."""
    home = _home()
    if home is not None:
        return home / "memory.db"
    import platformdirs

    return platformdirs.user_data_path(APP) / "memory.db"


def log_file() -> Path:
    """Where sound libraries' own remarks go while the terminal app is on the screen."""
    home = _home()
    if home is not None:
        return home / "keyfarer.log"
    import platformdirs

    return platformdirs.user_state_path(APP) / "keyfarer.log"


def silent_sound_folder() -> Path:
    """Where sound is written when nothing here can play it."""
    home = _home()
    if home is not None:
        return home / "sound"
    import platformdirs

    return platformdirs.user_cache_path(APP) / "sound"


def tunes_folder() -> Path:
    """Where the player's own charts are kept; it need not exist yet."""
    home = _home()
    if home is not None:
        return home / "tunes"
    import platformdirs

    return platformdirs.user_data_path(APP) / "tunes"


def tune_facts_file() -> Path:
    """What was read in charts, so that they needn't be read again; it may be deleted at any time."""
    home = _home()
    if home is not None:
        return home / "tune-facts.json"
    import platformdirs

    return platformdirs.user_cache_path(APP) / "tune-facts.json"
