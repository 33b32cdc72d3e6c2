"""What is told of a tune while it sounds: sections and key centers as they come, where we are, in terse lines."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from synth.score import Marker, MarkerKind, Score
from trainer.charts.transpose import moved_key
from trainer.commands.instrument import INSTRUMENTS, Instrument, instrument_told
from trainer.harmony.key import parse_key
from trainer.harmony.note_names import Naming, key_told, named
from trainer.voicing.readings import READING, RIVAL
from trainer.voicing.sheet import BarTime, Performance
from trainer.voicing.whereabouts import bar_at, marked_at


def head_lines(score: Score, instrument: Instrument, naming: Naming = "english") -> Iterator[str]:
    """The title, and for whom keys are written."""
    yield score.title or "(no title)"
    if told := instrument_told(instrument):
        yield named(told, naming)


LEAD_S = 0.015
"""The sound rises from a little before the place that is gone to; what is told just then is that place."""


ROLES_TOLD: Mapping[str, str] = MappingProxyType({READING: "as it is read", RIVAL: "as it can be read too"})
"""What is told where one of two readings begins."""


class Telling:
    """Says a section and a key center when they come, once each time they do, however one gets there."""

    def __init__(self, instrument: Instrument, naming: Naming = "english") -> None:
        self.instrument = instrument
        self.naming = naming
        self._told: dict[MarkerKind, int] = {}

    def lines(self, score: Score, at_s: float) -> list[str]:
        """What is new where the listener is; at most one line."""
        came = []
        kinds: tuple[MarkerKind, ...] = ("role", "section", "center")
        for kind in kinds:
            markers = [marker for marker in score.markers if marker.kind == kind and self._tells(marker)]
            place = bisect_right(markers, at_s + LEAD_S, key=lambda marker: marker.at_s) - 1
            if place != self._told.get(kind, -1):
                self._told[kind] = place
                if place >= 0:
                    came.append(self._told_as(markers[place]))
        return [f"  {', '.join(came)}"] if came else []

    @staticmethod
    def _tells(marker: Marker) -> bool:
        return marker.kind != "role" or marker.text in ROLES_TOLD

    def _told_as(self, marker: Marker) -> str:
        if marker.kind == "role":
            return ROLES_TOLD[marker.text]
        if marker.kind == "section":
            return marker.text
        return f"in {center_told(marker.text, self.instrument, self.naming)}"


def center_told(text: str, instrument: Instrument, naming: Naming = "english") -> str:
    """A key center as an instrument reads it, in the player's names."""
    semitones, _ = INSTRUMENTS[instrument]
    return key_told(moved_key(parse_key(text), semitones) if semitones else parse_key(text), naming)


def bar_told(performance: Performance, bar: BarTime) -> str:
    """A bar's number, and the chorus where there are several."""
    several = performance.bars[-1].chorus > 0
    return f"bar {bar.number}" + (f", chorus {bar.chorus + 1}" if several else "")


def bars_told(first: int, last: int) -> str:
    """A stretch of bars."""
    return f"bar {first}" if first == last else f"bars {first} to {last}"


def tempo_told(tempo: float) -> str:
    """A tempo as charts count it."""
    return f"tempo {round(tempo, 1):g}"


def whereabouts_told(
    performance: Performance, at_s: float, instrument: Instrument, naming: Naming = "english"
) -> list[str]:
    """Bar and beat, section and key center."""
    at_s += LEAD_S
    place = bar_at(performance, at_s)
    if place is None:
        return ["in the count-in" if performance.bars and performance.bars[0].from_s > 0 else "at the start"]
    bar = performance.bars[place]
    words = [bar_told(performance, bar)]
    if at_s < bar.until_s:
        words.append(f"beat {bar.beat_at(at_s)}")
    section, center = marked_at(performance, "section", at_s), marked_at(performance, "center", at_s)
    if section is not None:
        words.append(f"section {section}")
    if center is not None:
        words.append(f"in {center_told(center, instrument, naming)}")
    return words
