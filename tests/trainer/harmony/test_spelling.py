"""Pitches, intervals, keys and chord symbols: spelling, transposing and reading back."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.harmony.vocabulary import (
    MAJOR_TONICS,
    chords,
    intervals,
    keys,
    names,
    plain_names,
    qualities,
)
from trainer.errors import KeyfarerError
from trainer.harmony.interval import Interval, between, degree_interval, practical, readable, transposed
from trainer.harmony.key import Key, KeyNameError, parse_key, simplest_key
from trainer.harmony.pitch import (
    NoteName,
    NoteNameError,
    Pitch,
    parse_note_name,
    pitch_at_or_above,
    simplest_name,
)
from trainer.harmony.quality import QUALITIES, QUALITY, TONES, Quality, semitones_of
from trainer.harmony.suffix import ChordError, parse_quality, quality_of
from trainer.harmony.symbol import ChordSymbol, parse_chord


@given(names)
def test_a_note_name_reads_back(name: NoteName) -> None:
    """Reading what was written gives the note name."""
    assert name == parse_note_name(str(name))


@pytest.mark.parametrize(
    ("text", "written"), [("B♭", "Bb"), ("F♯", "F#"), ("Fx", "F##"), ("E♭♭", "Ebb"), ("G𝄪", "G##"), ("C♮", "C")]
)
def test_other_signs_for_accidentals_are_read(text: str, written: str) -> None:
    """Accidentals are read as printed music writes them too."""
    assert written == str(parse_note_name(text))


@pytest.mark.parametrize(("text", "column"), [("", 1), ("H", 1), ("c", 1), ("C###", 4), ("Cb#", 3), ("Cbm", 3)])
def test_what_is_no_note_name_is_told_by_column(text: str, column: int) -> None:
    """A faulty note name is refused with its column."""
    with pytest.raises(NoteNameError) as error:
        parse_note_name(text)
    assert column == error.value.column


@pytest.mark.parametrize(
    ("pitch", "midi"),
    [
        (Pitch("C", 0, 4), 60), (Pitch("A", 0, 4), 69), (Pitch("B", 1, 3), 60), (Pitch("C", -1, 4), 59),
        (Pitch("E", -1, 2), 39), (Pitch("C", 0, -1), 0), (Pitch("G", 0, 9), 127),
    ],
)  # fmt: skip
def test_midi_numbers_of_pitches(pitch: Pitch, midi: int) -> None:
    """C4 is MIDI 60 and the octave is the letter's (MIDI 1.0 and scientific pitch notation, from memory)."""
    assert midi == pitch.midi
    assert pitch.name.pitch_class == midi % 12


@given(names, st.integers(0, 120))
def test_a_name_is_placed_at_or_above_a_key(name: NoteName, midi: int) -> None:
    """A name is placed less than an octave above the key asked for, under its own name."""
    pitch = pitch_at_or_above(name, midi)
    assert midi <= pitch.midi < midi + 12
    assert name == pitch.name


@pytest.mark.parametrize(
    ("interval", "name"),
    [
        (Interval(0, 0), "P1"), (Interval(1, 1), "m2"), (Interval(1, 2), "M2"), (Interval(2, 3), "m3"),
        (Interval(3, 6), "A4"), (Interval(4, 6), "d5"), (Interval(4, 8), "A5"), (Interval(6, 9), "d7"),
        (Interval(6, 10), "m7"), (Interval(7, 12), "P8"), (Interval(8, 13), "m9"), (Interval(-1, -2), "-M2"),
        (Interval(0, -1), "-A1"), (Interval(12, 21), "M13"),
    ],
)  # fmt: skip
def test_names_of_intervals(interval: Interval, name: str) -> None:
    """Intervals are named as every rudiments book does (common practice, no source)."""
    assert name == interval.name == str(interval)


@given(names, names)
def test_the_interval_between_two_names_leads_from_one_to_the_other(low: NoteName, high: NoteName) -> None:
    """Transposing the lower name by the interval between them gives the upper one, spelling and all."""
    assert high == transposed(low, between(low, high))


@given(st.builds(Pitch, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(0, 8)), intervals)
def test_transposing_there_and_back_is_nothing(pitch: Pitch, by: Interval) -> None:
    """A pitch moved and moved back is itself, and moves by the interval's half steps."""
    moved = transposed(pitch, by)
    assert pitch == transposed(moved, -by)
    assert by.semitones == moved.midi - pitch.midi
    assert moved.name == transposed(pitch.name, by)


@given(chords, intervals)
def test_a_chord_transposed_there_and_back_is_itself(chord: ChordSymbol, by: Interval) -> None:
    """A chord keeps its spelling through a transposition and back, as long as no root had to be respelled."""
    moved = chord.transposed(by)
    exact = [transposed(name, by) for name in (chord.root, chord.bass_name)]
    if all(readable(name) == name for name in exact):
        assert chord == moved.transposed(-by)
        assert tuple(transposed(tone, by) for tone in chord.tones) == moved.tones
    shifted = {(pitch_class + by.semitones) % 12 for pitch_class in chord.pitch_classes}
    assert shifted == moved.pitch_classes
    assert abs(moved.root.alteration) <= 2


@given(chords)
def test_a_chord_reads_back(chord: ChordSymbol) -> None:
    """Reading what was written gives the chord."""
    assert chord == parse_chord(chord.text)
    assert str(chord) == chord.text


@given(qualities)
def test_a_quality_is_found_by_its_tones(quality: Quality) -> None:
    """Tones give their quality back, row of the table or composed."""
    assert quality == quality_of(quality.tones)
    assert quality == parse_quality(quality.spelling)


@given(chords)
def test_tones_are_spelled_by_letters(chord: ChordSymbol) -> None:
    """Each tone stands as many letters above the root as its degree says, and sounds as the quality has it."""
    root = chord.root.pitch_class
    assert all(
        (degree - 1) % 7 == between(chord.root, name).steps
        for (degree, _), name in zip(chord.quality.tones, chord.tones, strict=True)
    )
    assert {(root + step) % 12 for step in chord.quality.intervals} == {tone.pitch_class for tone in chord.tones}


@pytest.mark.parametrize(
    ("symbol", "tones"),
    [
        ("Db7", "Db F Ab Cb"), ("Gbmaj7", "Gb Bb Db F"), ("F#7", "F# A# C# E"), ("Abm7b5", "Ab Cb Ebb Gb"),
        ("C°7", "C Eb Gb Bbb"), ("B7#9", "B D# F# A C##"), ("C13", "C E G Bb D F A"), ("C13sus4", "C F G Bb D A"),
        ("C7alt", "C E Bb Db D# F# Ab"), ("Em11", "E G B D F# A"), ("Bb6/9", "Bb D F G C"), ("F5", "F C"),
        ("EbmMaj7", "Eb Gb Bb D"), ("Cmaj7#11", "C E G B F#"), ("G7sus4b9", "G C D F Ab"),
    ],
)  # fmt: skip
def test_tones_of_chords(symbol: str, tones: str) -> None:
    """Chords spelled as textbooks do (Levine, The Jazz Theory Book, 1995; Piston, Harmony; from memory)."""
    assert tones == " ".join(map(str, parse_chord(symbol).tones))


@pytest.mark.parametrize(
    ("symbol", "house"),
    [
        ("C♭", "Cb"), ("C♯m7", "C#m7"), ("CΔ", "Cmaj7"), ("CM7", "Cmaj7"), ("C-", "Cm"), ("C+", "Caug"),
        ("C-7-5", "Cm7b5"), ("C7-9+11", "C7b9#11"), ("C°", "Cdim"), ("Cø", "Cm7b5"), ("C6/9/E", "C6/9/E"),
        ("C7(b9, #11)", "C7b9#11"), ("C7[♭9]", "C7b9"), ("C7b9#11", "C7b9#11"), ("C−7", "Cm7"), ("Cb9", "Cb9"),
        ("C#9", "C#9"), ("C(b5)", "C(b5)"), ("C2", "Csus2"), ("C4", "Csus4"), ("Ab/C", "Ab/C"), ("C+7", "C7#5"),
        ("C7+", "C7#5"), ("C69", "C6/9"), ("CMI7", "Cm7"), ("CMA7", "Cmaj7"), ("Comit3", "C5"), ("Co7", "Cdim7"),
        ("Cm7(9,11)", "Cm11"), ("C7#11b9", "C7b9#11"), ("C9(13)", "C9add13"), ("C/C♭", "C/Cb"),
    ],
)  # fmt: skip
def test_spellings_that_players_write(symbol: str, house: str) -> None:
    """Other writings come out in the house spelling, the rules of `-`, `+`, accidentals and slashes held."""
    assert house == parse_chord(symbol).text


@pytest.mark.parametrize(
    ("symbol", "column", "expected"),
    [
        ("", 1, "a root"), ("H7", 1, "a root"), ("c7", 1, "a root"), ("Cfoo", 2, "quality"), ("Cmaj8", 5, "b9"),
        ("C7b9b9", 5, "each tone once"), ("Cm7#9", 4, "minor third"), ("C7b10", 3, "b9"),
        ("C13b13", 4, "one thirteenth"),
        ("C7(b9", 3, "for this bracket"), ("C7b9)", 5, "brackets"), ("C7()", 4, "brackets"), ("C/e", 3, "capital: E"),
        ("C/", 3, "bass note"), ("C7/9", 3, "after a 6"), ("Eb/Cmaj7", 5, "chord over a chord"), ("C-5", 3, "minor"),
        ("Cdim7sus4", 6, "third to suspend"), ("Cdim7#5", 6, "fifth"), ("C7altb9", 6, "once"), ("Cmaj7alt", 6, "`alt`"),
        ("Cdom", 5, "7, 9, 11 or 13"), ("C7no9", 3, "to leave out"), ("C11b11", 4, "#11"), ("Csus47", 6, "suspension"),
        ("C7#13", 3, "b13"), ("CΔ6", 3, "7, 9, 11 or 13"),
    ],
)  # fmt: skip
def test_what_is_no_chord_is_told_by_column(symbol: str, column: int, expected: str) -> None:
    """A faulty chord is refused with its column, what was found and what would have been accepted."""
    with pytest.raises(ChordError) as error:
        parse_chord(symbol)
    assert (symbol, column) == (error.value.text, error.value.column)
    assert expected in error.value.expected
    assert error.value.found
    assert isinstance(error.value, KeyfarerError)


@given(st.text(alphabet="CDb#m79/()+-,suj41Δø° ", max_size=9))
def test_no_text_breaks_the_reader(text: str) -> None:
    """Any text is read as a chord that reads back, or refused with a column inside it or right after it."""
    try:
        chord = parse_chord(text)
    except ChordError as error:
        assert 1 <= error.column <= len(text) + 1
    else:
        assert chord == parse_chord(chord.text)
        assert 0 in chord.quality.intervals


def test_an_error_survives_a_process_border() -> None:
    """A refusal can be sent from a worker process and says the same there."""
    with pytest.raises(ChordError) as error:
        parse_chord("Cmaj8")
    sent = pickle.loads(pickle.dumps(error.value))
    assert (str(error.value), 5) == (str(sent), sent.column)


def test_double_accidentals_give_way_only_where_they_must() -> None:
    """Roots keep double accidentals, lose triple ones, and a player's spelling has neither."""
    third_up = degree_interval(3)
    assert "F##m7" == parse_chord("D#m7").transposed(third_up).text
    assert "Fm7" == parse_chord("B##m7").transposed(third_up).text
    assert NoteName("B") == readable(NoteName("G", 4))
    assert NoteName("D") == practical(NoteName("E", -2))
    assert NoteName("C", -1) == practical(NoteName("C", -1))
    assert "D7/A" == ChordSymbol(NoteName("E", -2), QUALITY["7"], NoteName("B", -2)).practical().text


@pytest.mark.parametrize("prefer_flats", [True, False])
def test_each_pitch_class_has_a_simplest_name(prefer_flats: bool) -> None:
    """The simplest name of a pitch class sounds as it does, with one accidental of the side asked for."""
    for pitch_class in range(12):
        name = simplest_name(pitch_class, prefer_flats)
        assert pitch_class == name.pitch_class
        assert name.alteration in ((0, -1) if prefer_flats else (0, 1))


@given(keys)
def test_a_key_reads_back(key: Key) -> None:
    """Reading a key's name gives the key."""
    assert key == parse_key(key.name) == parse_key(str(key))


@pytest.mark.parametrize(
    ("text", "name", "fifths"),
    [
        ("C", "C major", 0), ("Eb", "Eb major", -3), ("F# minor", "F# minor", 3), ("g", "G minor", -2),
        ("Gm", "G minor", -2), ("bb", "Bb minor", -5), ("b", "B minor", 2), ("D♭", "Db major", -5),
        ("Cb", "Cb major", -7), ("C#", "C# major", 7), ("d#", "D# minor", 6), ("Ab minor", "Ab minor", -7),
        ("G# major", "G# major", 8), ("d major", "D major", 2), ("E-", "E minor", 1),
    ],
)  # fmt: skip
def test_keys_and_their_signatures(text: str, name: str, fifths: int) -> None:
    """Keys are read as players write them, with the signatures of the circle of fifths (common practice)."""
    assert (name, fifths) == (parse_key(text).name, parse_key(text).fifths)


@pytest.mark.parametrize(("text", "column"), [("", 1), ("H", 1), ("C lydian", 3), ("Cmaj7", 2), ("none", 1)])
def test_what_is_no_key_is_told_by_column(text: str, column: int) -> None:
    """A faulty key is refused with its column."""
    with pytest.raises(KeyNameError) as error:
        parse_key(text)
    assert column == error.value.column


@given(plain_names)
def test_a_signature_counts_the_scales_accidentals(tonic: NoteName) -> None:
    """The sharps or flats of a signature are those of the scale's seven notes, in either mode."""
    for key in (Key(tonic, "major"), Key(tonic, "minor")):
        assert key.fifths == sum(name.alteration for name in key.scale)
        assert "CDEFGAB" == "".join(sorted((name.letter for name in key.scale), key="CDEFGAB".index))


def test_simplest_keys() -> None:
    """Each tonic gets its usual key, F# before Gb unless flats are asked for, Eb minor before D#."""
    major = [str(simplest_key(pitch_class, "major").tonic) for pitch_class in range(12)]
    minor = [str(simplest_key(pitch_class, "minor").tonic) for pitch_class in range(12)]
    assert "C Db D Eb E F F# G Ab A Bb B".split() == major
    assert "C C# D Eb E F F# G G# A Bb B".split() == minor
    assert "Gb major" == simplest_key(6, "major", prefer_flats=True).name
    assert set(major) <= set(MAJOR_TONICS)


def test_the_table_of_qualities_holds() -> None:
    """Ids, spellings and tones are unique, tones stand in order from the root, and composed ones are equal by id."""
    assert len(QUALITIES) == len(QUALITY) == len(TONES)
    for quality in QUALITIES:
        assert (1, 0) == quality.tones[0]
        assert tuple(sorted(quality.tones)) == quality.tones
        assert (quality.spelling or "maj") == quality.id == str(quality)
        assert all(0 <= semitones_of(tone) <= 22 for tone in quality.tones)
    composed = parse_quality("7b5b9b13")
    assert composed == parse_quality("7(b5,b9,b13)") == Quality(composed.id, "", (), (), "", ())


@pytest.mark.parametrize(
    ("suffix", "third", "fifth", "seventh"),
    [
        ("", "major", "perfect", None), ("m7b5", "minor", "diminished", "minor"), ("5", None, "perfect", None),
        ("dim7", "minor", "diminished", "diminished"), ("maj7#5", "major", "augmented", "major"),
        ("7sus4", None, "perfect", "minor"), ("7alt", "major", None, "minor"), ("m6", "minor", "perfect", None),
    ],
)  # fmt: skip
def test_what_a_quality_is_made_of(suffix: str, third: str, fifth: str, seventh: str) -> None:
    """Third, fifth and seventh are told by name (common practice, no source)."""
    quality = parse_quality(suffix)
    assert (third, fifth, seventh) == (quality.third, quality.fifth, quality.seventh)


def test_what_a_quality_can_do() -> None:
    """Sixths, suspensions, dominants, altered dominants and half-diminished chords are told apart."""

    def having(trait: str) -> set[str]:
        some = "6 m6/9 7 7sus4 sus2 9sus4 m7b5 7b9 13#11 m7b9 maj7#11 7alt aug add9 m9b5 dim7".split()
        return {text for text in some if getattr(QUALITY[text], trait)}

    assert {"6", "m6/9"} == having("sixth")
    assert {"7sus4", "sus2", "9sus4"} == having("suspended")
    assert {"7", "7sus4", "9sus4", "7b9", "13#11", "7alt"} == having("dominant")
    assert {"7b9", "13#11", "7alt"} == having("altered")
    assert {"m7b5", "m9b5"} == having("half_diminished")


@pytest.mark.parametrize(
    ("suffix", "left_out"),
    [
        ("13", {(11, 0)}), ("maj13", {(11, 0)}), ("11", {(3, 0)}), ("m11", set()), ("m13", set()), ("13#11", set()),
        ("add9add11", set()), ("13sus4", set()), ("13b9", {(11, 0)}),
    ],
)  # fmt: skip
def test_players_leave_out_the_rub(suffix: str, left_out: set[tuple[int, int]]) -> None:
    """A natural 11th and a major third are not played together in full chords (common practice, no source)."""
    quality = QUALITY[suffix]
    assert left_out == set(quality.tones) - set(quality.played_tones)
