"""An answer for the ear: the key's cadence, notes that point, chords in whole bars."""

from fractions import Fraction

import pytest
from music21 import interval, note

from trainer.harmony.key import parse_key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.voicing.pointed import LOWEST_TONIC, Pointed, perform_pointed
from trainer.voicing.sheet import Performance


def lone_notes(played: Performance) -> list[tuple[float, int]]:
    """Notes that begin with no other."""
    notes = [one for one in played.score.notes if one.role == "answer"]
    alone = [one for one in notes if sum(other.onset_s == one.onset_s for other in notes) == 1]
    return [(one.onset_s, one.midi) for one in alone]


@pytest.mark.parametrize("tonic", ["C", "F#", "Bb", "g", "c#"])
def test_two_notes_say_the_degree_as_an_interval(tonic: str) -> None:
    """From tonic to root each chord's two notes make the interval that music21 has for its degree, upward."""
    key = parse_key(tonic)
    chords = {steps: chord_of(parse_numeral(text), key) for text, steps in (("ii7", 2), ("V7", 7), ("bII7", 1))}
    groups = [Pointed((0, steps), (chord,)) for steps, chord in chords.items()]
    notes = lone_notes(perform_pointed(groups, key))
    assert 2 * len(groups) == len(notes)
    for (steps, chord), (_, low), (_, high) in zip(chords.items(), notes[::2], notes[1::2], strict=True):
        assert (key.tonic.pitch_class, chord.root.pitch_class) == (low % 12, high % 12)
        assert LOWEST_TONIC <= low < LOWEST_TONIC + 12
        assert steps == interval.Interval(note.Note(midi=low), note.Note(midi=high)).semitones


def test_each_group_fills_whole_bars() -> None:
    """Two quarters and one, two or three half notes: the next group begins a bar, the last chord rings until then."""
    key = parse_key("Eb")
    five, one = (chord_of(parse_numeral(text), key) for text in ("V7", "Imaj7"))
    for count, bars in ((1, 1), (2, 2), (3, 2)):
        group = Pointed((0, 7), (five, one, five)[:count])
        played = perform_pointed([group, Pointed((0, 0), (one,))], key)
        bar_s = 4 * 60 / played.score.tempos[-1].quarters_per_minute
        starts = [at for at, midi in lone_notes(played) if midi % 12 == key.tonic.pitch_class]
        assert pytest.approx(bars * bar_s) == starts[1] - starts[0]
        asked = [chord for chord in played.chords if chord.role == "answer"]
        assert pytest.approx(starts[1]) == asked[count - 1].until_s


def test_no_group_leaves_the_key_alone() -> None:
    """Then only the key's cadence sounds, for its two bars."""
    played = perform_pointed([], parse_key("A"))
    assert {"confirm"} == {one.role for one in played.score.notes}
    assert ["A", "D", "E", "A"] == [chord.symbol.text for chord in played.chords]
    assert pytest.approx(6 * 60 / 100) == played.score.duration_s
    assert Fraction(played.score.duration_s).limit_denominator(10) == Fraction(18, 5)
