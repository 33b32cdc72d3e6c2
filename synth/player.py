"""Plays scores through a way out: from any place, round and round, paused, at another tempo, some parts alone.

A thread makes what is to sound next; whatever is asked for is made before it is gone to, so nothing waits
and nothing breaks off.
"""

import threading
from collections.abc import Callable
from typing import Final

from synth.level import gain_of
from synth.meter import Meter, meter_at
from synth.output import Loop, Output
from synth.outputs.feed import RAMP_S
from synth.reel import AHEAD_S, Reel
from synth.score import Part, Score

RATE_HZ: Final = 48_000

MEASURED_S: Final = 60.0
"""So much of a long tune tells how loud it is, for it is to begin at once."""

TURN_S: Final = 0.2
"""How often it is looked what to make next; much sooner than what is made has been heard."""

AT_ONCE_S: Final = 0.5
"""So much is made before it is gone to a place."""

OPEN_S: Final = 0.3
"""So much beyond what is handed out next is made where a change takes effect: time goes by meanwhile."""


class Player:
    """One score at a time, changed while it sounds.  Close it, then the way out."""

    def __init__(self, output: Output, a4_hz: float = 440.0, room: float = 0.0, rate: int = RATE_HZ) -> None:
        """`room` is how much of a small room stands around the sound, from 0 to 1 (synth.room)."""
        self.output = output
        self._a4_hz = a4_hz
        self._room = room
        self._rate = rate
        self._changing = threading.RLock()
        self._wake = threading.Event()
        self._closing = False
        self._maker = threading.Thread(target=self._make, daemon=True)
        self._score: Score | None = None
        self._parts: frozenset[Part] | None = None
        self._gain = 1.0
        self._reel: Reel | None = None
        self._loop: Loop | None = None

    def play(
        self, score: Score, from_s: float = 0.0, loop: Loop | None = None, parts: frozenset[Part] | None = None
    ) -> None:
        """Begin a score at a place, at once; what sounds now falls silent. `parts`: only these sound.

        Raises SoundError for a score that can't be played and a loop that can't be.
        """
        with self._changing:
            self._gain = gain_of(score, self._a4_hz, room=self._room, most_s=MEASURED_S)
            reel = self._made(score, parts)
            begin = max(from_s - RAMP_S, 0.0)  # it rises before the place, so that what begins there is whole
            self._prepare(reel, begin, loop)
            self.output.play(reel, from_s=begin, loop=loop or False)
            self._goes_on(reel, score, parts, loop)

    def change(self, score: Score, place: Callable[[float], float], loop: Loop | None = None) -> None:
        """Go over to another score, without a click and at the same level.

        `place` gives for a time in this score, in seconds, the time in the other that belongs to it; the device
        waits meanwhile, so it must be quick.  What is paused stays so, and the parts stay.
        """
        with self._changing:
            at_s = self.output.place_s
            if at_s is None:
                return
            reel = self._made(score, self._parts)
            self._prepare(reel, place(at_s), loop, OPEN_S)
            self.output.go_over(reel, place, loop)
            self._goes_on(reel, score, self._parts, loop)

    def solo(self, parts: frozenset[Part] | None) -> None:
        """Let only these parts sound from now on (None: all), as loud as they were among the others."""
        with self._changing:
            at_s = self.output.place_s
            if self._score is None or at_s is None or parts == self._parts:
                return
            reel = self._made(self._score, parts)
            self._prepare(reel, at_s, self._loop, OPEN_S)
            self.output.go_over(reel, _same, self._loop)
            self._goes_on(reel, self._score, parts, self._loop)

    def seek(self, to_s: float) -> None:
        """Go on from another place; a loop that it lies behind is left."""
        with self._changing:
            if self._reel is None or self.output.place_s is None:
                return
            begin = max(to_s - RAMP_S, 0.0)
            self._prepare(self._reel, begin, None)
            self.output.seek(begin)
            if self._loop is not None and begin >= self._loop.until_s:
                self._loop = None
            self._wake.set()

    def loop(self, stretch: Loop | None) -> None:
        """Go round in a stretch from now on (from its beginning, if the sound is past it), or no more."""
        with self._changing:
            at_s = self.output.place_s
            if self._reel is None or at_s is None:
                return
            self._prepare(self._reel, at_s, stretch, OPEN_S)
            self.output.go_round(stretch)
            self._loop = stretch
            self._wake.set()

    def pause(self) -> None:
        """Let the sound fall silent and stand where it is."""
        self.output.pause()

    def resume(self) -> None:
        """Go on from there."""
        self.output.resume()

    @property
    def paused(self) -> bool:
        """Whether the sound is paused."""
        return self.output.paused

    @property
    def looping(self) -> Loop | None:
        """The stretch that goes round, if any."""
        return self._loop if self.output.place_s is not None else None

    @property
    def playhead_s(self) -> float | None:
        """Where in the score the listener is; None when nothing is heard."""
        return self.output.playhead_s

    @property
    def place_s(self) -> float | None:
        """Where in the score what is handed out next stands: what a step from here starts from."""
        return self.output.place_s

    def meter(self) -> Meter:
        """Return the meter as it stands after the last three seconds of what was sent out, volume and all."""
        samples, rate = self.output.lately()
        return meter_at(rate).add(samples)

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait until the sound has been heard to its end or was stopped; False if the time was up first."""
        return self.output.wait(timeout_s)

    def stop(self) -> None:
        """Let whatever sounds fall silent."""
        self.output.stop()

    def close(self) -> None:
        """Stop, and make nothing more; the way out stays open."""
        self.output.stop()
        self._closing = True
        self._wake.set()
        if self._maker.is_alive():
            self._maker.join()

    def _made(self, score: Score, parts: frozenset[Part] | None) -> Reel:
        return Reel(score, self._rate, self._a4_hz, parts, self._gain, self._room)

    def _prepare(self, reel: Reel, from_s: float, loop: Loop | None, more_s: float = 0.0) -> None:
        """Make what is heard first, from a place on and from the loop's beginning on."""
        begin = round((from_s - 2 * RAMP_S) * self._rate)
        reel.prepare(begin, begin + round((AT_ONCE_S + more_s) * self._rate))
        if loop is not None and from_s + AT_ONCE_S + more_s > loop.until_s:
            begin = round((loop.from_s - 2 * RAMP_S) * self._rate)
            reel.prepare(begin, begin + round((AT_ONCE_S + more_s) * self._rate))

    def _goes_on(self, reel: Reel, score: Score, parts: frozenset[Part] | None, loop: Loop | None) -> None:
        self._reel, self._score, self._parts, self._loop = reel, score, parts, loop
        if self._maker.ident is None:
            self._maker.start()
        self._wake.set()

    def _make(self) -> None:
        """Make what is to sound next, until all is closed."""
        while not self._closing:
            reel, loop, at_s = self._reel, self._loop, self.output.place_s
            if reel is not None and at_s is not None:
                self._make_ahead(reel, loop, at_s)
            self._wake.wait(TURN_S)
            self._wake.clear()

    def _make_ahead(self, reel: Reel, loop: Loop | None, at_s: float) -> None:
        """Make the nearest piece that is missing first; what is asked for meanwhile comes before the rest."""
        stretches = [(at_s, at_s + AHEAD_S)]
        if loop is not None:
            stretches.append((loop.from_s - 2 * RAMP_S, loop.from_s + AHEAD_S))
        for begin_s, end_s in stretches:
            begin, end = round(begin_s * self._rate), round(end_s * self._rate)
            for at in range(max(begin, 0), end, reel.piece_frames):
                if self._closing or self._reel is not reel:
                    return
                reel.prepare(at, min(at + reel.piece_frames, end))
        reel.keep_near(*(round(begin_s * self._rate) for begin_s, _ in stretches))


def _same(at_s: float) -> float:
    return at_s
