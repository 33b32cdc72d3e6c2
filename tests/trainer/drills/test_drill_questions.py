"""Questions of every kind, unit, rung and seed: they build, sound, repeat, and say the same in JSON."""

import json
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import NAMING, PAIRS, first_where, halves, questions, rungs, seeds
from trainer.drills import kinds
from trainer.drills.heard import PLAIN_DEGREES
from trainer.drills.question import HELPS, Question, question_json, sound_s
from trainer.drills.rungs import RUNGS, DrillError
from trainer.harmony.key import parse_key
from trainer.harmony.numeral import chord_of, parse_numeral
from trainer.harmony.quality import semitones_of
from trainer.harmony.symbol import parse_chord
from trainer.voicing.shapes import Aim, allowed_tones

AIMS: tuple[Aim, ...] = ("plain", "major", "minor", "substitute")

FIELDS = [
    "schema", "kind", "unit", "rung", "seed", "prompt", "key", "tempo", "chords", "notes", "choices",
    "accepted", "explanation",
]  # fmt: skip
"""Of keyfarer/question/1, as the design has them."""


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
def test_every_kind_unit_and_rung_builds(kind: str, unit: str) -> None:
    """There is a question for each unit on each rung, and the values that describe it fit together."""
    for rung in RUNGS:
        for seed in range(amount(8, 2)):
            question = kinds.build(kind, unit, rung, seed)
            assert (kind, unit, rung, seed) == (question.kind, question.unit, question.rung, question.seed)
            assert len(question.chords) == len(question.beats) == len(question.numerals)
            assert set(question.blanks) <= set(range(len(question.chords)))
            assert 0.0 < question.guess_chance <= 0.5
            assert question.prompt
            assert question.explanation


@given(st.sampled_from(PAIRS), rungs, seeds)
def test_the_same_seed_makes_the_same_question(pair: tuple[str, str], rung: int, seed: int) -> None:
    """Kind, unit, rung and seed determine the question and its sound; so do they with its key given."""
    first, second = (kinds.build(*pair, rung, seed) for _ in range(2))
    assert first == second
    assert first.performance() == second.performance()
    assert first == kinds.build(*pair, rung, seed, key=first.key)


@given(st.sampled_from(PAIRS), rungs, st.lists(seeds, min_size=12, max_size=12, unique=True))
def test_other_seeds_make_other_questions(pair: tuple[str, str], rung: int, many: list[int]) -> None:
    """Twelve seeds are not twelve times the same question."""
    assert len({(q.chords, q.beats, q.style) for q in (kinds.build(*pair, rung, seed) for seed in many)}) > 1


@given(questions())
def test_no_two_neighbours_are_the_same_chord(question: Question) -> None:
    """Each chord of a stretch can be heard as one: the next one is another."""
    for stretch in halves(question):
        assert all(one != other for one, other in pairwise(stretch))


@given(questions())
def test_a_question_lasts(question: Question) -> None:
    """A question lasts a second or more, and each of its stretches eight bars or less."""
    assert sound_s(question) >= 1.0
    assert sum(question.beats) / question.meter.beats <= 8 * len(halves(question))


@given(questions())
def test_the_json_says_what_sounds(question: Question) -> None:
    """The JSON has the agreed fields; its notes lie in its chords, in their tones or their tensions."""
    data = json.loads(json.dumps(question_json(question)))
    assert FIELDS == list(data)
    asked = [chord for chord in data["chords"] if chord["role"] == "question"]
    assert [chord.text for chord in question.chords] == [chord["symbol"] for chord in asked]
    assert (len(data["chords"]) > len(asked)) == question.confirm
    for note in data["notes"]:
        middle = note["onset_s"] + note["duration_s"] / 2
        chord = next(c for c in data["chords"] if c["from_s"] <= middle < c["until_s"])
        assert chord["role"] == note["role"]
        assert chord["from_s"] - 1e-6 <= note["onset_s"]
        assert note["onset_s"] + note["duration_s"] <= chord["until_s"] + 1e-6
        symbol = parse_chord(chord["symbol"])
        may = {symbol.bass_name.pitch_class} | {
            (symbol.root.pitch_class + semitones_of(tone)) % 12
            for aim in AIMS
            for tone in allowed_tones(symbol.quality, aim, question.style)
        }
        assert note["midi"] % 12 in may
    if question.with_bass:
        basses = [note for note in data["notes"] if note["part"] == "bass" and note["role"] == "question"]
        assert [chord.bass_name.pitch_class for chord in question.chords] == [n["midi"] % 12 for n in basses]


@given(questions())
def test_numerals_name_the_chords(question: Question) -> None:
    """Every numeral, read in the question's key, is the chord that stands there, but for its spelling."""
    for chord, text in zip(question.chords, question.numerals, strict=True):
        again = chord_of(parse_numeral(text), question.key)
        assert chord.root.pitch_class == again.root.pitch_class
        assert chord.pitch_classes == again.pitch_classes


@given(questions(), st.lists(st.sampled_from(HELPS), max_size=3))
def test_helps_change_the_sound_and_not_the_question(question: Question, helps: list[str]) -> None:
    """With helps the same chords sound: slower, bass alone, guide tones alone, one by one, the key first."""
    plain, helped = question.performance(), question.performance(helps)
    assert [c.symbol for c in plain.chords if c.role == "question"] == [
        c.symbol for c in helped.chords if c.role == "question"
    ]
    assert any(c.role == "confirm" for c in helped.chords) == (question.confirm or "key" in helps)


def test_each_help_does_what_it_says() -> None:
    """Slower lasts half as long again, bass is bass alone, guide tones are two keys a chord."""
    question = first_where("name-functions", "major-two-five-one", 4, lambda q: q.style == "shells")
    plain = question.performance()
    assert plain == question.performance(("again",))
    assert plain.score.duration_s * 1.5 == pytest.approx(question.performance(("slower",)).score.duration_s)
    assert {"bass"} == {note.part for note in question.performance(("bass",)).score.notes}
    guides = question.performance(("guide",)).score.notes
    assert {"keys"} == {note.part for note in guides}
    assert 2 * len(question.chords) == len(guides)
    onsets = {note.onset_s for note in question.performance(("arpeggio",)).score.notes}
    assert len(onsets) > len({note.onset_s for note in plain.score.notes if note.part == "bass"})


def test_an_unknown_help_is_told() -> None:
    """A help that doesn't exist is an error that names those that do."""
    with pytest.raises(DrillError, match="no help 'louder'; there are again, slower"):
        kinds.build("name-functions", "plagal", 1, 1).performance(("louder",))


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("sing-it", "plagal", 1, 1), "no kind of drill 'sing-it'; there are name-functions"),
        (("name-functions", "major-two", 1, 1), "'Name the functions' can't train 'major-two'"),
        (("name-functions", "interrupted-after-two", 1, 1), "can't train 'interrupted-after-two'"),
        (("catch-interruption", "plagal", 1, 1), "can't train 'plagal'"),
        (("name-functions", "plagal", 7, 1), "no rung 7; the ladder has rungs 1 to 6"),
        (("name-functions", "plagal", 0, 1), "no rung 0"),
    ],
)
def test_what_does_not_exist_is_told(arguments: tuple[str, str, int, int], message: str) -> None:
    """A kind, unit or rung that doesn't exist is an error that names those that do."""
    with pytest.raises(DrillError, match=message):
        kinds.build(*arguments)


def test_a_unit_knows_its_kinds() -> None:
    """An interrupted type is trained by catching it, any other by naming its functions, a move by naming it."""
    open_kinds = {"name-functions", "name-cadence", "guide-tones", "tell-apart", "dictation"}
    assert open_kinds <= set(kinds.kinds_for("plagal"))
    assert "finish-it" in kinds.kinds_for("half")
    assert not {"finish-it", "guide-tones"} & set(kinds.kinds_for("flat-seven-one"))
    assert {"catch-interruption", "tell-apart"} <= set(kinds.kinds_for("interrupted-after-two"))
    assert ("key-moves",) == kinds.kinds_for("move:+3:major-minor")
    assert ("follow-route",) == kinds.kinds_for("route:slipway")
    assert () == kinds.kinds_for("up-a-minor-third")


@pytest.mark.parametrize("unit", NAMING)
def test_a_cadence_alone_has_its_formulas_chords(unit: str) -> None:
    """On rungs 1 to 4 as many chords are asked as the formula has, and nothing else but a home sounds."""
    counts = {
        (len(q.blanks), len(q.chords) - len(q.blanks) <= (1 if rung == 4 else 0))
        for rung in (1, 2, 3, 4)
        for q in (kinds.build("name-functions", unit, rung, seed) for seed in range(12))
    }
    assert 1 == len(counts)
    assert all(alone for _, alone in counts)


def test_degrees_agree_with_music21() -> None:
    """Each answer's degree and inflection is the one that music21 gives the chord's root in the key."""
    key_module = pytest.importorskip("music21.key")
    pitch_module = pytest.importorskip("music21.pitch")
    for kind, unit in PAIRS:
        if kind != "name-functions":
            continue
        question = kinds.build(kind, unit, 3, 11)
        major = key_module.Key(str(question.key.tonic).replace("b", "-"))
        for index in question.blanks:
            root = pitch_module.Pitch(str(question.chords[index].root).replace("b", "-"))
            degree = parse_numeral(question.numerals[index]).degree
            scale = [pitch.pitchClass for pitch in major.getScale("major").getPitches()[:7]]
            assert root.pitchClass == (scale[degree.number - 1] + degree.alteration) % 12


def test_beats_fill_whole_bars() -> None:
    """Alone and in a phrase of the table a question ends with its bar; two seconds are two seconds."""
    for rung in RUNGS:
        for kind, unit in PAIRS[rung % amount(1, 3) :: amount(1, 3)]:
            question = kinds.build(kind, unit, rung, 5)
            assert 1 == (sum(question.beats) / 4).denominator
            if rung < 3:
                assert {Fraction(2)} == {beats * 60 / question.tempo for beats in question.beats}


def test_the_plain_degrees_are_twelve() -> None:
    """Each half step above the tonic has one usual name."""
    assert list(range(12)) == [degree.semitones for degree in PLAIN_DEGREES]
    assert 0 == parse_key("C").tonic.pitch_class
