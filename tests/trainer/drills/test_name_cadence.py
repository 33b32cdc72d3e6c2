"""Name the cadence: choices that can be told apart, names as players say them, credit for what was heard of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import SLIPWAY, first_where, marked, material, seeds
from trainer.drills import kinds, name_cadence
from trainer.drills.answer import Answer, AnswerError
from trainer.drills.cadence_names import WORDINGS, types_named, words_of
from trainer.drills.cadence_rows import TYPE_BY_NAME, nearest_row, rows_of, types_as_long, types_of
from trainer.drills.holds import holds
from trainer.drills.kinds import heard_answer
from trainer.drills.question import Question
from trainer.harmony.cadence import CADENCE, CADENCES
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.voicing.leading import voice

units = st.sampled_from(name_cadence.UNITS)


def naming(unit: str, rung: int = 3) -> Question:
    """A free question with the type's formula as the table has it."""
    return first_where("name-cadence", unit, rung, lambda q: q.numerals in rows_of(unit)[:1])


@given(units, st.sampled_from([1, 2]), seeds)
def test_one_choice_is_right(unit: str, rung: int, seed: int) -> None:
    """Of 3 or of 4 names the right one stands there once, and nothing else that is accepted."""
    question = kinds.build("name-cadence", unit, rung, seed)
    assert question.choices is not None
    assert {1: 3, 2: 4}[rung] == len(set(question.choices))
    assert 1 == sum(row in question.accepted for row in question.choices)
    assert (CADENCE[unit].name,) in question.choices


@given(units, st.sampled_from([1, 2]), seeds)
def test_no_choice_could_sound_like_another(unit: str, rung: int, seed: int) -> None:
    """However a wrong choice is played in the given key, its chords over their basses are not the question's."""
    question = kinds.build("name-cadence", unit, rung, seed)
    asked = voice([question.chords[index] for index in question.stretch], "close")
    mine = [(one.bass.midi % 12 if one.bass else None, {key.midi % 12 for key in one.keys}) for one in asked]
    for row in question.choices or ():
        other = TYPE_BY_NAME[row[0]]
        if other == unit:
            continue
        for numerals in rows_of(other):
            if len(numerals) == len(mine):
                voiced = voice([chord_of(parse_numeral(text), question.key) for text in numerals], "close")
                theirs = [(v.bass.midi % 12 if v.bass else None, {key.midi % 12 for key in v.keys}) for v in voiced]
                assert theirs != mine


@pytest.mark.parametrize("unit", name_cadence.UNITS)
def test_choices_are_as_long_and_what_it_is_taken_for_comes_first(unit: str) -> None:
    """Names offered can be played in as many chords, while there are enough of them; its own confusions come first."""
    question = kinds.build("name-cadence", unit, 2, 11)
    count = len(question.stretch)
    offered = [TYPE_BY_NAME[row[0]] for row in question.choices or ()]
    as_long = types_as_long(count)
    assert min(4, len(as_long)) == sum(one in as_long for one in offered)
    accepted = {TYPE_BY_NAME[row[0]] for row in question.accepted}
    near = [one for one in CADENCE[unit].taken_for if one in as_long and one not in accepted]
    assert set(near[:3]) <= set(offered)


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("two five one", "major-two-five-one"), ("2 5 1", "major-two-five-one"), ("251", "major-two-five-one"),
        ("ii V I", "major-two-five-one"), ("ii7 V7 Imaj7", "major-two-five-one"), ("2-5-1", "major-two-five-one"),
        ("Major 2-5-1", "major-two-five-one"), ("minor 2 5 1", "minor-two-five-one"),
        ("2 5 1 in minor", "minor-two-five-one"), ("251 min", "minor-two-five-one"), ("iiø V i", "minor-two-five-one"),
        ("backdoor", "backdoor"), ("Back door", "backdoor"), ("backd", "backdoor"),
        ("tritone sub", "tritone-five-one"), ("the tritone substitution", "tritone-five-one"),
        ("bII I", "tritone-five-one"), ("flat two one", "tritone-five-one"), ("2 b2 1", "tritone-two-five-one"),
        ("amen", "plagal"), ("IV I", "plagal"),
        ("minor plagal", "minor-plagal"), ("4 minor 1", "minor-plagal"), ("V I", "major-five-one"),
        ("picardy", "picardy"), ("picardy third", "picardy"), ("half cadence", "half"),
        ("deceptive 6", "deceptive-six"), ("deceptive b6", "deceptive-flat-six"),
        ("3 6 2 5", "three-six-two-five"), ("36251", "three-six-two-five"),
        ("secondary dominant", "applied-five"), ("b7 1", "flat-seven-one"), ("♭VII I", "flat-seven-one"),
        ("line cliché", "line-cliche"), ("2 5", "unfinished-two-five"), ("1 b3 b6 b2", "chromatic-turnaround"),
        ("cycle of thirds", "major-third-cycle"), ("minor blues", "minor-blues-last-four"),
    ],
)  # fmt: skip
def test_a_type_goes_by_what_players_call_it(text: str, unit: str) -> None:
    """Names as players say them, in words, numbers or numerals (common practice, no source)."""
    assert (unit,) == types_named(text)


def test_every_name_and_id_is_read() -> None:
    """Each type is named by its name, its id and every wording, whatever their case and dashes."""
    assert set(WORDINGS) == set(CADENCE)
    for row in CADENCES:
        for text in (row.name, row.id, row.name.upper(), row.id.replace("-", " "), *WORDINGS[row.id]):
            assert (row.id,) == types_named(text), text


@given(st.text(max_size=40))
def test_any_text_names_types_of_the_table_or_none(text: str) -> None:
    """No text breaks the reader of names."""
    assert set(types_named(text)) <= set(CADENCE)
    assert words_of(text) == words_of(text.upper()) or not text.isascii()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("deceptive", "may be `deceptive: five to six`, `deceptive: five to flat six` or `deceptive: five to three`"),
        ("turnaround", "Say which"),
        ("bakdoor", "Is it `backdoor two–five`"),
        ("xyzzy", "I know no cadence 'xyzzy'. Name the cadence"),
        ("", "Name the cadence as you would"),
        ("minor", "and 9 more"),
    ],
)
def test_what_names_none_or_several_is_told(text: str, message: str) -> None:
    """A word that fits several types or none is told with the nearest names and counts as nothing."""
    with pytest.raises(AnswerError) as told:
        kinds.read_answer(naming("plagal"), text)
    assert message in str(told.value)


def test_a_name_picks_a_choice() -> None:
    """Where names are offered one may be typed too; one that isn't there is told."""
    question = kinds.build("name-cadence", "backdoor", 1, 3)
    assert question.choices is not None
    for index, row in enumerate(question.choices):
        assert index == kinds.read_answer(question, row[0]).choice == kinds.read_answer(question, str(index + 1)).choice
    with pytest.raises(AnswerError, match="none of the choices"):
        kinds.read_answer(question, "picardy")


CASES = [
    ("major-two-five-one", "2 5 1", "right"),
    ("major-two-five-one", "minor 2 5 1", "other-colors"),
    ("minor-two-to-major-one", "minor 2 5 1", "other-colors"),
    ("major-two-five-one", "2 b2 1", "substitute"),
    ("major-five-one", "tritone sub", "substitute"),
    ("major-two-five-one", "5 1", "its-end"),
    ("major-five-one", "2 5 1", "more-than-it"),
    ("major-five-one", "plagal", "near-it"),
    ("backdoor", "minor plagal", "near-it"),
    ("major-two-five-one", "picardy", "other-cadence"),
    ("major-two-five-one", "interrupted after two", "other-cadence"),
]
RULES_MET = [rule for _, _, rule in CASES]


@pytest.mark.parametrize(("unit", "typed", "rule"), CASES)
def test_each_rule_decides_its_case(unit: str, typed: str, rule: str) -> None:
    """What was heard of it is credited: the roots, the pull, the end; what it was taken for is remembered."""
    mark = marked(naming(unit), typed)
    assert [rule] == [one.rule for one in mark.parts]
    assert mark.exact == (rule == "right")
    assert types_named(typed)[0] == (mark.taken_for or unit)


@given(units, st.sampled_from([1, 3, 4]), seeds)
def test_an_answer_can_be_heard(unit: str, rung: int, seed: int) -> None:
    """A right answer sounds as asked; another one has that type's chords in as much time."""
    question = kinds.build("name-cadence", unit, rung, seed)
    right = heard_answer(question, kinds.read_answer(question, question.correct))
    assert list(question.chords) == [chord.symbol for chord in right.chords if chord.role == "answer"]
    other = heard_answer(question, Answer("", choice=0) if question.choices else Answer("", named="line-cliche"))
    assert question.performance().score.duration_s == pytest.approx(other.score.duration_s, abs=0.3)


@given(units, st.integers(1, 6), seeds)
def test_the_reading_agrees(unit: str, rung: int, seed: int) -> None:
    """Read without the answer, the asked chords are a type that is accepted, or have the asked degrees in its key."""
    question = kinds.build("name-cadence", unit, rung, seed)
    assert name_cadence.agrees(question, holds(question))


def test_what_sounds_alike_is_accepted_too() -> None:
    """Guide tones alone don't tell a half-diminished two from a minor one, so both types are right."""
    question = first_where(
        "name-cadence", "minor-two-to-major-one", 5, lambda q: q.style == "guide-tones" and q.with_bass
    )
    assert ("two–five–one in major",) in question.accepted
    assert marked(question, "2 5 1").exact
    assert marked(question, "minor two five to major").exact


def test_rows_of_the_table_are_found_by_their_numerals() -> None:
    """A row belongs to the types that have it; the nearest row of another is as long where there is one."""
    assert ("major-two-five-one",) == types_of(("ii7", "V7", "Imaj7"))
    assert ("ii7", "V7b9", "Imaj7") == nearest_row("major-two-five-one", ("iiø7", "V7b9", "i6"))
    assert all(unit in types_of(row) for unit in name_cadence.UNITS for row in rows_of(unit))


def test_a_tunes_cadence_is_named() -> None:
    """In a phrase of a tune the prompt says which chords are meant."""
    question = kinds.build("name-cadence", "major-two-five-one", 5, 2, material(SLIPWAY, "slipway"))
    first, last = question.stretch[0] + 1, question.stretch[-1] + 1
    assert f"Which cadence are chords {first} to {last}?" in question.prompt
    assert marked(question, "2 5 1").exact
