"""A microphone through PortAudio, by sounddevice.

The library is loaded on first use, and never begun anew while a stream is open here (`held`).  What comes in
lies for LATELY_S in a ring that is written over again and again; it goes nowhere else, and is wiped at the end.

It is read by a thread of ours and not by a callback: when the sound server dies under an input's callback,
PortAudio's own thread turns round and round without end, writes some 60 MB a second to file descriptor 2 and can't
be stopped (19.6.0 through ALSA, found by trying); a read raises.
"""

import threading
import time
from contextlib import ExitStack, suppress
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from synth.outputs.limits import Hanging, within
from synth.outputs.mends import device_mend
from synth.outputs.portaudio import held, library, told, turn
from synth.outputs.sink import CLOSING_LIMIT_S, OPENING_LIMIT_S, STALLED_S, NoSink

Samples = NDArray[np.float32]

RATE_HZ: Final = 48_000
LATENCY_S: Final = 0.1
"""Asked of the device: a meter needs no quicker answer."""
LATELY_S: Final = 0.3
"""So much of what was heard is there at any time (an integration of 300 ms, as level meters for speech have it)."""
AT_ONCE: Final = 1024
"""Frames that are read at once: some 20 ms."""

_stuck: list[threading.Thread] = []
"""Threads whose call into the library has not come back."""


class Capture:
    """A stream from the system's own microphone."""

    def __init__(self) -> None:
        """Open and start the stream; raises NoSink.  May hang."""
        self._ring = np.zeros(round(LATELY_S * RATE_HZ), dtype=np.float32)
        self._written = 0
        self._over = False
        self._came_at = time.monotonic()
        self._holding = ExitStack()
        self._holding.enter_context(held())
        try:
            with turn:
                self._open(library())
        except BaseException:
            self._holding.close()
            raise
        self._reader = threading.Thread(target=self._listen, daemon=True)
        self._reader.start()

    def _open(self, sounddevice: Any) -> None:
        try:
            self._stream = sounddevice.InputStream(samplerate=RATE_HZ, channels=1, dtype="float32", latency=LATENCY_S)
            self.name = str(sounddevice.query_devices(self._stream.device)["name"])
            self._stream.start()
        except (ValueError, sounddevice.PortAudioError) as error:
            raise NoSink(f"no microphone ({told(error)})", device_mend()) from error
        self._fault: type[Exception] = sounddevice.PortAudioError

    def _listen(self) -> None:
        """Read until it is closed or goes away, then end the stream."""
        try:
            while not self._over:
                came, _ = self._stream.read(AT_ONCE)
                self._take(came[:, 0])
        except self._fault:
            pass
        finally:
            self._over = True
            with turn, suppress(self._fault):
                self._stream.abort()
                self._stream.close()
            self._ring.fill(0.0)
            self._holding.close()

    def _take(self, came: Samples) -> None:
        self._came_at = time.monotonic()
        new, size = came[-len(self._ring) :], len(self._ring)
        first = min(len(new), size - self._written)
        self._ring[self._written : self._written + first] = new[:first]
        self._ring[: len(new) - first] = new[first:]
        self._written = (self._written + len(new)) % size

    def lately(self) -> Samples:
        """What came in the last LATELY_S, in any order: a level is all it is good for."""
        return self._ring.copy()

    def alive(self) -> bool:
        """Say whether the device has given anything lately."""
        return not self._over and time.monotonic() - self._came_at < STALLED_S

    def close(self) -> None:
        """End the stream, in limited time, and wipe what it gave."""
        self._over = True
        self._reader.join(CLOSING_LIMIT_S)
        if self._reader.is_alive():
            _stuck.append(self._reader)


def open_capture() -> Capture:
    """Return a stream from the system's own microphone; raises NoSink."""
    _stuck[:] = [thread for thread in _stuck if thread.is_alive()]
    if _stuck:
        raise NoSink("the sound system hangs", "restart the sound server")
    try:
        return within(OPENING_LIMIT_S, Capture, Capture.close)
    except Hanging as hanging:
        _stuck.append(hanging.thread)
        raise NoSink(f"the sound system hangs ({hanging})", "restart the sound server") from hanging
