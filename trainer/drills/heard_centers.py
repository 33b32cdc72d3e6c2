"""A passage as an answer has its key centers, to be set beside what was asked."""

from collections.abc import Sequence
from fractions import Fraction

from trainer.drills.confirmed_centers import PLAINEST, stays
from trainer.drills.material import spelled
from trainer.drills.question import Question, perform
from trainer.harmony.interval import between
from trainer.harmony.key import Key
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.performance import Performance


def heard_in_turn(question: Question, centers: Sequence[Key], helps: Sequence[str] = ()) -> Performance:
    """A question's stays, each moved to a center; one whose mode changes is a plain cadence there."""
    chords: list[ChordSymbol] = []
    beats: list[Fraction] = []
    for stay, new in zip(stays(question.centers), centers, strict=False):
        old = question.centers[stay.start]
        if old.mode == new.mode:
            by = between(old.tonic, new.tonic)
            chords += [question.chords[n].transposed(by).practical() for n in stay]
            beats += [question.beats[n] for n in stay]
        else:
            cadence, lengths = _plain_cadence(new, question, len(stay))
            chords += cadence
            beats += [question.beats[n] for n in stay] if len(stay) == len(cadence) else lengths
    return perform(question, chords, beats, helps, "answer")


def heard_by_cadences(question: Question, centers: Sequence[Key], helps: Sequence[str] = ()) -> Performance:
    """Centers in turn, each told by a plain cadence: a whole tune's route in a short time."""
    chords: list[ChordSymbol] = []
    beats: list[Fraction] = []
    for center in centers:
        cadence, lengths = _plain_cadence(center, question)
        chords += cadence
        beats += lengths
    return perform(question, chords, beats, helps, "answer")


def _plain_cadence(center: Key, question: Question, count: int = 3) -> tuple[tuple[ChordSymbol, ...], list[Fraction]]:
    """Two, five and one: two bars. Where as many chords are wanted, home before, or four and home again after."""
    row = PLAINEST[center.mode][0]
    if count == len(row) + 1:
        row = (row[-1], *row)
    elif count == len(row) + 2:
        row = (*row, "IVmaj7" if center.mode == "major" else "iv7", row[-1])
    chords, _ = spelled(row, center)
    bar = Fraction(question.meter.beats)
    return chords, [*[bar / 2] * (len(row) - 1), bar]
