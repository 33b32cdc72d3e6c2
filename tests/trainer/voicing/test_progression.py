"""A question's chords performed: times, confirmation, helps, accents."""

from fractions import Fraction
from itertools import groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st

from synth.score import Note
from tests.trainer.voicing.passages import chords, plain_passages, styles
from trainer.charts.chart import Meter
from trainer.harmony.key import Key, parse_key
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.hands import LATEST_S
from trainer.voicing.performance import Performance, joined, perform_progression
from trainer.voicing.shapes import Style
from trainer.voicing.sheet import signature

TWO_FIVE_ONE = chords("Dm7 G7 Cmaj7")


def of_role(performance: Performance, role: str) -> list[Note]:
    """The notes that are there for something."""
    return [note for note in performance.score.notes if note.role == role]


def onsets(notes: list[Note]) -> list[float]:
    """Each onset once, in order."""
    return sorted({note.onset_s for note in notes})


def test_chords_begin_where_their_beats_put_them() -> None:
    """At 120, chords of two, two and four beats begin at 0, 1 and 2 s, and the last ends at 4 s."""
    played = perform_progression(TWO_FIVE_ONE, [2, 2, 4], 120)
    assert [0.0, 1.0, 2.0] == onsets(list(played.score.notes))
    assert [(0.0, 1.0), (1.0, 2.0), (2.0, 4.0)] == [(one.from_s, one.until_s) for one in played.chords]
    assert 4.0 == played.score.duration_s
    assert ["question"] * 3 == [one.role for one in played.chords]


@given(
    plain_passages,
    styles,
    st.fractions(40, 300),
    st.booleans(),
    st.sampled_from([None, parse_key("Eb"), parse_key("f#")]),
    st.data(),
)
def test_every_note_belongs_to_its_chord(
    symbols: list[ChordSymbol],
    style: Style,
    tempo: Fraction,
    arpeggiate: bool,
    confirm: Key | None,
    data: st.DataObject,
) -> None:
    """Each chord's first note sounds when the chord is said to begin, and no note outlasts it."""
    beats = data.draw(st.lists(st.integers(1, 5), min_size=len(symbols), max_size=len(symbols)))
    played = perform_progression(symbols, beats, tempo, style, confirm=confirm, arpeggiate=arpeggiate)
    for chord in played.chords:
        inside = [note for note in played.score.notes if chord.from_s <= note.onset_s < chord.until_s]
        assert chord.from_s == min(note.onset_s for note in inside)
        assert all(note.onset_s + note.duration_s <= chord.until_s for note in inside)
        assert chord.voicing is not None
        assert sorted(chord.voicing.midi) == sorted(note.midi for note in inside)
        assert all(1 <= note.velocity <= 127 for note in inside)


@given(plain_passages, st.integers(30, 400), st.sampled_from([Meter(4, 4), Meter(6, 8)]))
def test_no_question_is_shorter_than_a_second(symbols: list[ChordSymbol], tempo: int, meter: Meter) -> None:
    """However quick the tempo, the question lasts a second in all."""
    played = perform_progression(symbols, [1] * len(symbols), tempo, meter=meter)
    assert played.chords[-1].until_s - played.chords[0].from_s >= 1 - 1e-9


@pytest.mark.parametrize(
    ("key", "expected"),
    [("C", ["C", "F", "G", "C"]), ("g", ["Gm", "Cm", "D", "Gm"]), ("Gb", ["Gb", "Cb", "Db", "Gb"])],
)
def test_a_key_is_confirmed_by_its_cadence(key: str, expected: list[str]) -> None:
    """I IV V I sounds first, ends before the question and lands on a downbeat."""
    played = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, confirm=parse_key(key))
    confirming = [one for one in played.chords if one.role == "confirm"]
    assert expected == [one.symbol.text for one in confirming]
    meters = played.score.meters
    assert (3, 4, 4, 4) == (meters[0].beats, meters[0].unit, meters[1].beats, meters[1].unit)
    bar = 3 * 60 / played.score.tempos[0].quarters_per_minute
    assert pytest.approx(bar) == confirming[-1].from_s
    assert pytest.approx(2 * bar) == meters[1].at_s == played.chords[4].from_s
    assert confirming[-1].until_s < played.chords[4].from_s


def test_a_key_is_confirmed_by_a_drone() -> None:
    """The tonic chord sounds on the drone, and stops before the question."""
    played = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, confirm=parse_key("a"), confirm_by="drone")
    drone = of_role(played, "confirm")
    assert {"drone"} == {note.part for note in drone}
    assert {9, 0, 4} == {note.midi % 12 for note in drone}
    assert max(note.onset_s + note.duration_s for note in drone) < min(onsets(of_role(played, "question")))


def test_roles_and_symbols_are_marked() -> None:
    """Markers say what begins: the confirmation with its key, the question, the answer, and each chord."""
    roles = ["question", "question", "answer"]
    played = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, confirm=parse_key("C"), roles=roles)
    marks = played.score.markers
    assert ["confirm", "question", "answer"] == [mark.text for mark in marks if mark.kind == "role"]
    assert ["C major"] == [mark.text for mark in marks if mark.kind == "center"]
    assert [(one.from_s, one.symbol.text) for one in played.chords] == [
        (mark.at_s, mark.text) for mark in marks if mark.kind == "chord"
    ]
    assert roles == [one.role for one in played.chords if one.role != "confirm"]


def test_the_helps() -> None:
    """Bass only, guide tones only, slower and arpeggiated are the same question otherwise."""
    plain = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120)
    bass = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, with_bass=False, hearing="bass")
    guide = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, hearing="guide-tones")
    slow = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, slower=Fraction(3, 2))
    broken = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, arpeggiate=True)
    assert {"bass"} == {note.part for note in bass.score.notes}
    assert [2, 7, 0] == [note.midi % 12 for note in bass.score.notes]
    assert [{5, 0}, {11, 5}, {4, 11}] == [
        {note.midi % 12 for note in notes} for _, notes in groupby(guide.score.notes, key=lambda note: note.onset_s)
    ]
    assert [1.5 * one.from_s for one in plain.chords] == [one.from_s for one in slow.chords]
    assert 1.5 * plain.score.duration_s == slow.score.duration_s
    first = [note for note in broken.score.notes if note.onset_s < 2]
    assert sorted(note.midi for note in first) == [note.midi for note in first]
    assert len(first) == len({note.onset_s for note in first})


def test_downbeats_are_struck_harder() -> None:
    """Velocity falls from the downbeat to the middle of the bar to the weak beats, key confirmed or not."""
    played = perform_progression(chords("C C C C"), [1, 1, 1, 1], 100, confirm=parse_key("C"))
    one, two, three, four = (note.velocity for note in of_role(played, "question") if note.part == "bass")
    assert one > three > two == four


def test_looseness_is_seeded_and_slight() -> None:
    """With a seed the notes come a little late and uneven, the same each time; chords stay where they are."""
    plain = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120)
    loose = perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, seed=5)
    assert loose == perform_progression(TWO_FIVE_ONE, [4, 4, 4], 120, seed=5)
    assert loose != plain
    assert loose.chords == plain.chords
    for chord in loose.chords:
        inside = [note for note in loose.score.notes if chord.from_s <= note.onset_s < chord.until_s]
        assert all(note.onset_s <= chord.from_s + LATEST_S for note in inside)


@pytest.mark.parametrize(
    ("key", "expected"),
    [("Eb", "Eb"), ("F# minor", "F#m"), ("C#", "C#"), ("G#", None), ("Fb", None), ("Bb minor", "Bbm")],
)
def test_signatures_are_named_as_in_midi_files(key: str, expected: str | None) -> None:
    """Up to seven accidentals have a name (Standard MIDI Files 1.0: sf from -7 to 7)."""
    assert expected == signature(parse_key(key))


def test_joined_performances_follow_each_other_on_a_barline() -> None:
    """The second begins whole bars after the first, with its notes, marks and chords."""
    one = perform_progression(TWO_FIVE_ONE, [2, 2, 2], 120)
    two = perform_progression(chords("C F"), [4, 4], 60, confirm=parse_key("C"))
    both = joined(one, two)
    by = both.score.meters[1].at_s
    assert 4.0 == by
    assert len(one.score.notes) + len(two.score.notes) == len(both.score.notes)
    assert [chord.from_s + by for chord in two.chords] == [chord.from_s for chord in both.chords[3:]]
    assert by + two.score.duration_s == both.score.duration_s
    assert sorted(note.onset_s for note in both.score.notes) == [note.onset_s for note in both.score.notes]


def test_a_question_without_chords_is_refused() -> None:
    """Nothing to play is the caller's mistake."""
    with pytest.raises(ValueError, match="at least one chord"):
        perform_progression([], [], 120)
