"""What `keyfarer` does in a terminal: the app, or plain lines where the player set that."""

from trainer import places, settings
from trainer.practice.options import DrillOptions


def start() -> int:
    """Open the app; returns the exit code. Raises KeyfarerError."""
    if settings.load(places.settings_file()).plain:
        from trainer.commands.drill import run_drill

        return run_drill(DrillOptions(plain=True))
    from trainer.screens.app import run_app

    return run_app()
