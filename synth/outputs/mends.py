"""What a player can do about missing sound, on the system at hand."""

import platform
import shutil
from typing import Final

PACKAGES: Final = (
    ("apt", "apt install libportaudio2"),
    ("dnf", "dnf install portaudio"),
    ("pacman", "pacman -S portaudio"),
    ("zypper", "zypper install libportaudio2"),
    ("apk", "apk add portaudio"),
)
"""Package tools and what they call PortAudio's library (common practice, no source)."""


def library_mend() -> str:
    """Return how PortAudio's library comes onto this system."""
    if platform.system() != "Linux":
        return "pip install --force-reinstall sounddevice"
    for tool, command in PACKAGES:
        if shutil.which(tool):
            return command
    return "install PortAudio's library with the system's package manager"


def device_mend() -> str:
    """Return what to look at when the library finds no device."""
    if platform.system() == "Linux":
        return "plug in or switch on a sound device and see that a sound server (PipeWire, PulseAudio) runs"
    return "plug in or switch on a sound device and choose it in the system's sound settings"


def midi_mend() -> str:
    """Return how MIDI ports come within reach."""
    return "pip install 'keyfarer[midi]' (Python 3.12 or older has ready wheels)"
