"""Guide tones: the voices of thirds and sevenths by the textbook, by music21, and as they are voiced."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import SLIPWAY, first_where, marked, material, seeds
from trainer.drills import guide_voice, kinds
from trainer.drills.answer import AnswerError
from trainer.drills.heard import degree_from
from trainer.drills.holds import holds
from trainer.drills.kinds import asked_again, heard_answer
from trainer.drills.question import Question
from trainer.drills.voice_lines import degrees_of, has_guides, lines_from, tones_of
from trainer.harmony.key import parse_key
from trainer.harmony.symbol import parse_chord

units = st.sampled_from(guide_voice.UNITS)


def rows(chords: str, key: str, begins: int) -> list[str]:
    """The voices that begin on a guide tone of the first chord (0: its third), as degrees of a key."""
    symbols = [parse_chord(text) for text in chords.split()]
    lines = lines_from(symbols, tones_of(symbols[0])[begins])
    return [" ".join(degrees_of(symbols, line, parse_key(key))) for line in lines]


@pytest.mark.parametrize(
    ("chords", "key", "third", "seventh"),
    [
        ("Dm7 G7 Cmaj7", "C", ["4 4 3"], ["1 7 7"]),
        ("Dm7 G7 C6", "C", ["4 4 3"], ["1 7 6"]),
        ("Dm7b5 G7b9 Cm6", "C minor", ["4 4 b3"], ["1 7 6"]),
        ("Dm7 Db7 Cmaj7", "C", ["4 4 3"], ["1 7 7"]),
        ("Fm7 Bb7 Cmaj7", "C", ["b6 b6 7"], ["b3 2 3"]),
        ("Fmaj7 G7 Cmaj7", "C", ["6 7 7"], ["3 4 3"]),
        ("G7sus4 Cmaj7", "C", ["1 7"], ["4 3"]),
        ("E7 A7 D7 G7", "C", ["#5 5 #4 4"], ["2 #1 1 7"]),
        ("G7 Cmaj7", "C", ["7 7"], ["4 3"]),
        ("G7 C6", "C", ["7 6"], ["4 3"]),
    ],
)
def test_voices_of_the_textbook(chords: str, key: str, third: list[str], seventh: list[str]) -> None:
    """The seventh falls into the next third and the third stays as its seventh (Levine, 1989, from memory)."""
    assert rows(chords, key, 0)[0] in third
    assert rows(chords, key, 1)[0] in seventh


def test_two_ways_as_near_are_both_right() -> None:
    """Where straight and crossed move as little, a voice may take either."""
    assert {"b6 7", "b6 4"} == set(rows("Fm6 G7", "C minor", 0))


@given(units, st.integers(1, 6), seeds)
def test_every_step_is_to_a_guide_tone(unit: str, rung: int, seed: int) -> None:
    """Each accepted note is the third, the fourth in its place, the sixth or the seventh of its chord, by spelling."""
    question = kinds.build("guide-tones", unit, rung, seed)
    assert len(question.blanks) > 1
    for row in question.accepted:
        for index, text in zip(question.blanks, row, strict=True):
            degree = degree_from(text)
            assert degree is not None
            chord = question.chords[index]
            up = (question.key.tonic.pitch_class + degree.semitones - chord.root.pitch_class) % 12
            assert has_guides(chord)
            assert up in {3, 4, 5, 9, 10, 11}


def test_guide_tones_agree_with_music21() -> None:
    """By music21 each note of a voice is the third or the seventh of its chord, where it has both."""
    harmony = pytest.importorskip("music21.harmony")
    looked_at = 0
    for unit in guide_voice.UNITS:
        question = kinds.build("guide-tones", unit, 3, 5)
        for index, text in zip(question.blanks, question.accepted[0], strict=True):
            chord = question.chords[index]
            if chord.quality.id not in ("7", "m7", "maj7", "m7b5", "7b9") or chord.bass is not None:
                continue
            root = str(chord.root).replace("b", "-")
            symbol = harmony.ChordSymbol(root=root, kind={
                "7": "dominant-seventh", "7b9": "dominant-seventh", "m7": "minor-seventh", "maj7": "major-seventh",
                "m7b5": "half-diminished-seventh",
            }[chord.quality.id])  # fmt: skip
            degree = degree_from(text)
            assert degree is not None
            sung = (question.key.tonic.pitch_class + degree.semitones) % 12
            assert sung in (symbol.third.pitchClass, symbol.seventh.pitchClass)
            looked_at += 1
    assert looked_at > 60


@given(units, st.integers(1, 6), seeds)
def test_the_reading_counts_from_the_same_key(unit: str, rung: int, seed: int) -> None:
    """The chords are read in the key that degrees count from, and the voice is one that is played as guide tones."""
    question = kinds.build("guide-tones", unit, rung, seed)
    assert guide_voice.agrees(question, holds(question))


def voiced(rung: int = 3) -> Question:
    """A free question for the voice from the seventh of a plain two-five-one."""
    return first_where(
        "guide-tones", "major-two-five-one", rung,
        lambda q: q.numerals[-3:] == ("ii7", "V7", "Imaj7") and q.accepted[0] == ("1", "7", "7"),
    )  # fmt: skip


@pytest.mark.parametrize("text", ["1 7 7", "177", "1-7-7", "1, 7, 7", "I VII VII", "one seven seven", "(1 7 7)"])
def test_every_way_to_type_a_voice(text: str) -> None:
    """Degrees in numbers, words or numerals, apart or in one word."""
    assert marked(voiced(), text).exact


def test_notes_are_read_in_a_given_key() -> None:
    """In a given key the notes may be named; else they say nothing and are told."""
    question = voiced()
    scale = question.key.scale
    assert marked(question, f"{scale[0]} {scale[6]} {scale[6]}").exact
    with pytest.raises(AnswerError, match="The key is not given, so the note 'C' says nothing"):
        kinds.read_answer(voiced(4), "C B B")


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("1 7", "You gave 2 for 3"),
        ("", "Type 3 degrees"),
        ("1 7 x", "I can't read 'x'"),
        ("? ? ?", "Every note is left"),
    ],
)
def test_what_cannot_be_read_is_told(text: str, message: str) -> None:
    """A voice that isn't whole is told with what is accepted."""
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(voiced(), text)


CASES = [
    ("1 7 7", ["right", "right", "right"]),
    ("4 4 3", ["other-voice"] * 3),
    ("4 7 7", ["other-voice", "right", "right"]),
    ("2 5 1", ["root-or-fifth"] * 3),
    ("1 b7 7", ["right", "inflection", "right"]),
    ("4 b2 7", ["other-voice", "other-note", "right"]),
    ("2 #1 #1", ["root-or-fifth", "other-tonic", "other-tonic"]),
    ("b2 1 1", ["other-tonic", "other-tonic", "root-or-fifth"]),
    ("? 7 7", ["left-out", "right", "right"]),
]
RULES_MET = [rule for _, rules in CASES for rule in rules]


@pytest.mark.parametrize(("typed", "rules"), CASES)
def test_each_rule_decides_its_case(typed: str, rules: list[str]) -> None:
    """The other voice, the chord's root or fifth, a wrong inflection: each is worth what its rule says."""
    assert rules == [part.rule for part in marked(voiced(), typed).parts]


@given(units, st.sampled_from([1, 2]), seeds)
def test_choices(unit: str, rung: int, seed: int) -> None:
    """One step is asked, of three or four, no two of them the same notes, one of them right."""
    question = kinds.build("guide-tones", unit, rung, seed)
    assert question.choices is not None
    assert 2 == len(question.blanks)
    sung = {tuple(degree.semitones for text in row if (degree := degree_from(text))) for row in question.choices}
    assert {1: 3, 2: 4}[rung] == len(sung)
    assert 1 == sum(row in question.accepted for row in question.choices)


@given(units, st.integers(1, 6), seeds)
def test_the_voice_can_be_heard(unit: str, rung: int, seed: int) -> None:
    """Alone over the bass, one key for each asked chord: what was asked, and what was answered."""
    question = kinds.build("guide-tones", unit, rung, seed)
    tonic = question.key.tonic.pitch_class
    played = asked_again(question)
    keys = [note.midi % 12 for note in played.score.notes if note.part == "keys"]
    wanted = [degree_from(text) for text in question.accepted[0]]
    assert [(tonic + degree.semitones) % 12 for degree in wanted if degree] == keys
    assert played == heard_answer(question, kinds.read_answer(question, question.correct))


def test_a_tunes_voice() -> None:
    """A voice of a tune's cadence, in another key."""
    question = kinds.build("guide-tones", "major-two-five-one", 5, 3, material(SLIPWAY, "slipway"))
    assert "tune:slipway" == question.material
    assert marked(question, question.correct).exact
