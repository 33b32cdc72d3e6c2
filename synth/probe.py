"""What works on this machine: sound out, sound in, MIDI keyboards; and the mend where something doesn't.

Each question is asked in a thread of its own with a limit, so that looking never hangs, and what
goes wrong is an answer, never an exception.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Literal

from synth.outputs.feed import Feed
from synth.outputs.limits import Hanging, within
from synth.outputs.mends import device_mend, midi_mend
from synth.outputs.portaudio import default_input, output_names
from synth.outputs.search import Search
from synth.outputs.sink import NoSink

LIMIT_S: Final = 10.0

Thing = Literal["sound out", "sound in", "MIDI in"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Whether one thing works."""

    thing: Thing
    works: bool
    told: str
    """Which device and which way, or what is wrong."""
    mend: str | None = None
    """What would help; None where nothing has to."""


def probe() -> tuple[Finding, ...]:
    """Return what works of sound out, sound in and MIDI in, in this order."""
    return (
        _found("sound out", _sound_out),
        _found("sound in", _sound_in),
        _found("MIDI in", _midi_in),
    )


def _found(thing: Thing, look: Callable[[], Finding]) -> Finding:
    try:
        return within(LIMIT_S, look)
    except Hanging:
        return Finding(thing, False, f"no answer within {LIMIT_S:g} s", "restart the sound server")
    except NoSink as failure:
        return Finding(thing, False, failure.reason, failure.mend)
    except Exception as error:  # a driver's error of any kind is what is to be told here
        return Finding(thing, False, f"{type(error).__name__}: {error}", device_mend())


def _sound_out() -> Finding:
    found = Search().find(Feed(48_000))
    why, mend = (found.failure.reason, found.failure.mend) if found.failure else ("", None)
    if found.sink is None:
        return Finding("sound out", False, why, mend)
    name = found.sink.name
    told = f"{name}, {found.sink.rate / 1000:g} kHz stereo"
    found.sink.close()
    if why:
        told += f"; by {found.way}, since {why}"
    if others := [f'"{other}"' for other in _devices() if other != name]:
        told += f"; the setting `device` could also be {', '.join(others)}"
    return Finding("sound out", True, told, mend)


def _devices() -> list[str]:
    try:
        return output_names()
    except NoSink:
        return []


def _sound_in() -> Finding:
    return Finding("sound in", True, f"{default_input()}, 48 kHz")


def _midi_in() -> Finding:
    import mido

    try:
        ports = mido.get_input_names()
    except ImportError as error:
        return Finding("MIDI in", False, f"no MIDI library ({error})", midi_mend())
    except OSError as error:
        return Finding("MIDI in", False, f"no MIDI system ({error})", "load the sequencer: modprobe snd-seq")
    if not ports:
        return Finding("MIDI in", False, "no keyboard is connected", "connect one and switch it on")
    return Finding("MIDI in", True, ", ".join(ports))
