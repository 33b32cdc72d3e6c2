"""The answer by ear: the question's stretch as the player heard it, to be set beside what was asked."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from trainer.drills.answer import Answer
from trainer.drills.heard import Color, HeardChord, color
from trainer.drills.question import Question, perform
from trainer.harmony.key import Mode
from trainer.harmony.numeral import Numeral, chord_of, chord_of_any, parse_any
from trainer.harmony.quality import QUALITY
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.sheet import Performance

USUAL: Mapping[Mode, Mapping[int, str]] = MappingProxyType(
    {
        "major": {0: "maj7", 2: "m7", 4: "m7", 5: "maj7", 7: "7", 8: "maj7", 9: "m7", 11: "m7b5"},
        "minor": {0: "m6", 2: "m7b5", 3: "maj7", 5: "m7", 7: "7", 8: "maj7", 10: "7", 11: "dim7"},
    }
)
"""The chord a bare degree means, by half steps above the tonic (common practice, no source); else a 7."""

SOUNDS: Mapping[Color, str] = MappingProxyType(
    {
        "major": "maj7", "minor": "m7", "minor-major": "mMaj7", "dominant": "7",
        "half-diminished": "m7b5", "diminished": "dim7", "augmented": "aug",
        "suspended": "7sus4", "open": "5",
    }
)  # fmt: skip
"""What is played for a color."""


def heard_row(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The question as a row of degrees has it: its chords in the blanks. Roles are `answer`."""
    chords = list(question.chords)
    if answer.choice is not None and question.choices is not None:
        row = question.choices[answer.choice]
        heard = [chord_of_any(parse_any(text), question.key).practical() for text in row]
    else:
        asked = [question.chords[index] for index in question.blanks]
        heard = [chord_meant(question, mine, right) for mine, right in zip(answer.row or (), asked, strict=False)]
    for index, chord in zip(question.blanks, heard, strict=False):
        chords[index] = chord
    return perform(question, chords, question.beats, helps, "answer")


def chord_meant(question: Question, heard: HeardChord, right: ChordSymbol) -> ChordSymbol:
    """The chord that one part of an answer means; as asked where it was left out."""
    if not heard.degrees:
        return right
    degree = heard.degrees[0]
    same_root = (right.root.pitch_class - question.key.tonic.pitch_class) % 12 == degree.semitones
    if same_root and (heard.colors is None or color(right.quality) in heard.colors):
        return right
    if heard.colors:
        quality = QUALITY[SOUNDS[sorted(heard.colors)[0]]]
    else:
        quality = QUALITY[USUAL[question.key.mode].get(degree.semitones, "7")]
    return chord_of(Numeral(degree, quality), question.key).practical()
