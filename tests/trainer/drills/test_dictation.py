"""Dictation: every chord and center is read as it is asked; rows are typed plainly and marked part by part."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.center_cases import DICTATED, TAKEN_DOWN, ferry
from tests.trainer.drills.drilling import marked, seeds
from trainer.drills import dictation, kinds
from trainer.drills.answer import AnswerError
from trainer.drills.confirmed_centers import Confirmed, in_turn
from trainer.drills.dictation_answer import parts_of
from trainer.drills.holds import holds
from trainer.drills.question import Question
from trainer.drills.rungs import find_rung
from trainer.harmony.cadence import find_cadence
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import chord_of, parse_numeral

units = st.sampled_from(dictation.UNITS)


def dictated() -> Question:
    """I vi ii V I in C and ii V I in F, the key given, the answer free."""
    from fractions import Fraction
    from random import Random

    c, f = parse_key("C"), parse_key("F")
    rows = [(("Imaj7", "vi7", "ii7", "V7", "Imaj7"), c), (("ii7", "V7", "Imaj7"), f)]
    step = find_rung(3)
    passage = in_turn(rows, step, Random(1))
    assert isinstance(passage, Confirmed)
    cadence = find_cadence("one-six-two-five")
    question = dictation._question(cadence, step, passage, c, Random(1), 1, tempo=Fraction(108))
    assert question is not None
    return question


@given(units, st.integers(1, 6), seeds)
def test_the_reading_finds_every_chord_in_its_center(unit: str, rung: int, seed: int) -> None:
    """Read without the answer, each chord is in the asked center and on the asked degree of it."""
    question = kinds.build("dictation", unit, rung, seed)
    assert holds(question).functions
    bars = sum(question.beats) / question.meter.beats
    assert 4 <= bars <= 8
    assert len(question.chords) == len(question.blanks)
    assert len(question.centers) == len(question.chords)


@given(units, st.integers(1, 6), seeds)
def test_the_accepted_rows_are_the_chords_that_sound(unit: str, rung: int, seed: int) -> None:
    """Each accepted row, played in the centers that it names, is what sounds, and gets full credit as typed."""
    question = kinds.build("dictation", unit, rung, seed)
    for row in question.accepted:
        texts, centers = parts_of(question, row)
        for n, (text, chord) in enumerate(zip(texts, question.chords, strict=True)):
            key = question.key
            for center in centers:
                if center.at <= n and center.up is not None and center.mode is not None:
                    key = parse_key(f"{chord_of(parse_numeral('I'), question.key).root} {center.mode}")
                    up = center.up
                    break_at = (chord.root.pitch_class - key.tonic.pitch_class - up) % 12
                    degree = parse_numeral(text).degree.semitones
                    holds_here = all(other.at > n or other.at <= center.at for other in centers)
                    assert not holds_here or degree == break_at
            if not any(center.at <= n for center in centers):
                assert parse_numeral(text).degree.semitones == (
                    (chord.root.pitch_class - question.key.tonic.pitch_class) % 12
                )
    if question.choices is None:
        assert all(marked(question, " ".join(row)).exact for row in question.accepted)


@given(units, st.integers(1, 2), seeds)
def test_first_whole_rows_are_offered(unit: str, rung: int, seed: int) -> None:
    """Of 3 or of 4, in one center, all as long, each another; the right one once."""
    question = kinds.build("dictation", unit, rung, seed)
    choices = question.choices
    assert choices is not None
    assert {1: 3, 2: 4}[rung] == len(choices) == len(set(choices))
    assert {len(question.chords)} == {len(row) for row in choices}
    assert 1 == sum(row in question.accepted for row in choices)
    assert {question.key} == set(question.centers)


@pytest.mark.parametrize(("typed", "misses"), TAKEN_DOWN)
def test_each_rule_of_a_dictation_decides_its_case(typed: str, misses: dict[str, str]) -> None:
    """Chord by chord and center by center; what isn't named here is right."""
    question = dictated()
    assert DICTATED == question.accepted[0]
    mark = marked(question, typed)
    assert misses == {part.label: part.rule for part in mark.parts if part.rule != "right"}
    assert mark.exact == (not misses)


def test_a_center_counts_for_two_chords() -> None:
    """Where the center is missed and the chords are heard, ten parts have two lost."""
    assert pytest.approx(0.8) == marked(dictated(), "1 6 2 5 1 to 5: 2 5 1").credit


def test_a_chord_at_home_in_both_keys_may_be_counted_in_either() -> None:
    """The first chord of a new center that is a usual one of the old key is accepted there too."""
    from fractions import Fraction
    from random import Random

    c, g = parse_key("C"), parse_key("G")
    passage = in_turn([(("Imaj7", "ii7", "V7", "Imaj7"), c), (("ii7", "V7", "Imaj7", "IVmaj7", "Imaj7"), g)],
                      find_rung(3), Random(1))  # fmt: skip
    assert passage is not None
    question = dictation._question(
        find_cadence("major-two-five-one"), find_rung(3), passage, c, Random(1), 1, tempo=Fraction(108)
    )
    assert question is not None
    assert 2 == len(question.accepted)
    assert marked(question, "1 2 5 1 to 5: 2 5 1 4 1").exact
    assert marked(question, "1 2 5 1 6 to 5: 5 1 4 1").exact


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Type 8 degrees in order"),
        ("1 6 2 5", "You gave 4 degrees for 8 chords"),
        ("1 6 2 5 1 to H: 2 5 1", "can't read 'H' as a key center"),
        ("1 6 2 5 1 to 4: 2 9 1", "can't read '9' as a degree"),
        ("1 6 2 5 1 2 5 1 to 4:", "No chord follows the center '4'"),
        ("? ? ? ? ? ? ? ?", "Every chord is left out"),
    ],
)
def test_a_dictation_that_cannot_be_read_is_told(typed: str, message: str) -> None:
    """What can't be read says what would be accepted, and counts as nothing."""
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(dictated(), typed)


def test_a_type_that_is_named_instead_is_a_confusion() -> None:
    """Where the asked type sounds and another one of the table is typed, that one is kept."""
    question = kinds.build("dictation", "major-two-five-one", 3, 1)
    row, _ = parts_of(question, question.accepted[0])
    at = next(n for n in range(len(row)) if row[n : n + 2] == ("ii7", "V7"))
    other = [*question.accepted[0]]
    other[at] = other[at].replace("ii7", "IVmaj7")
    assert marked(question, " ".join(other)).taken_for in ("major-four-five-one", None)


@given(st.sampled_from([5, 6]), seeds)
def test_a_dictation_out_of_a_tune(rung: int, seed: int) -> None:
    """Four to eight bars of the tune around the cadence, with their centers, read alone as in the tune."""
    question = kinds.build("dictation", "major-two-five-one", rung, seed, ferry())
    assert "tune:ferry" == question.material
    assert holds(question).functions
    assert 4 <= sum(question.beats) / question.meter.beats <= 8
    assert marked(question, question.correct).exact


@given(units, st.integers(3, 6), seeds)
def test_an_answer_sounds_in_its_own_centers(unit: str, rung: int, seed: int) -> None:
    """A right answer sounds as asked, another one by the degrees and centers that it names."""
    question = kinds.build("dictation", unit, rung, seed)
    right = kinds.heard_answer(question, kinds.read_answer(question, question.correct))
    roots = [chord.symbol.root.pitch_class for chord in right.chords if chord.role == "answer"]
    assert [chord.root.pitch_class for chord in question.chords] == roots
    text = "4 to 5: " + "1 " * (len(question.chords) - 1)
    other = kinds.heard_answer(question, kinds.read_answer(question, text))
    tonic = question.key.tonic.pitch_class
    heard = [(chord.symbol.root.pitch_class - tonic) % 12 for chord in other.chords if chord.role == "answer"]
    assert [5, *[7] * (len(question.chords) - 1)] == heard


def test_what_is_not_taken_down_has_a_reason() -> None:
    """Every other type of a row can be asked, and those that can't are types with a reason."""
    from trainer.drills.name_functions import UNITS

    assert set(UNITS) == set(dictation.UNITS) | set(dictation.NOT_TAKEN_DOWN)
    assert all(dictation.NOT_TAKEN_DOWN.values())
