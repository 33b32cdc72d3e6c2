"""The way out: a port behind which stands a sound device, or a clock where there is none.

Ways in order: PortAudio, miniaudio, silence with the sound written to a file that is named.  A
device that goes away in mid-sound is followed by silence at once, which keeps time, so a drill goes
on; the devices are tried again with the next sound, and every few seconds while one goes on.  What
happened, and what would mend it, is one line.
"""

import atexit
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.outputs.collector import full_collections_wait
from synth.outputs.feed import RAMP_S, Feed, Round
from synth.outputs.limits import Hanging, within
from synth.outputs.rounds import frame_at, round_of
from synth.outputs.search import WAYS, Search
from synth.outputs.silent import SilentSink
from synth.outputs.sink import CLOSING_LIMIT_S, STALLED_S, NoSink, Sink
from synth.outputs.source import Source, Whole

Samples = NDArray[np.float32]

WATCH_S: Final = 0.05
"""How often the device is looked after."""

STOOD_STILL_S: Final = STALLED_S / 2
"""Not having looked for so long, the program was stopped by a shell, or the machine slept."""

AGAIN_S: Final = 2.0
"""After failing to find a device, the next sound does not look for it again for so long."""

RETURN_S: Final = 3.0
"""While a sound goes on in silence, a device is looked for this often."""

PATIENCE_S: Final = 0.5
"""So long a sound waits for a device that is being looked for; then it begins in silence."""


@dataclass(frozen=True, slots=True)
class Loop:
    """A stretch of a sound that goes round and round, each time as long to the frame."""

    from_s: float
    until_s: float


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
    def place_s(self) -> float | None:
        """Where in the sound the next frame stands that goes to the device; None when nothing is played."""

    @property
    def latency_s(self) -> float:
        """The device's own delay, as it tells it."""

    def lately(self) -> tuple[Samples, int]:
        """Return what was handed to the device in the last three seconds, (frames, 2), and its rate."""

    @property
    def dropouts(self) -> int:
        """How often the device, or what is played, was not served in time."""

    @property
    def volume(self) -> float:
        """The factor from 0 to 1 that everything played is multiplied by; it changes without a step."""

    @volume.setter
    def volume(self, wanted: float) -> None: ...

    def play(self, sound: Samples | Source, rate: int = 48_000, from_s: float = 0.0, loop: Loop | bool = False) -> None:
        """Play a sound from a time on and return at once; what sounds now is ramped out.

        Samples are (frames, 2) at the rate; a source has its own.  A loop, of all or of a stretch, goes round
        without a gap until something else is played or all is stopped.  Raises SoundError for another shape,
        a loop that can't be, or after `close`.
        """

    def go_over(self, source: Source, place: Callable[[float], float], loop: Loop | None = None) -> None:
        """Go on with another sound, at the place (in seconds) that belongs to where this one stands.

        It stays paused if it is.  Does nothing when nothing is played.
        """

    def seek(self, to_s: float) -> None:
        """Go on from another place; a loop that it lies behind is left."""

    def go_round(self, loop: Loop | None) -> None:
        """Go round in a stretch from now on (from its beginning, if the sound is past it), or no more."""

    @property
    def paused(self) -> bool:
        """Whether the sound is paused."""

    def pause(self) -> None:
        """Let the sound fall silent and stand where it is."""

    def resume(self) -> None:
        """Go on from there."""

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait until the sound has been heard to its end or was stopped; False if the time was up first.

        What is paused or goes round has no end.
        """

    def stop(self) -> None:
        """Ramp out whatever sounds."""

    def move(self, device: str | None) -> None:
        """Go on through another device, in mid-sound too; None is the system's own.  Takes its time.

        Raises SoundError where it can't be opened; the one before stays.
        """

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
        self._tried_at = self._lost_at = -AGAIN_S
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
    def place_s(self) -> float | None:
        place = self._feed.place
        return None if place is None else place[0] / self._feed.rate

    @property
    def latency_s(self) -> float:
        return self._sink.latency_s

    def lately(self) -> tuple[Samples, int]:
        feed = self._feed
        return feed.lately(), feed.rate

    @property
    def dropouts(self) -> int:
        return self._feed.gaps + self._sink.underflows

    @property
    def volume(self) -> float:
        return self._feed.volume

    @volume.setter
    def volume(self, wanted: float) -> None:
        self._feed.volume = wanted

    def play(self, sound: Samples | Source, rate: int = 48_000, from_s: float = 0.0, loop: Loop | bool = False) -> None:
        source = Whole(sound, rate) if isinstance(sound, np.ndarray) else sound
        round = _round(Loop(0.0, source.frames / source.rate) if loop is True else loop or None, source)
        if self._closing.is_set():
            raise SoundError("this way out has been closed")
        with self._changing:
            if source.rate != self._feed.rate:
                self._change_rate(source.rate)
            elif not self._sink.alive():
                self._lost()
        if time.monotonic() - self._tried_at >= AGAIN_S:
            self._look_again(PATIENCE_S)
        with self._changing:
            full_collections_wait(self, True)
            self._feed.play(source, min(max(frame_at(from_s, source), 0), source.frames), round)
            if isinstance(self._sink, SilentSink):
                self._sink.keep(source)

    def go_over(self, source: Source, place: Callable[[float], float], loop: Loop | None = None) -> None:
        rate = source.rate
        if rate != self._feed.rate:
            raise SoundError(f"a sound at {rate} Hz can't follow one at {self._feed.rate} Hz without a break")
        round = _round(loop, source)
        with self._changing:
            self._feed.go_over(source, lambda at: min(max(frame_at(place(at / rate), source), 0), source.frames), round)
            if isinstance(self._sink, SilentSink):
                self._sink.keep(source)

    def seek(self, to_s: float) -> None:
        source = self._feed.current
        if source is not None:
            self._feed.seek(min(max(frame_at(to_s, source), 0), source.frames))

    def go_round(self, loop: Loop | None) -> None:
        source = self._feed.current
        if source is not None:
            self._feed.go_round(_round(loop, source))

    @property
    def paused(self) -> bool:
        return self._feed.held

    def pause(self) -> None:
        self._feed.hold(True)

    def resume(self) -> None:
        self._feed.hold(False)

    def wait(self, timeout_s: float | None = None) -> bool:
        ended = self._feed.wait(timeout_s)
        if isinstance(self._sink, SilentSink) and ended:
            self._sink.settle()
        return ended

    def stop(self) -> None:
        self._feed.stop()

    def move(self, device: str | None) -> None:
        search = Search(WAYS, device)
        if self._looking.is_alive():
            self._looking.join(AGAIN_S)  # one that is being opened meanwhile could end what is opened here
        with self._changing:
            if self._closing.is_set():
                raise SoundError("this way out has been closed")
            old = self._sink
            try:
                new = search.exactly(self._feed, others_stay=not old.silent and old.alive())
            except NoSink as failure:
                raise SoundError(f"{failure.reason}; mend: {failure.mend}") from failure
            held, wait_s = self._feed.held, 0.0 if old.silent else RAMP_S + old.latency_s
            self._feed.hold(True)
            time.sleep(wait_s)  # what is on its way to the old one fades out there
            self._retire(old)  # one draws at a time, or frames would be lost between the two
            self._sink, self._search, self._told, self._tried_at = new, search, None, time.monotonic()
            self._feed.hold(held)
            new.begin()

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
        """Return a device, or the clock where there is none, that draws from the feed."""
        sink = self._device() or SilentSink(self._feed, self._wav_dir)
        sink.begin()
        return sink

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
        looked_at = judged_from = time.monotonic()
        while not self._closing.wait(WATCH_S):
            before, looked_at = looked_at, time.monotonic()
            if looked_at - before > STOOD_STILL_S:  # all of the program: the device could not ask for anything
                judged_from = looked_at + STALLED_S
            with self._changing:
                if looked_at >= judged_from and not self._sink.alive():
                    self._lost()
                full_collections_wait(self, self._feed.playhead_s is not None or self._feed.leaving)
            goes_on = self._feed.current is not None and not self._feed.held
            if goes_on and time.monotonic() - max(self._tried_at, self._lost_at) >= RETURN_S:
                self._look_again(0.0)
        deadline = time.monotonic() + 0.2
        while self._feed.leaving and self._sink.alive() and time.monotonic() < deadline:
            time.sleep(RAMP_S)
        full_collections_wait(self, False)
        self._sink.close()

    def _lost(self) -> None:
        """Go on in silence after a device that went away."""
        lost = self._sink
        self._told = f"the sound device {lost.name} went away; mend: bring it back, the next sound looks for it"
        silence = SilentSink(self._feed, self._wav_dir)
        silence.begin()
        self._sink = silence
        sound = self._feed.current
        if sound is not None:
            silence.keep(sound)
        self._lost_at, self._tried_at = time.monotonic(), -AGAIN_S
        threading.Thread(target=self._retire, args=(lost,), daemon=True).start()

    def _change_rate(self, rate: int) -> None:
        """Go on with a device at another rate."""
        volume = self._feed.volume
        self._retire(self._sink)
        self._feed = Feed(rate)
        self._feed.volume = volume
        self._sink = self._opened()

    def _look_again(self, patience_s: float) -> None:
        """Look for a device after a silence; one that is slow to answer comes in when it does."""
        if not self._sink.silent or self._looking.is_alive() or self._search.idle:
            return
        self._looking = threading.Thread(target=self._return, daemon=True)
        self._looking.start()
        self._looking.join(patience_s)

    def _return(self) -> None:
        """Put a device in the place of silence, if there is one again."""
        silence, was_told = self._sink, self._told
        found = self._device()
        if found is None:
            self._told = was_told
            return
        with self._changing:
            if self._sink is silence and not self._closing.is_set():
                assert isinstance(silence, SilentSink)
                silence.stop()  # one draws at a time, or frames would be lost between the two
                found.begin()
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


def _round(loop: Loop | None, source: Source) -> Round | None:
    return None if loop is None else round_of(loop.from_s, loop.until_s, source)
