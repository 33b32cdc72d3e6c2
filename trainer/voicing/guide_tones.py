"""Guide-tone lines: the two voices that 3rds and 7ths make through a passage, and where they resolve.

When roots fall a fifth, one line holds its tone and the other falls: the 7th by a half step to the
next 3rd. Through ii-V-I each line resolves so once (common practice, no source).
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from trainer.harmony.interval import degree_interval, transposed
from trainer.harmony.pitch import NoteName, Pitch, accidental_text
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass
from trainer.voicing.leading import voice
from trainer.voicing.shapes import Tone

Step = Literal["falls", "rises", "held", "moves", "ends"]
"""How a tone goes on: down or up a half step, held, by another step, or not at all."""


@dataclass(frozen=True, slots=True)
class GuideTone:
    """One tone of a guide-tone line."""

    symbol: ChordSymbol
    pitch: Pitch
    tone: Tone
    """Degree and alteration in its chord; a 3rd, 4th, 5th, 6th or 7th, or the root where there is none."""
    step: Step

    @property
    def resolves(self) -> bool:
        """Whether it goes to the next tone by a half step."""
        return self.step in ("falls", "rises")

    @property
    def degree(self) -> str:
        """As players say it: `3`, `b7`."""
        return degree_text(self.tone)


GuideLine = tuple[GuideTone, ...]


def guide_lines(symbols: Sequence[ChordSymbol]) -> tuple[GuideLine, GuideLine]:
    """The lower and the upper guide-tone line of a passage, moving as little as possible in all."""
    voicings = voice(symbols, "guide-tones", with_bass=False)
    lower, upper = (
        [(voicing.symbol, voicing.keys[place], voicing.stack[place]) for voicing in voicings] for place in (0, 1)
    )
    return _line(lower), _line(upper)


def _line(tones: Sequence[tuple[ChordSymbol, Pitch, Tone]]) -> GuideLine:
    steps = [_step(after.midi - before.midi) for (_, before, _), (_, after, _) in pairwise(tones)]
    ends: list[Step] = ["ends"]
    return tuple(
        GuideTone(symbol, pitch, tone, step)
        for (symbol, pitch, tone), step in zip(tones, steps + ends[: len(tones)], strict=True)
    )


def _step(half_steps: int) -> Step:
    known: dict[int, Step] = {0: "held", -1: "falls", 1: "rises"}
    return known.get(half_steps, "moves")


def chord_tone_map(symbols: Sequence[ChordSymbol]) -> tuple[tuple[tuple[str, NoteName], ...], ...]:
    """The tones of each chord with their degrees, in order of degree."""
    return tuple(
        tuple((degree_text(tone), transposed(symbol.root, degree_interval(*tone))) for tone in symbol.quality.tones)
        for symbol in symbols
    )


def degree_text(tone: Tone) -> str:
    """A tone as players say it: `b7`, `#11`."""
    return f"{accidental_text(tone[1])}{tone[0]}"
