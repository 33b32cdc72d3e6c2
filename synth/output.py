"""The way out: a port behind which stands a sound device, or a clock where there is none.

Ways in order: PortAudio, miniaudio, silence with the sound written to a file that is named.  A
device that goes away in mid-sound is followed by silence at once, which keeps time, so a drill goes
on; the next sound tries the devices again.  What happened, and what would mend it, is one line.
"""

import atexit
import threading
import time
from pathlib import Path
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.outputs.feed import RAMP_S, Feed
from synth.outputs.limits import Hanging, within
from synth.outputs.search import WAYS, Search
from synth.outputs.silent import SilentSink
from synth.outputs.sink import CLOSING_LIMIT_S, Sink

Samples = NDArray[np.float32]

WATCH_S: Final = 0.05
"""How often the device is looked after."""

AGAIN_S: Final = 2.0
"""After failing to find a device, it is not looked for again for so long."""

PATIENCE_S: Final = 0.5
"""So long a sound waits for a device that is being looked for; then it begins in silence."""


class Output(Protocol):
    """What plays a sound."""

    @property
    def name(self) -> str:
        """What the player knows the device by."""

    @property
    def remark(self) -> str | None:
        """What the player should know, in one line: what happened and what would mend it."""

    @property
    def silent(self) -> bool:
        """Whether nothing can be heard."""

    @property
    def playhead_s(self) -> float | None:
        """Where in the sound the listener is, the device's delay taken off; None when nothing sounds."""

    @property
    def volume(self) -> float:
        """The factor from 0 to 1 that everything played is multiplied by; it changes without a step."""

    @volume.setter
    def volume(self, wanted: float) -> None: ...

    def play(self, samples: Samples, rate: int = 48_000, from_s: float = 0.0, loop: bool = False) -> None:
        """Play a sound (frames, 2) from a time on and return at once; what sounds now is ramped out.

        A loop goes round without a gap until something else is played or all is stopped.
        """

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait until the sound has been heard to its end or was stopped; False if the time was up first."""

    def stop(self) -> None:
        """Ramp out whatever sounds."""

    def close(self) -> None:
        """Ramp out and let go of the device, in limited time."""


def open_output(prefer: str | None = None, wav_dir: Path | None = None) -> Output:
    """Return the first way out that works, however little there is.

    `prefer` names a way to begin with (one of WAYS) or a device as PortAudio lists it; `wav_dir` is
    where unheard sounds go, a temporary folder if None.
    """
    device = None if prefer is None or prefer in WAYS else prefer
    first = WAYS.index(prefer) if prefer in WAYS else 0
    return _Outlet(Search(WAYS[first:], device), wav_dir)


class _Outlet:
    """A feed, the sink that draws from it at present, and a thread that looks after both."""

    def __init__(self, search: Search, wav_dir: Path | None) -> None:
        self._search = search
        self._wav_dir = wav_dir
        self._told: str | None = None
        self._tried_at = -AGAIN_S
        self._changing = threading.RLock()
        self._closing = threading.Event()
        self._looking = threading.Thread()
        self._feed = Feed(48_000)
        self._sink: Sink = self._opened()
        self._keeper = threading.Thread(target=self._keep, daemon=True)
        self._keeper.start()
        atexit.register(self.close)

    @property
    def name(self) -> str:
        return self._sink.name

    @property
    def silent(self) -> bool:
        return self._sink.silent

    @property
    def remark(self) -> str | None:
        sink = self._sink
        if isinstance(sink, SilentSink):
            kept = f"what should sound is in {sink.path}"
            if sink.trouble is not None:
                kept = f"and it can't be kept in a file ({sink.trouble})"
            return f"no sound: {self._told or 'asked for'}; {kept}"
        return self._told

    @property
    def playhead_s(self) -> float | None:
        return self._feed.playhead_s

    @property
    def volume(self) -> float:
        return self._feed.volume

    @volume.setter
    def volume(self, wanted: float) -> None:
        self._feed.volume = wanted

    def play(self, samples: Samples, rate: int = 48_000, from_s: float = 0.0, loop: bool = False) -> None:
        sound = np.ascontiguousarray(samples, dtype=np.float32)
        if sound.ndim != 2 or sound.shape[1] != 2:
            raise SoundError(f"a sound of shape {samples.shape}; expected (frames, 2)")
        if self._closing.is_set():
            raise SoundError("this way out has been closed")
        with self._changing:
            if rate != self._feed.rate:
                self._change_rate(rate)
            elif not self._sink.alive():
                self._lost()
        self._look_again()
        with self._changing:
            self._feed.play(sound, min(max(round(from_s * rate), 0), len(sound)), loop)
            if isinstance(self._sink, SilentSink):
                self._sink.keep(sound)

    def wait(self, timeout_s: float | None = None) -> bool:
        ended = self._feed.wait(timeout_s)
        if isinstance(self._sink, SilentSink) and ended:
            self._sink.settle()
        return ended

    def stop(self) -> None:
        self._feed.stop()

    def close(self) -> None:
        if self._closing.is_set():
            return
        atexit.unregister(self.close)
        self._feed.stop()
        self._closing.set()
        self._keeper.join(CLOSING_LIMIT_S + 4 * RAMP_S)
        if self._keeper.is_alive():
            self._sink.leave_behind(self._keeper)

    def _opened(self) -> Sink:
        """Return a device, or the clock where there is none."""
        return self._device() or SilentSink(self._feed, self._wav_dir)

    def _device(self) -> Sink | None:
        """Return the first device that opens, and remember why others did not."""
        found = self._search.find(self._feed)
        self._tried_at = time.monotonic()
        self._told = None
        if found.failure is not None:
            instead = "" if found.sink is None else f"sound goes through {found.way}: "
            self._told = f"{instead}{found.failure.reason}; mend: {found.failure.mend}"
        return found.sink

    def _keep(self) -> None:
        """Look after the sink until all is closed."""
        while not self._closing.wait(WATCH_S):
            with self._changing:
                if not self._sink.alive():
                    self._lost()
        deadline = time.monotonic() + 0.2
        while self._feed.leaving and self._sink.alive() and time.monotonic() < deadline:
            time.sleep(RAMP_S)
        self._sink.close()

    def _lost(self) -> None:
        """Go on in silence after a device that went away."""
        lost = self._sink
        self._told = f"the sound device {lost.name} went away; mend: bring it back, the next sound looks for it"
        silence = SilentSink(self._feed, self._wav_dir)
        self._sink = silence
        sound = self._feed.current
        if sound is not None:
            silence.keep(sound)
        self._tried_at = -AGAIN_S
        threading.Thread(target=self._retire, args=(lost,), daemon=True).start()

    def _change_rate(self, rate: int) -> None:
        """Go on with a device at another rate."""
        volume = self._feed.volume
        self._retire(self._sink)
        self._feed = Feed(rate)
        self._feed.volume = volume
        self._sink = self._opened()

    def _look_again(self) -> None:
        """Look for a device after a silence; one that is slow to answer comes in when it does."""
        if not self._sink.silent or self._looking.is_alive() or time.monotonic() - self._tried_at < AGAIN_S:
            return
        self._looking = threading.Thread(target=self._return, daemon=True)
        self._looking.start()
        self._looking.join(PATIENCE_S)

    def _return(self) -> None:
        """Put a device in the place of silence, if there is one again."""
        silence, was_told = self._sink, self._told
        found = self._device()
        if found is None:
            self._told = was_told
            return
        with self._changing:
            if self._sink is silence and not self._closing.is_set():
                self._sink, found = found, silence
                self._told = self._told or f"the sound is back: {self._sink.name}"
        self._retire(found)

    @staticmethod
    def _retire(sink: Sink) -> None:
        """Close a sink, or leave it behind if that hangs."""
        try:
            within(CLOSING_LIMIT_S, sink.close)
        except Hanging as hanging:
            sink.leave_behind(hanging.thread)
