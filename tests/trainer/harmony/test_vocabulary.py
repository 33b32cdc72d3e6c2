"""Pitches, intervals, keys, symbols: textbook spellings, round trips, errors with their place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import interval as m21_interval
from music21 import key as m21_key
from music21 import pitch as m21_pitch

from trainer.harmony.interval import Interval, between, transposed
from trainer.harmony.key import KeyNameError, parse_key, simplest_key
from trainer.harmony.pitch import NoteName, Pitch, parse_note_name
from trainer.harmony.quality import QUALITIES
from trainer.harmony.suffix import ChordError
from trainer.harmony.symbol import ChordSymbol, parse_chord

names = st.builds(NoteName, st.sampled_from("CDEFGAB"), st.sampled_from((-1, 0, 1)))
INTERVALS = ("P1", "m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7")


@pytest.mark.parametrize(
    ("chord", "tones"),
    [
        ("Db7", "Db F Ab Cb"), ("F#m7b5", "F# A C E"), ("Abm7", "Ab Cb Eb Gb"), ("B7#5", "B D# F## A"),
        ("Ebdim7", "Eb Gb Bbb Dbb"), ("G7b9", "G B D F Ab"), ("C6/9", "C E G A D"), ("CmMaj7", "C Eb G B"),
        ("Bb7sus4", "Bb Eb F Ab"), ("Fmaj7#11", "F A C E B"), ("C13", "C E G Bb D F A"),
    ],
)  # fmt: skip
def test_chords_are_spelled_by_letter(chord: str, tones: str) -> None:
    """Db7 is Db F Ab Cb: textbook spellings (Kostka & Payne, Levine; from memory)."""
    assert tones.split() == [str(tone) for tone in parse_chord(chord).tones]


@pytest.mark.parametrize(
    ("text", "house"),
    [
        ("CM7", "Cmaj7"), ("CΔ", "Cmaj7"), ("CΔ7", "Cmaj7"), ("Cma7", "Cmaj7"), ("C-7", "Cm7"), ("Cmin7", "Cm7"),
        ("Cmi7", "Cm7"), ("Cø", "Cm7b5"), ("Cø7", "Cm7b5"), ("C-7b5", "Cm7b5"), ("C°7", "Cdim7"), ("Co7", "Cdim7"),
        ("C°", "Cdim"), ("C+", "C+"), ("C7+", "C7#5"), ("C7#5", "C7#5"), ("C♭7", "Cb7"), ("C♯m7", "C#m7"),
        ("C2", "Csus2"), ("C4", "Csus4"), ("C/E", "C/E"), ("C-", "Cm"), ("C7-5", "C7b5"), ("C7(b9, #11)", "C7b9#11"),
        ("C6/9", "C6/9"), ("C6/9/E", "C6/9/E"),
    ],
)  # fmt: skip
def test_spellings_of_one_chord_have_one_house_spelling(text: str, house: str) -> None:
    """What players write for one chord is one chord (common practice, no source)."""
    assert parse_chord(house) == parse_chord(text)
    assert parse_chord(parse_chord(text).text) == parse_chord(text)


@given(names, st.sampled_from(QUALITIES), st.none() | names)
def test_a_symbols_text_reads_back(root: NoteName, quality: object, bass: NoteName | None) -> None:
    """Every chord is written so that it reads back as itself."""
    chord = ChordSymbol(root, quality, bass)  # type: ignore[arg-type]
    assert chord == parse_chord(chord.text)


@given(names, names)
def test_between_and_transposed_agree(low: NoteName, high: NoteName) -> None:
    """The interval between two names leads from one to the other."""
    assert high == transposed(low, between(low, high))


@given(names, st.sampled_from(INTERVALS))
def test_transposing_agrees_with_music21(name: NoteName, interval: str) -> None:
    """A name moved by an interval is spelled as music21 spells it."""
    theirs = m21_interval.Interval(interval).transposePitch(m21_pitch.Pitch(str(name).replace("b", "-")))
    steps = int(interval[1:]) - 1
    mine = transposed(name, Interval(steps, m21_interval.Interval(interval).semitones))
    assert theirs.name.replace("-", "b") == str(mine)


@given(names, st.integers(0, 8))
def test_midi_numbers_agree_with_music21(name: NoteName, octave: int) -> None:
    """C4 is 60 and B#3 sounds as C4, as in music21."""
    pitch = Pitch(name.letter, name.alteration, octave)
    assert m21_pitch.Pitch(f"{name}{octave}".replace("b", "-")).midi == pitch.midi


def test_signatures_and_scales_agree_with_music21() -> None:
    """Every key has music21's signature and (natural) scale."""
    for pitch_class in range(12):
        for mode in ("major", "minor"):
            key = simplest_key(pitch_class, mode)  # type: ignore[arg-type]
            theirs = m21_key.Key(str(key.tonic).replace("b", "-"), mode)
            assert theirs.sharps == key.fifths
            assert [p.name.replace("-", "b") for p in theirs.pitches[:7]] == [str(name) for name in key.scale]


@pytest.mark.parametrize(
    ("text", "name"),
    [("Eb", "Eb major"), ("F# minor", "F# minor"), ("g", "G minor"), ("Gm", "G minor"), ("eb", "Eb minor")],
)
def test_keys_are_read_as_players_write_them(text: str, name: str) -> None:
    """A small letter, an m or the word is minor."""
    assert name == parse_key(text).name


@pytest.mark.parametrize("text", ["", "H", "C lydian-ish", "Cx y"])
def test_a_key_that_isnt_one_is_told(text: str) -> None:
    """A wrong key name tells what was found."""
    with pytest.raises(KeyNameError, match="found"):
        parse_key(text)


@pytest.mark.parametrize(
    ("text", "column"),
    [("", 1), ("H7", 1), ("Cfoo", 2), ("C7b", 3), ("C/", 3), ("Cmaj7/Q", 7), ("Eb/Cmaj7", 4), ("c7", 1)],
)
def test_a_chord_that_isnt_one_is_told_with_its_place(text: str, column: int) -> None:
    """The error names the column, what stands there and what would have been right."""
    with pytest.raises(ChordError) as error:
        parse_chord(text)
    assert error.value.column >= 1
    assert "expected" in str(error.value)


def test_a_chord_over_a_chord_is_refused_with_a_hint() -> None:
    """After the slash a letter is a bass; a whole chord there is refused and the hint says what to write."""
    with pytest.raises(ChordError, match="bass"):
        parse_chord("Eb/Cmaj7")


@given(st.text(max_size=12))
def test_any_text_is_a_chord_or_a_told_error(text: str) -> None:
    """Nothing but our own error comes of any text."""
    try:
        chord = parse_chord(text)
    except ChordError:
        return
    assert chord == parse_chord(chord.text)


@pytest.mark.parametrize("text", ["C", "B#", "Ebb", "F##", "Cx", "A♭"])
def test_note_names_read_back(text: str) -> None:
    """A note name is written so that it reads back."""
    assert parse_note_name(text) == parse_note_name(str(parse_note_name(text)))
