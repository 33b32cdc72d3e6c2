"""What a device is fed with: prepared sound, copied piece by piece.

A sink (a device's callback, or a clock) asks for frames and gets them; what is to sound is changed
from any other thread.  Nothing jumps: what is replaced, left or stopped falls over RAMP_S along a
raised cosine while what follows sounds or rises, a loop that is cut out of a sound is led over its seam
in the same way, and a change of volume goes over one block.  A sound played from its beginning to its
end is copied unchanged.

A sound whose next frames aren't made in time is held as if it were paused, and goes on when they are;
that is counted.
"""

import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.outputs.source import Source

Samples = NDArray[np.float32]

RAMP_S: Final = 0.01

ENOUGH_S: Final = 0.25
"""So much has to be made before a sound that was held goes on."""

REMEMBERED: Final = 512
"""Pieces handed out lately, to know which of them is being heard."""

LATELY_S: Final = 3.0
"""So much of what was handed out is kept, to see how loud it is."""

LARGEST: Final = 4096
"""Frames that are worked on at once."""


@dataclass(frozen=True, slots=True)
class Round:
    """A stretch of frames that goes round and round, from one up to another."""

    begin: int
    end: int


@dataclass(slots=True, eq=False)
class _Voice:
    """A sound on its way out."""

    source: Source
    at: int
    """The next frame to hand out."""
    round: Round | None
    gain: int
    """How far it has risen, in frames of the ramp."""
    begun: bool = False
    """Whether any of it has been handed out."""


@dataclass(frozen=True, slots=True)
class _Handed:
    """Frames that were handed out; none where the sound was held."""

    heard_at: float
    """When the first of them is heard, by the monotonic clock."""
    begin: int
    end: int


class Feed:
    """Hands out frames at one rate; one sink draws from it at a time."""

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self.gaps = 0
        """How often a sound was held because its next frames weren't made in time."""
        self.ramp = max(round(RAMP_S * rate), 1)
        """Frames over which a sound rises or falls."""
        rise = 0.5 - 0.5 * np.cos(np.pi * np.arange(self.ramp + 1) / self.ramp)
        self._rise = rise.astype(np.float32)[:, None]
        self._spare = np.zeros((LARGEST, 2), dtype=np.float32)
        self._other = np.zeros((LARGEST, 2), dtype=np.float32)
        self._lately = np.zeros((round(LATELY_S * rate), 2), dtype=np.float32)
        self._written = 0
        """The frame of it that is written next."""
        self._changed = threading.Condition()
        self._voice: _Voice | None = None
        self._leaving: list[_Voice] = []
        self._held = self._starved = False
        self._volume = self._wanted_volume = 1.0
        self._handed: deque[_Handed] = deque(maxlen=REMEMBERED)
        self._silent_from = 0.0

    # What is to sound, said by any thread.

    def play(self, source: Source, at: int = 0, round: Round | None = None) -> None:
        """Let a sound follow at once, from one of its frames on; it rises unless that is its first."""
        with self._changed:
            self._leave()
            self._handed.clear()
            self._silent_from = 0.0
            self._held = self._starved = False
            if source.frames:
                self._voice = _Voice(source, at, round, 0 if at else self.ramp)
            self._changed.notify_all()

    def stop(self) -> None:
        """Let whatever sounds fall silent."""
        with self._changed:
            self._leave()
            self._handed.clear()
            self._silent_from = 0.0
            self._changed.notify_all()

    def seek(self, at: int) -> None:
        """Go on from another frame; a round that it lies behind is left."""
        with self._changed:
            if (voice := self._voice) is not None:
                round = voice.round if voice.round is not None and at < voice.round.end else None
                self._go_over(_Voice(voice.source, at, round, 0))

    def go_over(self, source: Source, place: Callable[[int], int], round: Round | None = None) -> None:
        """Go on with another sound, at the place that belongs to the next frame; held if this one is."""
        with self._changed:
            if (voice := self._voice) is not None:
                self._go_over(_Voice(source, place(voice.at), round, 0))
                self._handed.clear()

    def go_round(self, round: Round | None) -> None:
        """Go round in a stretch from now on, from its beginning if the sound is past it already; or no more."""
        with self._changed:
            if (voice := self._voice) is not None and voice.round != round:
                at = round.begin if round is not None and voice.at >= round.end else voice.at
                self._go_over(_Voice(voice.source, at, round, 0))

    def hold(self, held: bool) -> None:
        """Pause, or go on from there."""
        with self._changed:
            self._held = held

    def _go_over(self, voice: _Voice) -> None:
        self._leave()
        self._voice = voice

    def _leave(self) -> None:
        if self._voice is not None and self._voice.begun and self._voice.gain:
            self._leaving.append(self._voice)
        self._voice = None

    @property
    def volume(self) -> float:
        """The factor that what is played is multiplied by."""
        return self._wanted_volume

    @volume.setter
    def volume(self, wanted: float) -> None:
        with self._changed:
            self._wanted_volume = min(max(wanted, 0.0), 1.0)
            if self._voice is None and not self._leaving:
                self._volume = self._wanted_volume  # nothing sounds that a step could be heard in

    # What sounds.

    @property
    def current(self) -> Source | None:
        """The sound that is being played, if any."""
        voice = self._voice
        return None if voice is None else voice.source

    @property
    def place(self) -> tuple[int, Round | None] | None:
        """The frame that is handed out next and the round it is in; None when nothing is played."""
        voice = self._voice
        return None if voice is None else (voice.at, voice.round)

    @property
    def held(self) -> bool:
        """Whether the sound is paused."""
        return self._held and self._voice is not None

    @property
    def leaving(self) -> bool:
        """Whether something is still falling silent."""
        return bool(self._leaving)

    @property
    def sounds(self) -> bool:
        """Whether the frames handed out next are more than silence."""
        voice = self._voice
        return bool(self._leaving) or (voice is not None and not (self._held and not voice.gain))

    @property
    def playhead_s(self) -> float | None:
        """Where in the sound the listener is; None when nothing is heard."""
        with self._changed:
            now = time.monotonic()
            if self._voice is None and now >= self._silent_from:
                return None
            for handed in reversed(self._handed):
                if handed.heard_at <= now:
                    return min(handed.begin + (now - handed.heard_at) * self.rate, handed.end) / self.rate
            at = self._handed[0].begin if self._handed else self._voice.at if self._voice is not None else 0
            return at / self.rate

    def lately(self) -> Samples:
        """Return the last LATELY_S of what was handed out, (frames, 2), silence where there was nothing yet."""
        return np.roll(self._lately, -self._written, axis=0)

    def wait(self, timeout_s: float | None) -> bool:
        """Wait until the sound has been heard or stopped; say whether that came to pass in time."""
        deadline = None if timeout_s is None else time.monotonic() + timeout_s
        with self._changed:
            while True:
                now = time.monotonic()
                if self._voice is None and now >= self._silent_from:
                    return True
                if deadline is not None and now >= deadline:
                    return False
                ends = [deadline, self._silent_from if self._voice is None else None]
                self._changed.wait(min((end - now for end in ends if end is not None), default=None))

    # What the device takes.

    def fill(self, out: Samples, latency_s: float) -> None:
        """Write the next frames, which will be heard so much later."""
        heard_at = time.monotonic() + latency_s
        with self._changed:
            for begin in range(0, len(out), LARGEST):
                piece = out[begin : begin + LARGEST]
                self._write(piece, heard_at + begin / self.rate)
            wanted = self._wanted_volume
        if wanted != self._volume:
            out *= np.linspace(self._volume, wanted, len(out), dtype=np.float32)[:, None]
            self._volume = wanted
        elif wanted != 1.0:
            out *= np.float32(wanted)
        self._remember(out)

    def _remember(self, out: Samples) -> None:
        new = out[-len(self._lately) :]
        first = min(len(new), len(self._lately) - self._written)
        self._lately[self._written : self._written + first] = new[:first]
        self._lately[: len(new) - first] = new[first:]
        self._written = (self._written + len(new)) % len(self._lately)

    def _write(self, out: Samples, heard_at: float) -> None:
        voice = self._voice
        if voice is None:
            out.fill(0.0)
        else:
            self._sound(voice, out, heard_at)
            if voice.round is None and voice.at >= voice.source.frames:
                past = voice.at - voice.source.frames
                self._silent_from = heard_at + (len(out) - past) / self.rate
                self._voice = None
                self._changed.notify_all()
        if self._leaving:
            for leaving in self._leaving:
                count = min(len(out), leaving.gain)
                falling = self._other[:count]
                self._copy(leaving, falling)
                falling *= self._falling(leaving.gain, count)
                out[:count] += falling
                leaving.gain -= count
            self._leaving = [leaving for leaving in self._leaving if leaving.gain]

    def _sound(self, voice: _Voice, out: Samples, heard_at: float) -> None:
        """Write the next frames of what sounds, rising or falling where it has to."""
        if not self._held:
            more = round(ENOUGH_S * self.rate) if self._starved and voice.begun else self.ramp
            ready = self._ready(voice, len(out) + more)
            if not ready and not self._starved and voice.begun:
                self.gaps += 1
            self._starved = not ready
        if not self._held and not self._starved:
            rising = min(len(out), self.ramp - voice.gain)
            self._copy(voice, out, heard_at)
            if rising:
                out[:rising] *= self._rise[voice.gain : voice.gain + rising]
                voice.gain += rising
            voice.begun = True
            return
        falling = min(len(out), voice.gain) if voice.begun else 0
        if falling:
            self._copy(voice, out[:falling], heard_at)
            out[:falling] *= self._falling(voice.gain, falling)
            voice.gain -= falling
            if not voice.gain:
                voice.at = max(voice.at - self.ramp, 0)  # what fell silent rises again
        out[falling:] = 0.0
        self._handed.append(_Handed(heard_at + falling / self.rate, voice.at, voice.at))

    def _falling(self, gain: int, count: int) -> Samples:
        """So many gains down from one, the complement of rising ones."""
        return self._rise[gain - count + 1 : gain + 1][::-1]

    def _ready(self, voice: _Voice, count: int) -> bool:
        """Whether so many frames can be copied at once."""
        end, round = voice.at + count, voice.round
        if round is None or end <= round.end - self.ramp:
            return voice.source.ready(voice.at, end)
        begin = max(round.begin - self.ramp, 0)
        return voice.source.ready(voice.at, round.end) and voice.source.ready(begin, min(begin + count, round.end))

    def _copy(self, voice: _Voice, out: Samples, heard_at: float | None = None) -> None:
        """Write the next frames as they are, round after round."""
        done = 0
        while done < len(out):
            left, seam = len(out) - done, None if voice.round is None else voice.round.end - self.ramp
            if seam is None or voice.at < seam:
                count = left if seam is None else min(left, seam - voice.at)
                voice.source.copy(voice.at, out[done : done + count])
            else:
                count = self._over_seam(voice, seam, out[done:])
            if heard_at is not None:
                self._handed.append(_Handed(heard_at + done / self.rate, voice.at, voice.at + count))
            voice.at += count
            done += count
            if voice.round is not None and voice.at >= voice.round.end:
                voice.at = voice.round.begin

    def _over_seam(self, voice: _Voice, seam: int, out: Samples) -> int:
        """Write frames of a round's end; what comes before its beginning rises under them. Return how many."""
        assert voice.round is not None
        at = voice.at - seam
        count = min(len(out), self.ramp - at)
        piece = out[:count]
        voice.source.copy(voice.at, piece)
        if voice.round.end < voice.source.frames:
            piece *= self._falling(self.ramp - at, count)
        if voice.round.begin > 0:
            before = self._spare[:count]
            voice.source.copy(voice.round.begin - self.ramp + at, before)
            before *= self._rise[at : at + count]
            piece += before
        return count
