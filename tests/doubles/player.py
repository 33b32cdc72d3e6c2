"""A Player on which time passes when it is told to: remembers where it stands, what goes round, what sounds."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from synth.meter import Meter, meter_at
from synth.output import Loop
from synth.render import render
from synth.score import Part, Score
from tests.doubles.sound import SoundTwin


@dataclass(slots=True, eq=False)
class PlayerTwin:
    """What synth.player.Player promises, without a sound."""

    output: SoundTwin = field(default_factory=SoundTwin)
    score: Score | None = None
    round: Loop | None = None
    parts: frozenset[Part] | None = None
    paused: bool = False
    place_s: float | None = None
    heard_late_s: float = 0.0
    """The device's delay."""
    closed: bool = False

    @property
    def playhead_s(self) -> float | None:
        """Where the listener is."""
        return None if self.place_s is None else max(0.0, self.place_s - self.heard_late_s)

    def pass_s(self, seconds: float) -> None:
        """Let time pass."""
        if self.place_s is None or self.paused:
            return
        assert self.score is not None
        self.place_s += seconds
        if self.round is not None and self.place_s >= self.round.until_s:
            beyond = (self.place_s - self.round.from_s) % (self.round.until_s - self.round.from_s)
            self.place_s = self.round.from_s + beyond
        elif self.round is None and self.place_s >= self.score.duration_s:
            self.place_s = None

    def play(
        self, score: Score, from_s: float = 0.0, loop: Loop | None = None, parts: frozenset[Part] | None = None
    ) -> None:
        """Begin."""
        self.score, self.place_s, self.round, self.parts, self.paused = score, from_s, loop, parts, False

    def change(self, score: Score, place: Callable[[float], float], loop: Loop | None = None) -> None:
        """Go over to another score."""
        if self.place_s is not None:
            self.score, self.place_s, self.round = score, place(self.place_s), loop

    def solo(self, parts: frozenset[Part] | None) -> None:
        """Let only these parts sound."""
        self.parts = parts

    def seek(self, to_s: float) -> None:
        """Go on from another place, a little before it, so that it rises."""
        self.place_s = max(0.0, to_s - 0.01)
        if self.round is not None and self.place_s >= self.round.until_s:
            self.round = None

    def loop(self, stretch: Loop | None) -> None:
        """Go round, or no more."""
        self.round = stretch
        if stretch is not None and self.place_s is not None and self.place_s >= stretch.until_s:
            self.place_s = stretch.from_s

    def pause(self) -> None:
        """Stand still."""
        self.paused = self.place_s is not None

    def resume(self) -> None:
        """Go on."""
        self.paused = False

    def meter(self) -> Meter:
        """Of what the score sounds like at the volume it has, in its first three seconds; of nothing in a pause."""
        assert self.score is not None
        sound = render(self.score, 48_000)[: 3 * 48_000] * np.float32(0.0 if self.paused else 0.1)
        return meter_at(48_000).add(sound)

    def wait(self, timeout_s: float | None = None) -> bool:
        """Let the time pass; True at the end."""
        if timeout_s is None:
            assert not self.paused, "would wait for ever"
            assert self.round is None, "would wait for ever"
            self.place_s = None
        else:
            self.pass_s(timeout_s)
        return self.place_s is None

    def stop(self) -> None:
        """End it."""
        self.place_s, self.paused = None, False

    def close(self) -> None:
        """End for good."""
        self.stop()
        self.closed = True
