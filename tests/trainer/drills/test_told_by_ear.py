"""Questions with their answers for the ear: the question itself, a pause, and what it was."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import questions
from trainer.drills import kinds
from trainer.drills.heard import degree_from
from trainer.drills.kinds import answer_by_ear, with_answer
from trainer.drills.question import Question
from trainer.drills.told_by_ear import fitting_pause_s
from trainer.harmony.numeral import parse_numeral
from trainer.voicing.sheet import Performance


def pointed_steps(played: Performance, tonic: int) -> list[int]:
    """Half steps from a tonic up to the second of each pair of lone notes with the role of the answer."""
    notes = [one for one in played.score.notes if one.role == "answer" and one.part == "keys"]
    alone = [one for one in notes if sum(abs(other.onset_s - one.onset_s) < 0.04 for other in notes) == 1]
    begins = next((chord.from_s for chord in played.chords if chord.role == "answer"), 0.0)
    pairs = [one.midi for one in alone if one.onset_s < begins + 60]
    return [(high - tonic) % 12 for low, high in zip(pairs[::2], pairs[1::2], strict=False) if low % 12 == tonic]


@given(questions())
def test_the_question_sounds_first_as_it_is_asked(question: Question) -> None:
    """Up to the pause it is the question to the note."""
    asked, both = question.performance(), with_answer(question)
    assert asked.score.notes == both.score.notes[: len(asked.score.notes)]
    assert asked.chords == both.chords[: len(asked.chords)]


@given(questions(), st.one_of(st.none(), st.floats(1, 60)))
def test_the_pause_is_as_long_as_wanted_and_ends_with_a_bar(question: Question, pause_s: float | None) -> None:
    """Nothing sounds for so many seconds, and at most for a bar more; without a wish it is four and the question."""
    asked, both = question.performance(), with_answer(question, pause_s)
    wanted = fitting_pause_s(question) if pause_s is None else pause_s
    bar_s = question.meter.beats * 4 / question.meter.unit * 60 / asked.score.tempos[-1].quarters_per_minute
    begins = both.score.notes[len(asked.score.notes)].onset_s
    assert wanted - 0.05 <= begins - asked.score.duration_s <= wanted + bar_s + 0.05  # a hand's unevenness
    assert fitting_pause_s(question) >= 4.0 + sum(question.beats) * 4 / question.meter.unit * 60 / 400


@given(questions())
def test_the_answer_gives_the_key_and_ends_with_the_question(question: Question) -> None:
    """It begins with the cadence of the key that counts, and its last chords are the question's."""
    told = answer_by_ear(question)
    key = question.key if question.broken is None else question.broken.awaited
    given_key = [chord for chord in told.chords if chord.role == "confirm"]
    assert given_key == list(told.chords[:4])
    assert key.tonic.pitch_class == given_key[0].symbol.root.pitch_class == given_key[-1].symbol.root.pitch_class
    whole = question.chords if question.ending is None else (*question.chords, question.ending)
    assert whole == tuple(chord.symbol for chord in told.chords[-len(whole) :])


@given(questions())
def test_each_asked_root_is_pointed_to(question: Question) -> None:
    """The interval before each asked chord is its degree; its tone's where a voice is asked, its own before a goal."""
    if question.kind not in ("name-functions", "name-cadence", "finish-it", "guide-tones"):
        return
    told = answer_by_ear(question)
    tonic = question.key.tonic.pitch_class
    asked = question.blanks or question.stretch
    wanted = [parse_numeral(question.numerals[index]).degree.semitones for index in asked]
    if question.tones:
        wanted = [degree_from(text).semitones for text in question.accepted[0]]  # type: ignore[union-attr]
    if question.ending is not None:
        wanted = [(question.ending.root.pitch_class - tonic) % 12]
    assert wanted == pointed_steps(told, tonic)[: len(wanted)]


@pytest.mark.parametrize("rung", range(1, 7))
def test_an_interruption_is_told_apart_from_none(rung: int) -> None:
    """Where a key breaks in, its tonic, its chords alone and the passage without them come; else none of that."""
    seen = set()
    for unit in kinds.find_kind("catch-interruption").units:
        for seed in range(6):
            question = kinds.build("catch-interruption", unit, rung, seed)
            broken, told = question.broken, answer_by_ear(question)
            assert broken is not None
            after = [chord.symbol for chord in told.chords[4 : -len(question.chords)]]
            seen.add(broken.breaks_in)
            if not broken.breaks_in:
                assert [] == after
                continue
            assert broken.foreign is not None
            inside = [question.chords[index] for index in broken.chords]
            without = [chord for index, chord in enumerate(question.chords) if index not in broken.chords]
            assert inside + without == after
            awaited, foreign = (key.tonic.pitch_class for key in (broken.awaited, broken.foreign))
            assert (foreign - awaited) % 12 == pointed_steps(told, awaited)[0]
    assert {True, False} == seen
