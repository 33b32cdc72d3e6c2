"""What a device is fed with: a prepared buffer, copied piece by piece.

A sink (a device's callback, or a clock) asks for frames and gets them; what is to sound is changed
from any other thread.  Nothing jumps: what is replaced or stopped is ramped out over RAMP_S while
what follows already sounds, a start in mid-sound and a change of volume are ramped too.  A sound
played from its beginning and to its end is copied unchanged, so it has to begin and end in silence.
"""

import threading
import time
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float32]

RAMP_S: Final = 0.01


@dataclass(slots=True, eq=False)
class _Clip:
    """A sound on its way out."""

    samples: Samples
    at: int
    """The next frame to hand out, counted on through every round of a loop."""
    start: int
    loop: bool
    ramped_in: int
    """Frames of the ramp at its start that have been played; the ramp's length where none is needed."""
    ramped_out: int = 0

    def add_to(self, out: Samples) -> int:
        """Add the next frames and return how many there were."""
        length, done = len(self.samples), 0
        while done < len(out):
            at = self.at % length if self.loop else self.at
            count = min(len(out) - done, length - at)
            if count <= 0:
                break
            out[done : done + count] += self.samples[at : at + count]
            self.at += count
            done += count
        return done


class Feed:
    """Hands out frames at one rate; one sink draws from it at a time."""

    def __init__(self, rate: int) -> None:
        self.rate = rate
        self._ramp = round(RAMP_S * rate)
        self._changed = threading.Condition()
        self._clip: _Clip | None = None
        self._leaving: list[_Clip] = []
        self._volume = self._wanted_volume = 1.0
        self._heard: tuple[float, int] | None = None
        """When which frame of the clip is heard, of the piece handed out last."""
        self._silent_from = 0.0

    def play(self, samples: Samples, from_frame: int = 0, loop: bool = False) -> None:
        """Let a sound (frames, 2) follow at once."""
        with self._changed:
            self._leave()
            if len(samples):
                ramped_in = 0 if from_frame else self._ramp
                self._clip = _Clip(samples, from_frame, from_frame, loop, ramped_in)
            self._changed.notify_all()

    def stop(self) -> None:
        """Ramp out whatever sounds."""
        with self._changed:
            self._leave()
            self._changed.notify_all()

    def _leave(self) -> None:
        if self._clip is not None and self._clip.at > self._clip.start:
            self._leaving.append(self._clip)
        self._clip = self._heard = None
        self._silent_from = 0.0

    @property
    def volume(self) -> float:
        """The factor that what is played is multiplied by."""
        return self._wanted_volume

    @volume.setter
    def volume(self, wanted: float) -> None:
        with self._changed:
            self._wanted_volume = min(max(wanted, 0.0), 1.0)
            if self._clip is None and not self._leaving:
                self._volume = self._wanted_volume  # nothing sounds that a step could be heard in

    @property
    def current(self) -> Samples | None:
        """The sound that is being played, if any."""
        clip = self._clip
        return None if clip is None else clip.samples

    @property
    def leaving(self) -> bool:
        """Whether something is still being ramped out."""
        return bool(self._leaving)

    def fill(self, out: Samples, latency_s: float) -> None:
        """Write the next frames, which will be heard so much later."""
        now = time.monotonic()
        out.fill(0.0)
        with self._changed:
            self._leaving = [clip for clip in self._leaving if self._ramp_out(clip, out)]
            clip = self._clip
            if clip is not None:
                self._heard = now + latency_s, clip.at
                if clip.ramped_in < self._ramp:
                    self._ramp_in(clip, out)
                else:
                    clip.add_to(out)
                if not clip.loop and clip.at >= len(clip.samples):
                    frames = len(clip.samples) - self._heard[1]
                    self._silent_from = now + latency_s + max(frames, 0) / self.rate
                    self._clip = None
                    self._changed.notify_all()
            wanted = self._wanted_volume
        if wanted != self._volume:
            out *= np.linspace(self._volume, wanted, len(out), dtype=np.float32)[:, None]
            self._volume = wanted
        elif wanted != 1.0:
            out *= np.float32(wanted)

    def _ramp_out(self, clip: _Clip, out: Samples) -> bool:
        """Add a clip's next falling frames; say whether there are more."""
        count = min(self._ramp - clip.ramped_out, len(out))
        piece = np.zeros((count, out.shape[1]), dtype=np.float32)
        added = clip.add_to(piece)
        falling = 1.0 - (clip.ramped_out + 1 + np.arange(count, dtype=np.float32)) / self._ramp
        out[:count] += piece * falling[:, None]
        clip.ramped_out += count
        return clip.ramped_out < self._ramp and added == count

    def _ramp_in(self, clip: _Clip, out: Samples) -> None:
        piece = np.zeros_like(out)
        clip.add_to(piece)
        rising = (clip.ramped_in + np.arange(len(out), dtype=np.float32)) / self._ramp
        out += piece * np.minimum(rising, 1.0)[:, None]
        clip.ramped_in = min(clip.ramped_in + len(out), self._ramp)

    def wait(self, timeout_s: float | None) -> bool:
        """Wait until the sound has been heard or stopped; say whether that came to pass in time."""
        deadline = None if timeout_s is None else time.monotonic() + timeout_s
        with self._changed:
            while True:
                now = time.monotonic()
                if self._clip is None and now >= self._silent_from:
                    return True
                if deadline is not None and now >= deadline:
                    return False
                ends = [deadline, self._silent_from if self._clip is None else None]
                self._changed.wait(min((end - now for end in ends if end is not None), default=None))

    @property
    def playhead_s(self) -> float | None:
        """Where in the sound the listener is; None when nothing is heard."""
        with self._changed:
            clip, heard, now = self._clip, self._heard, time.monotonic()
            if clip is None:
                if heard is None or now >= self._silent_from:
                    return None
                return heard[1] / self.rate + max(now - heard[0], 0.0)
            if heard is None:
                return clip.start / self.rate
            frames = heard[1] + (now - heard[0]) * self.rate
            frames = min(max(frames, clip.start), clip.at)
            return float(frames % len(clip.samples) if clip.loop else frames) / self.rate
