"""What a reading answers to a question, not knowing the answer: from its chords' symbols, or from its notes alone.

Symbols are read as a tune of their own (`trainer.drills.holds`). Notes are gathered stroke by stroke from what
sounds, named by what they are (`trainer.harmony.sounding`), and the names are read the same way. Degrees count
from the given key where one is given, else from the center that the reading hears each chord in, which is how a
player counts who wasn't told.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType

from synth.score import Note
from trainer.drills.ambiguity import alike
from trainer.drills.catch_answer import AWAITED
from trainer.drills.distances import distance_text
from trainer.drills.heard import row_degrees
from trainer.drills.holds import analysis_of, chord_of_span
from trainer.drills.question import Question, Row, Two
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import PLAIN_DEGREES, chord_of_any, numeral_of, parse_any
from trainer.harmony.pitch import simplest_name
from trainer.harmony.sounding import SoundingChord, chords_sounding
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.values import Analysis
from trainer.records import dataclass
from trainer.voicing.performance import Performance

C_MAJOR = parse_key("C")
STROKE_S = 0.12
"""Notes that begin within so much of each other are one stroke: hands are never that uneven, no chord as short."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """What begins together."""

    bass: int | None
    """The lowest note of the bass, a MIDI number; None where no bass plays."""
    keys: tuple[int, ...]
    """MIDI numbers, from the lowest up."""

    @property
    def lowest(self) -> int:
        """The lowest note of all."""
        return self.keys[0] if self.bass is None else self.bass

    @property
    def pitch_classes(self) -> frozenset[int]:
        """All that sounds."""
        own = frozenset(midi % 12 for midi in self.keys)
        return own if self.bass is None else own | {self.bass % 12}


def strokes(performance: Performance, role: str = "question") -> tuple[Stroke, ...]:
    """What is struck, in order, from the notes alone; the key's confirmation has another role and is left out."""
    notes = sorted((note for note in performance.score.notes if note.role == role), key=lambda note: note.onset_s)
    groups: list[list[Note]] = []
    for note in notes:
        if not groups or note.onset_s - groups[-1][0].onset_s > STROKE_S:
            groups.append([])
        groups[-1].append(note)
    return tuple(map(_stroke, groups))


def _stroke(notes: list[Note]) -> Stroke:
    basses = [note.midi for note in notes if note.part == "bass"]
    keys = sorted(note.midi for note in notes if note.part != "bass")
    return Stroke(min(basses) if basses else None, tuple(keys))


def named(stroke: Stroke) -> ChordSymbol:
    """The likeliest name of what sounds; spelling says nothing here."""
    low = stroke.lowest % 12
    best = _from_c(frozenset((one - low) % 12 for one in stroke.pitch_classes), stroke.bass is not None)
    root, bass = simplest_name((best.root + low) % 12), simplest_name(low)
    return ChordSymbol(root, best.quality, None if best.root == 0 else bass)


def _from_c(pitch_classes: frozenset[int], firm: bool) -> SoundingChord:
    """Named over a bass on C: the same shape is the same chord in every key."""
    return chords_sounding(pitch_classes, 0, firm)[0]


def as_heard(question: Question, performance: Performance | None = None) -> Question | None:
    """The question with the chords that its notes alone are named; None where they aren't as many."""
    heard = tuple(map(named, strokes(performance or question.performance())))
    return replace(question, chords=heard) if len(heard) == len(question.chords) else None


def from_symbols(question: Question) -> Row:
    """What the reading answers, from the symbols; what it can't say is `?`."""
    return ANSWERED[question.kind](question)


def from_notes(question: Question, performance: Performance | None = None) -> Row:
    """What the reading answers, from the notes that sound alone."""
    heard = as_heard(question, performance)
    return ("?",) if heard is None else ANSWERED[question.kind](heard)


def _read(question: Question) -> tuple[Analysis, list[int]]:
    analysis = analysis_of(question)
    return analysis, chord_of_span(analysis, question)


def _told_apart(question: Question) -> Row:
    """Each of two stretches is read by itself, and is the type whose chords it has."""
    two = question.two
    assert two is not None
    rows = [_half_read(question, two, start) for start in (0, two.size)]
    is_asked = [_is_type(row, two.row, two.row_instead) for row in rows]
    is_other = [_is_type(row, two.row_instead, two.row) for row in rows]
    if any(one == other for one, other in zip(is_asked, is_other, strict=True)):
        return ("?",)
    which = {(True, False): "first", (False, True): "second", (True, True): "both"}.get(
        (is_asked[0], is_asked[1]), "neither"
    )
    if which in ("both", "neither") or question.choices is not None:
        return (which,)
    place = next(n for n, texts in enumerate(zip(*rows, strict=True)) if len({_kind(text) for text in texts}) > 1)
    return (which, str(two.within[place] + 1))


def _half_read(question: Question, two: Two, start: int) -> Row:
    """One stretch as a row, counted from where the first chord is home too, else from the center it is read in."""
    end = start + two.size
    half = replace(
        question, two=None, chords=question.chords[start:end], beats=question.beats[start:end],
        numerals=question.numerals[start:end], blanks=two.within,
    )  # fmt: skip
    if half.confirm or half.chords[0].root.pitch_class == half.key.tonic.pitch_class:
        half = replace(half, confirm=True)
    return _functions(half)


def _is_type(row: Row, own: Row, other: Row) -> bool:
    """Whether a row has one type's degrees, and its kind of chord wherever the two types differ."""
    if row_degrees(row) != row_degrees(own):
        return False
    mine, theirs = [_kind(text) for text in own], [_kind(text) for text in other]
    read = [_kind(text) for text in row]
    return all(r == m for r, m, t in zip(read, mine, theirs, strict=True) if m != t)


def _kind(text: str) -> tuple[int, int, int]:
    return alike(chord_of_any(parse_any(text), C_MAJOR))


def _functions(question: Question) -> Row:
    analysis, chord_of = _read(question)
    found = ["?"] * len(question.chords)
    for reading, chord in zip(analysis.chords, chord_of, strict=True):
        if chord < 0 or reading.span.continues or reading.center is None or reading.span.symbol is None:
            continue
        key = question.key if question.confirm else reading.center
        found[chord] = numeral_of(reading.span.symbol, key).text
    return tuple(found[index] for index in question.blanks)


def _caught(question: Question) -> Row:
    analysis, chord_of = _read(question)
    if not analysis.interruptions:
        return ("no",)
    first = analysis.interruptions[0]
    awaited, foreign = first.awaited.tonic.pitch_class, first.heard.tonic.pitch_class
    row = ("yes", str(chord_of[first.chords[0]] + 1), distance_text(foreign - awaited))
    if AWAITED not in question.fields:
        return row
    return (*row, str(PLAIN_DEGREES[(awaited - question.key.tonic.pitch_class) % 12]))


ANSWERED: Mapping[str, Callable[[Question], Row]] = MappingProxyType(
    {"name-functions": _functions, "catch-interruption": _caught, "tell-apart": _told_apart}
)
"""By kind of drill: what a reading answers."""


def second_answers(question: Question) -> tuple[Row, ...]:
    """Rows that the symbols or the notes are read as and that aren't accepted yet."""
    same = row_degrees if question.kind == "name-functions" else tuple
    known = {same(row) for row in question.accepted}
    rows: list[Row] = []
    for row in (from_symbols(question), from_notes(question)):
        if same(row) not in known:
            known.add(same(row))
            rows.append(row)
    return tuple(rows)
