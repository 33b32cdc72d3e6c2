"""The cadence sequences with their goals (tests/golden/sets/sequences.tsv), and a reading told in their terms."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from tests.trainer.reading.charting import timeline_of
from tests.trainer.reading.sets import FOLDER, KeyClass, key_class
from trainer.charts.timeline import Timeline
from trainer.harmony.key import Key
from trainer.harmony.pitch import parse_note_name
from trainer.reading.values import Analysis, ChordReading

LETTERS = {"tonic": "T", "dominant": "D", "predominant": "S", "plagal": "S", "passing": "P", "color": "P"}
"""What the sequences call each function."""


@dataclass(frozen=True, slots=True)
class CadenceSequence:
    """One sequence, chord by chord."""

    name: str
    timeline: Timeline
    tonics: tuple[KeyClass, ...]
    functions: tuple[str, ...]
    goals: tuple[int | None, ...]
    """Pitch classes; None where a chord leads nowhere."""


def sequences() -> tuple[CadenceSequence, ...]:
    """Every sequence, in the order of the file. Raises ValueError where the columns are not equally long."""
    lines = (FOLDER / "sequences.tsv").read_text(encoding="utf-8").splitlines()
    return tuple(_sequence(*line.split("\t")) for line in lines[1:])


def _sequence(name: str, chart: str, tonics: str, functions: str, goals: str) -> CadenceSequence:
    timeline = timeline_of(chart)
    columns = [column.split() for column in (tonics, functions, goals)]
    if {len(timeline.spans)} != {len(column) for column in columns}:
        raise ValueError(f"{name}: columns of other lengths than its chords")
    keys = tuple(_key(word) for word in columns[0])
    roots = tuple(None if word == "-" else parse_note_name(word).pitch_class for word in columns[2])
    return CadenceSequence(name, timeline, keys, tuple(columns[1]), roots)


def _key(word: str) -> KeyClass:
    tonic = parse_note_name(word[0].upper() + word[1:])
    return key_class(Key(tonic, "minor" if word[0].islower() else "major"))


def functions_of(analysis: Analysis) -> list[str]:
    """Each chord's function by the sequences' letters."""
    return [LETTERS[chord.function] for chord in analysis.chords]


def goals_of(analysis: Analysis) -> list[int | None]:
    """The root that each chord's chain arrives at in the end.

    A chord that leads on awaits a tonic (`leads_to`). Where the next chord stands a fifth below it, or a half step
    below a dominant, leads on in turn and stays no longer, the goal is that chord's own.
    """
    chords = analysis.chords
    goals: list[int | None] = [None] * len(chords)
    for n in range(len(chords) - 1, -1, -1):
        chord = chords[n]
        if chord.center is None or LETTERS[chord.function] == "P":
            continue
        if chord.function == "tonic":
            goals[n] = chord.center.tonic.pitch_class
            continue
        goals[n] = None if chord.leads_to is None else chord.leads_to.pitch_class
        after = next((m for m in range(n + 1, len(chords)) if _root(chords[m]) != _root(chord)), None)
        if after is not None and _goes_on(chords, n, after):
            goals[n] = goals[after]
    return goals


def _root(chord: ChordReading) -> int | None:
    return None if chord.span.symbol is None else chord.span.symbol.root.pitch_class


def _lasts(chords: Sequence[ChordReading], n: int) -> Fraction:
    """How long a chord's root stays from its first span on."""
    lasting = Fraction(0)
    for chord in chords[n:]:
        if _root(chord) != _root(chords[n]):
            break
        lasting += chord.span.quarters
    return lasting


def _goes_on(chords: Sequence[ChordReading], n: int, after: int) -> bool:
    """Whether the next root is one link further in a chain that goes on from there."""
    here, there = _root(chords[n]), _root(chords[after])
    if here is None or there is None or chords[after].function not in ("dominant", "predominant"):
        return False
    falls = (5, 11) if chords[n].function == "dominant" else (5,)
    if (there - here) % 12 not in falls or _lasts(chords, after) > _lasts(chords, _first(chords, n)):
        return False
    if chords[n].function == "dominant" and chords[after].function == "predominant":
        beyond = _root(chords[after + 1]) if after + 1 < len(chords) else None
        return beyond is not None and (beyond - there) % 12 in (5, 11)
    return True


def _first(chords: Sequence[ChordReading], n: int) -> int:
    """Where the root of a chord began to sound."""
    while n > 0 and _root(chords[n - 1]) == _root(chords[n]):
        n -= 1
    return n
