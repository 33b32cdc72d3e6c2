"""A stretch of a tune as a player names it: `5`, `5.3` (the third beat of bar 5), `5-8`, `5.3-7`; bars as played."""

import re
from fractions import Fraction

from trainer.charts.timeline import PlayedBar, Span, Timeline
from trainer.errors import KeyfarerError
from trainer.records import dataclass

STRETCH_TOLD = "a bar (5), a beat in it (5.3) or a stretch of bars (5-8), as played"

_BEAT = r"(?:\.(\d{1,6}(?:\.\d{1,6}|/\d{1,6})?))?"
_STRETCH = re.compile(rf"\s*(\d{{1,6}}){_BEAT}(?:\s*[-–]\s*(\d{{1,6}}){_BEAT})?\s*", re.ASCII)


class StretchError(KeyfarerError):
    """A stretch that can't be read, or that the tune doesn't have."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one bar or beat to another, both of them in it."""

    first_bar: int
    first_beat: Fraction | None
    """From 1; None is the bar's start."""
    last_bar: int
    last_beat: Fraction | None
    """From 1, whatever sounds there is in it; None is the bar's end."""

    @property
    def text(self) -> str:
        """As it is given: `5`, `5.3`, `5-8`."""
        first, last = _place(self.first_bar, self.first_beat), _place(self.last_bar, self.last_beat)
        return first if first == last else f"{first}-{last}"


def _place(bar: int, beat: Fraction | None) -> str:
    return str(bar) if beat is None else f"{bar}.{beat}"


def parse_stretch(text: str) -> Stretch:
    """Read a stretch. Raises StretchError."""
    found = _STRETCH.fullmatch(text)
    if found is None:
        raise StretchError(f"found {text!r}; expected {STRETCH_TOLD}")
    first, first_beat, last, last_beat = found.groups()
    beats = [_beat(text, beat) for beat in (first_beat, last_beat if last else first_beat)]
    stretch = Stretch(int(first), beats[0], int(last or first), beats[1])
    start = (stretch.first_bar, stretch.first_beat or 1)
    if (stretch.last_bar, stretch.last_beat or 10**6) < start:
        raise StretchError(f"found {text!r}; expected the earlier place first")
    return stretch


def _beat(text: str, beat: str | None) -> Fraction | None:
    if beat is None:
        return None
    try:
        value = Fraction(beat)
    except ZeroDivisionError:
        value = Fraction(0)
    if value < 1:
        raise StretchError(f"found beat {beat} in {text!r}; expected a beat from 1")
    return value


def spans_in(stretch: Stretch, timeline: Timeline) -> tuple[Span, ...]:
    """What sounds in a stretch, at least one span. Raises StretchError where the tune has no such bar or beat."""
    first, last = (_bar(number, stretch, timeline) for number in (stretch.first_bar, stretch.last_bar))
    start = first.start if stretch.first_beat is None else _moment(first, stretch.first_beat, timeline)
    if stretch.last_beat is None:
        until = last.start + last.quarters
        return tuple(span for span in timeline.spans if span.start < until and span.start + span.quarters > start)
    end = _moment(last, stretch.last_beat, timeline)
    return tuple(span for span in timeline.spans if span.start <= end and span.start + span.quarters > start)


def _bar(number: int, stretch: Stretch, timeline: Timeline) -> PlayedBar:
    bars = timeline.bars
    for bar in bars:
        if bar.number == number:
            return bar
    expected = f"bars from {bars[0].number} to {bars[-1].number}, as played"
    raise StretchError(f"{timeline.file}: found bar {number} in `{stretch.text}`; expected {expected}")


def _moment(bar: PlayedBar, beat: Fraction, timeline: Timeline) -> Fraction:
    """A beat of a bar in quarter notes from the start of the tune."""
    after = (beat - 1) * bar.meter.quarters_of_beat
    if after >= bar.quarters:
        beats = bar.quarters / bar.meter.quarters_of_beat
        raise StretchError(
            f"{timeline.file}: found beat {beat} of bar {bar.number}; expected a beat from 1 to below {beats + 1}"
        )
    return bar.start + after
