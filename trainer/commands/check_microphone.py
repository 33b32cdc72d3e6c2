"""`keyfarer check --microphone`: how loud the microphone hears you, in lines; what the sound screen's meter shows."""

import time
from collections.abc import Callable
from math import isfinite
from typing import TYPE_CHECKING

import click

from trainer.commands.words import width, wrapped

if TYPE_CHECKING:
    from synth.microphone import HeardLevel, Microphone

SECONDS = 5
"""So long it is open, unless it is stopped before."""
NARROWEST = 20


def run_check_microphone(
    opened: "Callable[[], Microphone] | None" = None, pause: Callable[[float], None] = time.sleep
) -> int:
    """Open it, say each second how loud it is, and close it. Raises SoundError."""
    if opened is None:
        from synth.microphone import open_microphone
        from synth.noise import divert_noise

        divert_noise()
        opened = open_microphone
    microphone = opened()
    try:
        _say(f"The microphone is open for {SECONDS} seconds: {microphone.name}. Nothing is recorded or kept.")
        for _ in range(SECONDS):
            pause(1.0)
            if not microphone.open:
                _say("The microphone went away.")
                return 0
            _say(level_told(microphone.level()))
    finally:
        microphone.close()
    _say("The microphone is closed.")
    return 0


def level_told(level: "HeardLevel") -> str:
    """A level in words."""
    if not isfinite(level.rms_dbfs):
        return "silence"
    return f"{level.rms_dbfs:.0f} dBFS, peak {level.peak_dbfs:.0f} dBFS"


def _say(text: str) -> None:
    for line in wrapped(text, width(), later="  "):
        click.echo(line)
