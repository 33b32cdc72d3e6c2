"""Finish it: what a preparation awaits, by the trade's two ways down, by the reading, and as players say it."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.drilling import SLIPWAY, first_where, marked, material, seeds
from trainer.drills import finish_it, goals, kinds
from trainer.drills.answer import AnswerError
from trainer.drills.goal_names import goal_named
from trainer.drills.holds import holds
from trainer.drills.kinds import asked_again, heard_answer
from trainer.drills.question import Question
from trainer.drills.rungs import DrillError
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import parse_key
from trainer.harmony.symbol import parse_chord
from trainer.reading.heard import heard

units = st.sampled_from(finish_it.UNITS)


def finishing(unit: str, goal: tuple[str, ...], rung: int = 3) -> Question:
    """A free question with just this goal."""
    return first_where("finish-it", unit, rung, lambda q: q.accepted == (goal,))


@given(units, st.integers(1, 6), seeds)
def test_a_dominant_leads_down_a_fifth_or_a_half_step(unit: str, rung: int, seed: int) -> None:
    """The goal lies a fifth below the last chord's root, or a half step below a substitute's (common practice)."""
    question = kinds.build("finish-it", unit, rung, seed)
    assert question.ending is not None
    falls = (heard(question.chords[-1]).root - question.ending.root.pitch_class) % 12
    assert falls in (1, 7)
    assert {1: "slides down a half step", 7: "falls a fifth"}[falls] in question.explanation


def test_the_goal_agrees_with_music21() -> None:
    """By music21 the goal's root is the accepted degree of the key, and its third has the accepted mode."""
    harmony = pytest.importorskip("music21.harmony")
    key_module = pytest.importorskip("music21.key")
    for unit in finish_it.UNITS:
        for seed in range(4):
            question = kinds.build("finish-it", unit, 3, seed)
            assert question.ending is not None
            symbol = harmony.ChordSymbol(question.ending.text.replace("b", "-", 1) if question.ending.text[1:2] == "b"
                                         else question.ending.text)  # fmt: skip
            scale = key_module.Key(str(question.key.tonic).replace("b", "-")).getScale("major").getPitches()[:7]
            goal = goal_named(question.correct, question.key)
            assert goal is not None
            there = (scale[goal.degree.number - 1].pitchClass + goal.degree.alteration) % 12
            assert symbol.root().pitchClass == there
            assert {3: "minor", 4: "major"}[(symbol.third.pitchClass - there) % 12] == goal.mode


@given(units, st.integers(1, 6), seeds)
def test_the_reading_awaits_it(unit: str, rung: int, seed: int) -> None:
    """Read without its ending and without the answer, the preparation leads to what is accepted."""
    question = kinds.build("finish-it", unit, rung, seed)
    assert finish_it.agrees(question, holds(question))


def test_home_is_no_safe_guess() -> None:
    """Whoever always says the same is right on a type as often as the chance of guessing says, on all less."""
    seen: Counter[tuple[str, ...]] = Counter()
    safest = []
    for unit in finish_it.UNITS:
        rows = [row for seed in range(60) for row in kinds.build("finish-it", unit, 4, seed).accepted]
        safest.append(Counter(rows).most_common(1)[0][1] / 60)
        seen.update(rows)
    assert sum(safest) / len(safest) <= finish_it.FREE_GUESS
    assert max(seen.values()) / (60 * len(finish_it.UNITS)) <= 0.25


@pytest.mark.parametrize(
    ("before", "goal", "home", "modes"),
    [
        ("Dm7 G7", "Cmaj7", "C", ("major",)),
        ("Dm7b5 G7b9", "Cm6", "C minor", ("minor",)),
        ("G7", "Cmaj7", "C", ("major",)),
        ("A7", "Dm7", "C", ("minor",)),
        ("B7", "Emaj7", "C", ("major", "minor")),
        ("G7b9", "Cmaj7", "C", ("major", "minor")),
        ("Em7 A7", "Dm7", "C", ("minor", "major")),
        ("Fmaj7 G7", "Cmaj7", "C", ("major",)),
        ("Fm7 G7", "Cm6", "C minor", ("minor",)),
        ("Dm7 Db7", "Cmaj7", "C", ("major",)),
    ],
)
def test_the_mode_is_told_by_what_leans(before: str, goal: str, home: str, modes: tuple[str, ...]) -> None:
    """A half-diminished two and a flat nine lean to minor, a minor seventh on two to major (common practice)."""
    chords = [parse_chord(text) for text in before.split()]
    assert modes == goals.modes_awaited(chords, parse_chord(goal), parse_key(home))


@pytest.mark.parametrize(
    ("text", "degree", "mode"),
    [
        ("4 major", "4", "major"), ("IV", "4", None), ("iv", "4", None), ("ii minor", "2", "minor"),
        ("2m", "2", "minor"), ("flat six major", "b6", "major"), ("bVI", "b6", None), ("IVmaj7", "4", "major"),
        ("to the four", "4", None),
        ("home", "1", None), ("2-", "2", "minor"), ("F major", "4", "major"), ("Dm", "2", "minor"), ("Bb", "b7", None),
        ("bb minor", "b7", "minor"), ("A", "6", None), ("6 min", "6", "minor"), ("V7", "5", None),
        ("iiø", "2", "minor"),
    ],
)  # fmt: skip
def test_a_goal_is_read_as_players_say_it(text: str, degree: str, mode: str | None) -> None:
    """A degree with its mode or without, in a given key a note's name; in C here."""
    goal = goal_named(text, parse_key("C"))
    assert goal is not None
    assert (degree, mode) == (goal.degree.arabic, goal.mode)


@given(st.text(max_size=30))
def test_no_text_breaks_the_reading_of_goals(text: str) -> None:
    """Any text is a goal or none."""
    goal = goal_named(text, parse_key("Eb"))
    assert goal is None or 0 <= goal.degree.semitones < 12


def test_a_note_says_nothing_where_no_key_is_given() -> None:
    """Without a given key a name can't be judged, and is told; with one it is a degree."""
    with pytest.raises(AnswerError, match="The key is not given, so a note's name says nothing"):
        kinds.read_answer(finishing("major-five-one", ("I", "major"), 4), "F major")
    question = finishing("major-two-five-one", ("IV", "major"))
    assert question.ending is not None
    assert marked(question, f"{question.ending.root} major").exact


CASES = [
    ("major-two-five-one", ("IV", "major"), "4 major", ["right", "right"], 1.0),
    ("major-two-five-one", ("IV", "major"), "IV", ["right", "left-out"], 0.75),
    ("major-two-five-one", ("IV", "major"), "4m", ["right", "goal-mode"], 0.75),
    ("major-two-five-one", ("IV", "major"), "2 minor", ["surprise", "goal-mode"], 0.4),
    ("major-two-five-one", ("IV", "major"), "1 major", ["still-there", "right"], 0.2),
    ("major-two-five-one", ("IV", "major"), "7 major", ["substitute", "right"], 0.5),
    ("major-two-five-one", ("IV", "major"), "#4 major", ["inflection", "right"], 0.3),
    ("major-two-five-one", ("IV", "major"), "3 major", ["other-goal", "right"], 0.0),
    ("tritone-five-one", ("I", "major"), "b5 major", ["substitute", "right"], 0.5),
    ("minor-two-five-one", ("I", "minor"), "b6 major", ["surprise", "goal-mode"], 0.4),
]
RULES_MET = [rule for case in CASES for rule in case[3]]


@pytest.mark.parametrize(("unit", "goal", "typed", "rules", "credit"), CASES)
def test_each_rule_decides_its_case(
    unit: str, goal: tuple[str, ...], typed: str, rules: list[str], credit: float
) -> None:
    """The degree is most of it; the mode counts with the right degree only."""
    mark = marked(finishing(unit, goal), typed)
    assert rules == [part.rule for part in mark.parts]
    assert credit == pytest.approx(mark.credit)


def test_the_other_mode_is_the_other_type() -> None:
    """Who hears the goal but not its mode has taken one two-five-one for the other."""
    assert "minor-two-five-one" == marked(finishing("major-two-five-one", ("I", "major")), "1 minor").taken_for
    assert "major-two-five-one" == marked(finishing("minor-two-five-one", ("I", "minor")), "1 major").taken_for


@given(units, st.sampled_from([1, 2]), seeds)
def test_choices(unit: str, rung: int, seed: int) -> None:
    """Three or four goals, the right one once; each is another chord."""
    question = kinds.build("finish-it", unit, rung, seed)
    assert question.choices is not None
    assert {1: 3, 2: 4}[rung] == len(set(question.choices))
    assert 1 == sum(row in question.accepted for row in question.choices)
    for index, row in enumerate(question.choices):
        assert index == kinds.read_answer(question, " ".join(row)).choice


@given(units, st.integers(1, 6), seeds)
def test_it_is_heard_with_its_ending(unit: str, rung: int, seed: int) -> None:
    """It stops short of its goal; told, it ends on it; an answer ends where the answer says."""
    question = kinds.build("finish-it", unit, rung, seed)
    assert list(question.chords) == [c.symbol for c in question.performance().chords if c.role == "question"]
    told = [c.symbol for c in asked_again(question).chords if c.role == "question"]
    assert [*question.chords, question.ending] == told
    if question.choices is None:
        mine = heard_answer(question, kinds.read_answer(question, "b2 major")).chords[-1].symbol
        assert (
            1 == (mine.root.pitch_class - question.key.tonic.pitch_class) % 12 or ("bII", "major") in question.accepted
        )


@given(units, st.sampled_from([4, 5, 6]), seeds)
def test_without_a_given_key_home_sounds_first(unit: str, rung: int, seed: int) -> None:
    """The first chord is the tonic that the goal is counted from."""
    question = kinds.build("finish-it", unit, rung, seed)
    assert question.chords[0].root.pitch_class == question.key.tonic.pitch_class
    assert "the first chord is home" in question.prompt


@given(st.sampled_from([5, 6]), seeds)
def test_a_tune_is_stopped_before_its_goal(rung: int, seed: int) -> None:
    """In a phrase of a tune the home sounds first, and what comes is the tune's own chord."""
    tune = material(SLIPWAY, "slipway")
    question = kinds.build("finish-it", "major-two-five-one", rung, seed, tune)
    assert question.ending is not None
    assert question.chords[0].root == question.key.tonic
    assert question.ending.text.removeprefix(str(question.ending.root)) in ("maj7", "6")
    assert marked(question, "1 major").exact
    with pytest.raises(DrillError, match="slipway holds no tritone substitute to one"):
        kinds.build("finish-it", "tritone-five-one", 5, 1, tune)


def test_no_preparation_ends_on_a_diminished_chord() -> None:
    """It has four roots; every row that is asked ends on a chord with one, a type or two chords or more aside."""
    for unit in finish_it.UNITS:
        ways = goals.preparations(CADENCE[unit], any_length=True)
        assert ways
        assert not any("°" in way.row[-1] for way in ways)
