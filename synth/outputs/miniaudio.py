"""Sound through miniaudio, which carries its own player: the second choice on Linux.

It plays to PulseAudio, PipeWire's likeness of it, ALSA or JACK without any library to install.
Only real backends are asked, since the library would otherwise play to nowhere without a word.
"""

import threading
import time
from collections.abc import Generator
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from synth.outputs.feed import Feed
from synth.outputs.limits import Hanging, within
from synth.outputs.mends import device_mend
from synth.outputs.sink import OPENING_LIMIT_S, STALLED_S, NoSink

PERIOD_MS: Final = 40
LATENCY_S: Final = 3 * PERIOD_MS / 1000
"""The library keeps three periods on the way."""

_stuck: list[threading.Thread] = []


def _library() -> Any:
    try:
        import miniaudio
    except (ImportError, OSError) as error:
        raise NoSink(f"miniaudio can't be loaded ({error})", "pip install miniaudio", lasting=True) from error
    return miniaudio


class MiniaudioSink:
    """A device that miniaudio found."""

    silent = False
    latency_s = LATENCY_S
    underflows = 0
    """The library doesn't tell."""

    def __init__(self, feed: Feed) -> None:
        """Open and start the device.  May hang."""
        miniaudio = _library()
        self._feed = feed
        self.rate = feed.rate
        self._begun = self._over = False
        self._drawn_at = time.monotonic()
        real = [backend for backend in miniaudio.Backend if backend.name not in ("NULL", "CUSTOM")]
        try:
            self._device = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.FLOAT32, nchannels=2, sample_rate=feed.rate,
                buffersize_msec=PERIOD_MS, backends=real,
            )  # fmt: skip
            frames = self._frames()
            next(frames)
            self._device.start(frames)
        except miniaudio.MiniaudioError as error:
            raise NoSink(f"miniaudio: {error.args[0]}", device_mend()) from error
        self.name = f"{self._device.backend}, default device"

    def _frames(self) -> Generator[bytes | NDArray[np.float32], int, None]:
        wanted = yield b""
        while True:
            self._drawn_at = time.monotonic()
            out = np.empty((wanted, 2), dtype=np.float32)
            if self._over or not self._begun:  # given up, but awake before it is closed, or not yet in its place
                out.fill(0.0)
            else:
                self._feed.fill(out, LATENCY_S)
            wanted = yield out

    def begin(self) -> None:
        """Draw from now on."""
        self._begun = True

    def alive(self) -> bool:
        """Say whether the device has asked for frames lately."""
        return time.monotonic() - self._drawn_at < STALLED_S

    def close(self) -> None:
        """End the device.  May hang."""
        self._over = True
        self._device.close()

    def leave_behind(self, closing: threading.Thread) -> None:
        """Give up a device whose closing hangs."""
        _stuck.append(closing)


def open_miniaudio(feed: Feed) -> MiniaudioSink:
    """Return a device that draws from the feed; raises NoSink."""
    _stuck[:] = [thread for thread in _stuck if thread.is_alive()]
    if _stuck:
        raise NoSink("the sound system hangs", "restart the sound server")
    try:
        return within(OPENING_LIMIT_S, lambda: MiniaudioSink(feed), MiniaudioSink.close)
    except Hanging as hanging:
        _stuck.append(hanging.thread)
        raise NoSink(f"the sound system hangs ({hanging})", "restart the sound server") from hanging
