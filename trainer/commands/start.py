"""What `keyfarer` does in a terminal: the app, or plain lines where the player set that."""

from trainer import places, settings


def start() -> int:
    """Open the app; returns the exit code. Raises KeyfarerError."""
    if settings.load(places.settings_file()).plain:
        from trainer.commands.drill import run_drill
        from trainer.practice.options import DrillOptions

        return run_drill(DrillOptions(plain=True))
    from trainer.screens.running import run_app

    return run_app()


STOPPED, BAD_INPUT = 130, 2
"""Exit codes, as of every command."""


def started() -> int:
    """The same with its errors told, as the command line tells them; returns the exit code."""
    from synth.errors import SoundError
    from trainer.errors import KeyfarerError
    from trainer.terminal import suit_streams

    suit_streams()
    try:
        return start()
    except KeyboardInterrupt:
        return STOPPED
    except (KeyfarerError, SoundError) as error:
        from trainer.commands.reports import told_error

        told_error(error)
        return BAD_INPUT
