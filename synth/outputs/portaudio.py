"""Sound through PortAudio, by sounddevice: the first choice.

The library is loaded on first use.  A missing one raises OSError at import, an unknown device
ValueError; when the sound server dies `finished_callback` comes and nothing else; when it hangs,
every call on the stream hangs with it, so each is made with a limit, and the time of the last
callback tells.  New devices are seen only after the library has been ended and begun again.
"""

import atexit
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from synth.outputs.converter import Converter
from synth.outputs.feed import Feed
from synth.outputs.limits import Hanging, within
from synth.outputs.mends import device_mend, library_mend
from synth.outputs.sink import CLOSING_LIMIT_S, OPENING_LIMIT_S, STALLED_S, NoSink

LATENCY_S: Final = 0.1
"""Asked of the device: an ear trainer needs no quick answer but may not stutter."""

INVALID_RATE: Final = -9997
"""PortAudio's number for a rate that a device doesn't take (portaudio.h, from memory)."""

turn = threading.Lock()
"""The library is begun, opened and closed by one thread at a time: two at once can lock up for good."""
_stuck: list[threading.Thread] = []
"""Threads whose call into the library has not come back."""
_end_at_exit = False
_begun = False
_held = 0


@contextmanager
def held() -> Iterator[None]:
    """Keep the library from being begun anew, which would end every open stream (a microphone's)."""
    global _held
    _held += 1
    try:
        yield
    finally:
        _held -= 1


def library() -> Any:
    """Return the sounddevice module; raises NoSink where PortAudio is missing.  May hang."""
    global _end_at_exit
    try:
        import sounddevice
    except (OSError, ImportError) as error:
        raise NoSink(f"PortAudio can't be loaded ({error})", library_mend(), lasting=True) from error
    if not _end_at_exit:
        _end_at_exit = True
        _take_over_exit(sounddevice)
    return sounddevice


def _take_over_exit(sounddevice: Any) -> None:
    """End the library at the interpreter's exit with a limit; its own handler has none."""
    leaving = threading.Event()

    def end() -> None:
        leaving.wait()
        with turn:
            sounddevice._exit_handler()

    # The thread is there beforehand, as none can be started during exit.
    thread = threading.Thread(target=end, daemon=True)
    thread.start()

    def leave() -> None:
        leaving.set()
        thread.join(CLOSING_LIMIT_S)

    atexit.unregister(sounddevice._exit_handler)
    atexit.register(leave)


def default_input() -> str:
    """Return the microphone's name; raises NoSink.  May hang."""
    with turn:
        sounddevice = library()
        try:
            name = str(sounddevice.query_devices(kind="input")["name"])
            sounddevice.check_input_settings(channels=1, samplerate=48_000)
        except (ValueError, sounddevice.PortAudioError) as error:
            raise NoSink(f"no microphone ({told(error)})", device_mend()) from error
    return name


def output_names(anew: bool = False) -> list[str]:
    """Return the devices that can be asked for by name; raises NoSink.  May hang.

    One that several host systems have stands with each of their names.  anew: devices that came since are seen;
    no stream may be open then but a held one, which forbids it.
    """
    with turn:
        sounddevice = library()
        if anew:
            _begin_anew(sounddevice)
        systems = [str(system["name"]) for system in sounddevice.query_hostapis()]
        found = [one for one in sounddevice.query_devices() if one["max_output_channels"] >= 2]
    names = [str(one["name"]) for one in found]
    return [
        name if names.count(name) == 1 else f"{name}, {systems[one['hostapi']]}"
        for name, one in zip(names, found, strict=True)
    ]


def told(error: Exception) -> str:
    """Return PortAudio's own words for an error, or better ones where it has no device at all."""
    words = str(error.args[0])
    return "no such device" if "device -1" in words else words


def _begin_anew(sounddevice: Any) -> None:
    """Let PortAudio look for devices again."""
    global _begun
    if _begun and not _held:
        sounddevice._terminate()
        sounddevice._initialize()
    _begun = True


class PortAudioSink:
    """A stream to a PortAudio device."""

    silent = False

    def __init__(self, feed: Feed, device: str | None) -> None:
        """Open and start the stream.  May hang."""
        self._feed = feed
        self._drawn: Feed | Converter = feed
        self.underflows = 0
        self._sounded = False
        """Whether what was drawn last was more than silence, so that its end too soon could be heard."""
        self._begun = self._over = False
        with turn:
            self._open(library(), device)

    def _open(self, sounddevice: Any, device: str | None) -> None:
        self._drawn_at = time.monotonic()
        try:
            _begin_anew(sounddevice)
            self._stream = self._stream_at(sounddevice, device)
            self.latency_s = float(self._stream.latency)
            self.rate = self._drawn.rate
            self.name = str(sounddevice.query_devices(self._stream.device)["name"])
            self._stream.start()
        except ValueError as error:
            raise NoSink(f"PortAudio: {error}", device_mend()) from error
        except sounddevice.PortAudioError as error:
            raise NoSink(f"PortAudio: {told(error)}", device_mend()) from error

    def _stream_at(self, sounddevice: Any, device: str | None) -> Any:
        """The stream, at the device's own rate if it takes no other."""

        def stream() -> Any:
            return sounddevice.OutputStream(
                samplerate=self._drawn.rate, channels=2, dtype="float32", device=device, latency=LATENCY_S,
                callback=self._fill, finished_callback=self._finish,
            )  # fmt: skip

        try:
            return stream()
        except sounddevice.PortAudioError as error:
            own = round(sounddevice.query_devices(device, "output")["default_samplerate"])
            if INVALID_RATE not in error.args or own == self._drawn.rate:
                raise
            self._drawn = Converter(self._feed, own)
            return stream()

    def _fill(self, out: NDArray[np.float32], frames: int, at: Any, status: Any) -> None:
        self._drawn_at = time.monotonic()
        if self._over or not self._begun:  # given up, but awake before it is closed, or not yet in its place
            out.fill(0.0)
            return
        latency_s = at.outputBufferDacTime - at.currentTime
        if status and status.output_underflow and self._sounded:
            self.underflows += 1
        self._sounded = self._feed.sounds
        self._drawn.fill(out, latency_s if 0.0 < latency_s < 2.0 else self.latency_s)

    def begin(self) -> None:
        """Draw from now on."""
        self._begun = True

    def _finish(self) -> None:
        self._over = True

    def alive(self) -> bool:
        """Say whether the device has asked for frames lately."""
        return not self._over and time.monotonic() - self._drawn_at < STALLED_S

    def close(self) -> None:
        """End the stream.  May hang."""
        self._over = True
        with turn:
            self._stream.abort()
            self._stream.close()

    def leave_behind(self, closing: threading.Thread) -> None:
        """Give up a stream whose closing hangs."""
        _stuck.append(closing)


def open_portaudio(feed: Feed, device: str | None = None) -> PortAudioSink:
    """Return a stream that draws from the feed; raises NoSink."""
    _stuck[:] = [thread for thread in _stuck if thread.is_alive()]
    if _stuck:
        raise NoSink("the sound system hangs", "restart the sound server")
    try:
        return within(OPENING_LIMIT_S, lambda: PortAudioSink(feed, device), PortAudioSink.close)
    except Hanging as hanging:
        _stuck.append(hanging.thread)
        raise NoSink(f"the sound system hangs ({hanging})", "restart the sound server") from hanging
