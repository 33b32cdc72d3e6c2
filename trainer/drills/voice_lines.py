"""The voices that thirds and sevenths make, as tones of chords and degrees of a key.

A chord has two guide tones: its third, or the fourth that is suspended in its place, and its seventh, or the
sixth of a chord of rest. From chord to chord both voices go on as near as they can: where the two ways to go
are as near, either is right. Triads have one guide tone only and end a voice (common practice, no source).
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from trainer.drills.question import Question, Row
from trainer.harmony.cadence import CADENCES, formula_for
from trainer.harmony.interval import degree_interval, readable, transposed
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import chord_of_any, degree_of, parse_any
from trainer.harmony.pitch import NoteName
from trainer.harmony.quality import semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.chord_tones import Tone
from trainer.voicing.guide_tones import guide_lines
from trainer.voicing.shapes import stacks

__all__ = [
    "UNITS", "Line", "Tone", "degrees_of", "is_voiced_so", "lines_from", "longest_run", "members", "ordinal",
    "other_row", "pitch_class", "told", "tones_of",
]  # fmt: skip

Line = tuple[Tone, ...]
"""One tone of each chord."""

LEAVES_ITS_KEY = frozenset({"tonic-turns-minor", "major-third-cycle"})
"""Types through several keys: no one of them counts all of a voice."""

_ORDINALS = {1: "root", 3: "3rd", 4: "4th", 5: "5th", 6: "6th", 7: "7th"}
_STEPS = {0: "stays as", -1: "falls a half step to", 1: "rises a half step to", -2: "falls a whole step to",
          2: "rises a whole step to"}  # fmt: skip


def has_guides(chord: ChordSymbol) -> bool:
    """Whether a chord has two guide tones: a third or what is suspended for it, and a seventh or a sixth."""
    quality = chord.quality
    if quality.third is None:
        return quality.seventh is not None and (4, 0) in quality.tones
    return quality.seventh is not None or quality.sixth


@lru_cache(maxsize=2048)
def tones_of(chord: ChordSymbol) -> tuple[Tone, Tone]:
    """The two guide tones of a chord that has them, the third first."""
    first, second = stacks(chord, "guide-tones", None, False)[0]
    return first, second


def longest_run(chords: Sequence[ChordSymbol]) -> range:
    """The longest run of chords that have guide tones; the last one of several."""
    best, start = range(0), 0
    for index, chord in enumerate(chords):
        if not has_guides(chord):
            start = index + 1
        elif index + 1 - start >= len(best):
            best = range(start, index + 1)
    return best


def pitch_class(chord: ChordSymbol, tone: Tone) -> int:
    """The pitch class of a tone of a chord."""
    return (chord.root.pitch_class + semitones_of(tone)) % 12


def way(before: int, after: int) -> int:
    """Half steps from one pitch class to another, the short way: -5 to 6."""
    up = (after - before) % 12
    return up if up <= 6 else up - 12


def lines_from(chords: Sequence[ChordSymbol], begins: Tone) -> tuple[Line, ...]:
    """The voices that begin on a guide tone of the first chord: one, or several where ways are as near."""
    lines: list[Line] = [(begins,)]
    for one, other in pairwise(chords):
        here, there = tones_of(one), tones_of(other)

        def moved(order: Sequence[Tone], one: ChordSymbol = one, other: ChordSymbol = other) -> int:
            return sum(
                abs(way(pitch_class(one, a), pitch_class(other, b))) for a, b in zip(tones_of(one), order, strict=True)
            )

        straight, crossed = moved(there), moved(there[::-1])
        orders = [
            order for order, cost in ((there, straight), (there[::-1], crossed)) if cost == min(straight, crossed)
        ]
        lines = [(*line, order[here.index(line[-1])]) for line in lines for order in orders]
    return tuple(dict.fromkeys(lines))


def note(chord: ChordSymbol, tone: Tone) -> NoteName:
    """The note that a tone of a chord is."""
    return readable(transposed(chord.root, degree_interval(*tone)))


def degrees_of(chords: Sequence[ChordSymbol], line: Line, key: Key) -> Row:
    """A voice as degrees of a key: `1 7 7`."""
    return tuple(
        degree_of(note(chord, tone), key, rising=True).arabic for chord, tone in zip(chords, line, strict=True)
    )


def members(chords: Sequence[ChordSymbol], number: int, key: Key) -> Row:
    """The roots (1) or fifths (5) of chords as degrees of a key; empty where one has none."""
    tones = [[tone for tone in (*chord.quality.tones, (1, 0)) if tone[0] == number] for chord in chords]
    if not all(tones):
        return ()
    return degrees_of(chords, tuple(found[0] for found in tones), key)


def other_row(question: Question) -> Row:
    """The voice beside the one that is asked."""
    chords = [question.chords[index] for index in question.blanks]
    first = {degrees_of(chords[:1], (tone,), question.key)[0]: tone for tone in tones_of(chords[0])}
    other = next(tone for text, tone in first.items() if text != question.accepted[0][0])
    return degrees_of(chords, lines_from(chords, other)[0], question.key)


def is_voiced_so(question: Question) -> bool:
    """Whether one of the two voices, when the guide tones are played alone, is one that is accepted."""
    chords = [question.chords[index] for index in question.blanks]
    rows = [degrees_of(chords, tuple(one.tone for one in line), question.key) for line in guide_lines(chords)]
    return any(row in question.accepted for row in rows)


def ordinal(tone: Tone) -> str:
    """A guide tone as players say it: `7th`."""
    return _ORDINALS[tone[0]]


def told(chords: Sequence[ChordSymbol], line: Line, key: Key) -> str:
    """A voice in words, step by step."""
    degrees = degrees_of(chords, line, key)
    places = list(zip(chords, line, degrees, strict=True))
    chord, tone, degree = places[0]
    words = f"The {ordinal(tone)} of {chord.text} is {note(chord, tone)}, {degree} of {key.name}."
    for (before, was, _), (chord, tone, degree) in pairwise(places):
        step = _STEPS.get(way(pitch_class(before, was), pitch_class(chord, tone)), "goes to")
        what = f"the {ordinal(tone)} of {chord.text}"
        words += f" It {step} {what}." if step == "stays as" else f" It {step} {note(chord, tone)} ({degree}), {what}."
    return words


def _asked() -> tuple[str, ...]:
    found = []
    for row in CADENCES:
        if row.shapes or row.id in LEAVES_ITS_KEY:
            continue
        key = parse_key("C" if row.mode == "major" else "C minor")
        if len(longest_run([chord_of_any(parse_any(text), key) for text in formula_for(row)])) > 1:
            found.append(row.id)
    return tuple(found)


UNITS: tuple[str, ...] = _asked()
"""The types whose formula has two chords or more with guide tones."""
