"""Choices: the right one once, as many as the rung says, all as long, and none that sounds like it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import CATCHING, NAMING, seeds
from trainer.drills import kinds
from trainer.drills.ambiguity import Sounding, fits, other_rows, sounding, stands_for_substitute
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.harmony.symbol import parse_chord
from trainer.voicing.leading import voice

OFFERED = {1: 3, 2: 4}


@given(st.sampled_from(NAMING), st.sampled_from([1, 2]), seeds)
def test_choices_of_functions(unit: str, rung: int, seed: int) -> None:
    """Of 3 or of 4, all as long; the right one stands there once and nothing else offered is accepted."""
    question = kinds.build("name-functions", unit, rung, seed)
    choices = question.choices
    assert choices is not None
    assert OFFERED[rung] == len(choices) == len(set(choices))
    assert {len(question.blanks)} == {len(row) for row in choices}
    assert 1 == sum(row in question.accepted for row in choices)
    assert 1 / len(choices) == question.guess_chance


@given(st.sampled_from(NAMING), st.sampled_from([1, 2]), seeds)
def test_no_choice_sounds_like_another(unit: str, rung: int, seed: int) -> None:
    """Any two choices, played in the question's key over their basses, differ in what sounds."""
    question = kinds.build("name-functions", unit, rung, seed)
    assert question.choices is not None
    sounds = set()
    for row in question.choices:
        chords = [chord_of(parse_numeral(text), question.key) for text in row]
        voiced = voice(chords, "close")
        sounds.add(
            tuple((v.bass.midi % 12 if v.bass else None, frozenset(key.midi % 12 for key in v.keys)) for v in voiced)
        )
    assert len(question.choices) == len(sounds)


@pytest.mark.parametrize("unit", NAMING)
def test_what_it_is_taken_for_is_offered(unit: str) -> None:
    """Over many questions the types that the table says it is taken for come up, where they are as long."""
    offered = {row for seed in range(30) for row in kinds.build("name-functions", unit, 2, seed).choices or ()}
    cadence = CADENCE[unit]
    same_length = [
        CADENCE[other]
        for other in cadence.taken_for
        if len(CADENCE[other].formula) == len(cadence.formula) and not CADENCE[other].degrees
    ]
    for other in same_length:
        roots = [parse_numeral(text).degree for text in other.formula]
        assert any([parse_numeral(text).degree for text in row] == roots for row in offered), other.id


@given(st.sampled_from(CATCHING), st.sampled_from([1, 2]), seeds)
def test_choices_of_interruptions(unit: str, rung: int, seed: int) -> None:
    """Of 3 or of 4; none at all is always one of them, the others differ in place or in distance."""
    question = kinds.build("catch-interruption", unit, rung, seed)
    choices = question.choices
    assert choices is not None
    assert OFFERED[rung] == len(choices) == len(set(choices))
    assert 1 == choices.count(("no",))
    assert 1 == sum(row in question.accepted for row in choices)
    assert all(1 < int(row[1]) <= len(question.chords) for row in choices if row != ("no",))


@pytest.mark.parametrize(
    ("notes", "symbol", "expected"),
    [
        ("F A C E", "Fmaj7", True),
        ("F A C E", "Dm9", True),
        ("F A C E", "Am", False),
        ("Cb Eb F Ab", "G7alt", True),
        ("Cb Eb F Ab", "Db9", True),
        ("B D F Ab", "G7b9", True),
        ("B D F Ab", "Bdim7", True),
        ("B D F Ab", "Ddim7", True),
        ("B D F A", "G9", True),
        ("B D F A", "G7b9", False),
    ],
)
def test_rootless_voicings_fit_more_than_one_chord(notes: str, symbol: str, expected: bool) -> None:
    """A rootless Dm9 is Fmaj7, V7alt is bII9, a dim7 has four roots (common practice, no source)."""
    heard = Sounding(None, frozenset(parse_chord(name).root.pitch_class for name in notes.split()), rooted=False)
    assert expected == fits(heard, parse_chord(symbol))


def test_a_bass_settles_it() -> None:
    """Over its bass the same voicing is one chord only."""
    keys = frozenset(parse_chord(name).root.pitch_class for name in ("F", "A", "C", "E"))
    assert fits(Sounding(2, keys, rooted=False), parse_chord("Dm9"))
    assert not fits(Sounding(2, keys, rooted=False), parse_chord("Fmaj7"))


def test_a_dominant_without_bass_may_be_its_substitute() -> None:
    """A rootless dominant with an altered color stands for the one a tritone away too."""
    chords = [parse_chord("Dm7b5"), parse_chord("G7b9"), parse_chord("Cm6")]
    for with_bass in (False, True):
        heard = sounding(voice(chords, "rootless", with_bass), "rootless")
        assert with_bass != stands_for_substitute(heard[1], chords[1])


@given(st.sampled_from(NAMING), seeds)
def test_without_a_bass_the_answer_stays_determined(unit: str, seed: int) -> None:
    """On the top rung the bass stays away only where the notes leave one row of degrees."""
    question = kinds.build("name-functions", unit, 6, seed)
    if question.with_bass:
        return
    voiced = voice(question.chords, question.style, False, start_on=question.start_on)
    heard = sounding([voiced[index] for index in question.blanks], question.style)
    chords = [question.chords[index] for index in question.blanks]
    assert not any(map(stands_for_substitute, heard, chords))
    right = [parse_numeral(question.numerals[index]).degree.semitones for index in question.blanks]
    for other in other_rows(heard, question.key):
        assert right == [parse_numeral(text).degree.semitones for text in other.numerals]


def test_some_questions_do_without_a_bass() -> None:
    """The top rung does leave the bass out where it may, and never on the rungs below."""
    seen = {kinds.build("name-functions", "major-two-five-one", 6, seed).with_bass for seed in range(60)}
    assert {True, False} == seen


@given(st.sampled_from(NAMING), seeds)
def test_the_asked_row_fits_its_own_sound(unit: str, seed: int) -> None:
    """Judged from the notes, the asked row is always among those that fit."""
    question = kinds.build("name-functions", unit, 3, seed)
    voiced = voice(question.chords, question.style, True, start_on=question.start_on)
    heard = sounding([voiced[index] for index in question.blanks], question.style)
    assert all(fits(one, chord) for one, chord in zip(heard, question.chords, strict=True))


def test_what_sounds_the_same_in_another_key_is_accepted_too() -> None:
    """Where no key is given, IV over 5 to I is accepted as four and as a suspended five."""
    question = next(
        q
        for q in (kinds.build("name-functions", "sus-five-one", 4, seed) for seed in range(200))
        if q.numerals == ("IV/5", "Imaj7")
    )
    assert {("IV/5", "Imaj7"), ("V9sus4", "Imaj7")} <= set(question.accepted)
    for text in ("4 1", "5 1", "Vsus I"):
        assert kinds.mark_answer(question, kinds.read_answer(question, text)).exact
    assert parse_key("C").mode == question.key.mode
