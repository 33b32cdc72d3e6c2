"""Marks: every rule of the table once with its reason, partial credit in order, helps, times, confusions."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.center_cases import RULES_REACHED
from tests.trainer.drills.drilling import first_where, marked, questions
from tests.trainer.drills.test_finish_it import RULES_MET as GOAL_RULES
from tests.trainer.drills.test_guide_voice import RULES_MET as VOICE_RULES
from tests.trainer.drills.test_name_cadence import RULES_MET as NAMED_RULES
from tests.trainer.drills.test_tell_apart import SAID
from trainer.drills import kinds
from trainer.drills.answer import Answer, Caught
from trainer.drills.distances import NAMES, distance_text, read_distance
from trainer.drills.mark import HELP_FACTORS, RULES, RULES_VERSION, WHOLE, Mark, parts_json, told
from trainer.drills.question import HELPS, Question
from trainer.drills.rungs import DrillError

MAJOR = ("ii7", "V7", "Imaj7")
MINOR = ("iiø7", "V7b9", "i6")


def naming(unit: str, row: tuple[str, ...], rung: int = 3) -> Question:
    """A free question with just this row."""
    return first_where("name-functions", unit, rung, lambda q: q.numerals == row)


def catching(distance: str, chord: str = "2", awaited: str = "V") -> Question:
    """A free question with an interruption at this distance, its awaited key a degree of the given one."""
    return first_where(
        "catch-interruption", "interrupted-after-two", 3,
        lambda q: q.accepted[0] == ("yes", chord, distance, awaited),
    )  # fmt: skip


def rules(mark: Mark) -> list[str]:
    """Which rule decided each part."""
    return [part.rule for part in mark.parts]


ROWS: list[tuple[str, tuple[str, ...], str, list[str]]] = [
    ("major-two-five-one", MAJOR, "2 5 1", ["right", "right", "right"]),
    ("major-two-five-one", MAJOR, "iiø V I", ["other-quality", "right", "right"]),
    ("major-two-five-one", MAJOR, "2 5 1m", ["right", "right", "other-quality"]),
    ("major-two-five-one", MAJOR, "2 5 17", ["right", "right", "other-quality"]),
    ("major-two-five-one", MAJOR, "2 b2 1", ["right", "substitute", "right"]),
    ("major-two-five-one", MAJOR, "2 7 1", ["right", "same-dominant", "right"]),
    ("major-two-five-one", MAJOR, "4 5 1", ["same-function", "right", "right"]),
    ("major-two-five-one", MAJOR, "2 5 6", ["right", "right", "same-function"]),
    ("major-two-five-one", MAJOR, "2 5 3", ["right", "right", "same-function"]),
    ("major-two-five-one", MAJOR, "b2 5 1", ["inflection", "right", "right"]),
    ("major-two-five-one", MAJOR, "6 2 5", ["other-tonic"] * 3),
    ("major-two-five-one", MAJOR, "? 5 1", ["left-out", "right", "right"]),
    ("major-two-five-one", MAJOR, "7 5 1", ["missed", "right", "right"]),
    ("tritone-two-five-one", ("ii7", "bII7", "Imaj7"), "2 5 1", ["right", "substitute", "right"]),
    ("minor-two-five-one", MINOR, "7 3 6", ["relative-key"] * 3),
    ("minor-two-five-one", MINOR, "4 5 1", ["same-function", "right", "right"]),
    ("minor-two-five-one", MINOR, "2 5 3", ["right", "right", "missed"]),
    ("minor-two-five-one", MINOR, "2 5 b3", ["right", "right", "same-function"]),
    ("backdoor", ("iv7", "bVII7", "Imaj7"), "4 7 1", ["right", "inflection", "right"]),
]  # fmt: skip


@pytest.mark.parametrize(("unit", "row", "typed", "expected"), ROWS)
def test_each_rule_decides_its_case(unit: str, row: tuple[str, ...], typed: str, expected: list[str]) -> None:
    """What was typed for each chord is worth what its rule says, and the mark is the mean of its parts."""
    mark = marked(naming(unit, row), typed)
    assert expected == rules(mark)
    assert pytest.approx(sum(RULES[rule].credit for rule in expected) / 3) == mark.credit
    assert mark.exact == (set(expected) == {"right"})


def test_a_missing_seventh_is_no_fault() -> None:
    """Where a triad stands on five, V7 is right: the color that matters was heard."""
    assert marked(naming("half", ("I", "IV", "V")), "I IV V7").exact


def test_an_applied_chord_is_right_both_ways() -> None:
    """VI7 and V7/ii are the same chord, and so are 6 and 5/2."""
    question = naming("applied-five", ("VI7", "ii7"))
    for text in ("6 2", "VI7 ii7", "V7/ii ii7", "V/ii ii", "5/2 2"):
        assert marked(question, text).exact
    assert ["missed", "right"] == rules(marked(question, "5 2"))


CAUGHT: list[tuple[str, list[str]]] = [
    ("yes 2 b2 5", ["right", "right", "right", "right"]),
    ("yes, on chord 2, up a half step, V", ["right", "right", "right", "right"]),
    ("2 +1 5", ["right", "right", "right", "right"]),
    ("y 2 m2 up awaited V", ["right", "right", "right", "right"]),
    ("yes 2 up half step awaited 5", ["right", "right", "right", "right"]),
    ("yes 2 +13", []),
    ("no", ["not-noticed", "left-out", "left-out", "left-out"]),
    ("yes", ["right", "left-out", "left-out", "left-out"]),
    ("yes 2", ["right", "right", "left-out", "left-out"]),
    ("yes 3 b2 5", ["right", "one-chord-off", "right", "right"]),
    ("yes 5 b2 5", ["right", "missed", "right", "right"]),
    ("yes 2 -1 5", ["right", "right", "wrong-direction", "right"]),
    ("yes 2 7 5", ["right", "right", "wrong-direction", "right"]),
    ("yes 2 up a minor third 5", ["right", "right", "missed", "right"]),
    ("yes 2 b2 b6", ["right", "right", "right", "swapped"]),
    ("yes 2 b2 1", ["right", "right", "right", "missed"]),
]


@pytest.mark.parametrize(("typed", "expected"), [row for row in CAUGHT if row[1]])
def test_each_rule_of_an_interruption_decides_its_case(typed: str, expected: list[str]) -> None:
    """Whether, where, how far and what was awaited are marked apart; noticing it counts most."""
    question = catching("up a half step")
    mark = marked(question, typed)
    assert expected == rules(mark)
    weights = [0.4, 0.2, 0.3, 0.1]
    credit = sum(RULES[rule].credit * weight for rule, weight in zip(expected, weights, strict=True))
    assert pytest.approx(credit) == mark.credit


def test_the_awaited_key_may_be_named() -> None:
    """Where the key is given, the awaited one is right by its name too."""
    question = catching("up a half step")
    assert question.broken is not None
    name = str(question.broken.awaited.tonic)
    assert marked(question, f"yes 2 b2 {name}").exact
    assert marked(question, f"yes 2 b2 {name} major").exact


def test_an_interruption_that_is_not_there_is_worth_nothing() -> None:
    """Where none breaks in `no` is all of it, and `yes` none."""
    question = first_where(
        "catch-interruption", "interrupted-after-two", 4, lambda q: q.accepted == (("no",),)
    )
    assert marked(question, "no").exact
    assert 0.0 == marked(question, "yes 2 b2").credit
    assert ["none-there"] == rules(marked(question, "yes"))


def test_every_rule_is_used_and_gives_its_reason() -> None:
    """These tests and those of the kinds reach every rule; each says why, and only the right one is worth all."""
    used = (
        {rule for row in ROWS for rule in row[3]}
        | {rule for row in CAUGHT for rule in row[1]}
        | {rule for row in SAID for rule in row[2]}
        | {"none-there"}
        | RULES_REACHED
        | set(NAMED_RULES)
        | set(GOAL_RULES)
        | set(VOICE_RULES)
    )
    assert used == set(RULES)
    assert all(rule.why and 0.0 <= rule.credit <= 1.0 for rule in RULES.values())
    assert ["right"] == [rule.id for rule in RULES.values() if rule.credit >= WHOLE]


@given(questions(), st.lists(st.sampled_from(HELPS), max_size=4))
def test_helps_are_recorded_and_lower_what_it_proves(question: Question, helps: list[str]) -> None:
    """Credit is what was heard; what it proves falls with each help taken."""
    right = " ".join(question.accepted[0])
    alone, helped = marked(question, right), marked(question, right, tuple(helps))
    assert alone.credit == helped.credit == alone.proves == 1.0
    assert tuple(helps) == helped.helps
    assert (helped.proves < 1.0) == bool(helps)
    more = marked(question, right, (*helps, "slower"))
    assert more.proves < helped.proves


def test_a_help_that_is_none_is_told() -> None:
    """An unknown help is an error, not a free one."""
    with pytest.raises(DrillError, match="no help 'shouting'"):
        marked(naming("major-two-five-one", MAJOR), "2 5 1", ("shouting",))


def test_the_key_helps_most_and_once_more_least() -> None:
    """The more of the hearing a help does, the less is left."""
    assert set(HELPS) == set(HELP_FACTORS)
    assert "key" == min(HELP_FACTORS, key=lambda word: HELP_FACTORS[word])
    assert "again" == max(HELP_FACTORS, key=lambda word: HELP_FACTORS[word])


@given(questions())
def test_a_mark_keeps_what_is_needed_to_mark_again(question: Question) -> None:
    """Times, the chance of guessing, the version of the rules and each part are kept."""
    mark = marked(question, " ".join(question.accepted[0]))
    assert (5.0, RULES_VERSION) == (mark.answer_s, mark.rules_version)
    assert question.performance().score.duration_s == mark.sound_s
    assert question.guess_chance == mark.guess_chance
    assert len(mark.parts) == len(parts_json(mark)) > 0
    assert () == told(mark)
    assert mark.confusion is None


@given(questions(), st.integers(0, 3))
def test_a_wrong_choice_gets_less(question: Question, at: int) -> None:
    """The right choice gets all, any other at most half, and what all choices share counts for nothing."""
    if question.choices is None or at >= len(question.choices):
        return
    mark = kinds.mark_answer(question, Answer("", choice=at), 1.0)
    if question.choices[at] in question.accepted:
        assert mark.exact
    else:
        assert mark.credit <= 0.5
        assert any(part.credit < WHOLE for part in mark.parts)


@pytest.mark.parametrize(
    ("unit", "row", "typed", "taken_for"),
    [
        ("major-two-five-one", MAJOR, "4 5 1", "major-four-five-one"),
        ("major-two-five-one", MAJOR, "2 b2 1", "tritone-two-five-one"),
        ("major-two-five-one", MAJOR, "iiø V I", "minor-two-to-major-one"),
        ("tritone-two-five-one", ("ii7", "bII7", "Imaj7"), "2 5 1", "major-two-five-one"),
        ("backdoor", ("iv7", "bVII7", "Imaj7"), "b6 b7 1", "flat-six-seven-one"),
        ("major-two-five-one", MAJOR, "7 5 1", None),
        ("major-two-five-one", MAJOR, "2 5 1", None),
    ],
)
def test_an_answer_that_is_another_type_names_it(
    unit: str, row: tuple[str, ...], typed: str, taken_for: str | None
) -> None:
    """A row that is another type of the table is remembered as that confusion."""
    mark = marked(naming(unit, row), typed)
    assert taken_for == mark.taken_for
    assert (None if taken_for is None else (unit, taken_for)) == mark.confusion


def test_an_interruption_heard_elsewhere_names_the_other_type() -> None:
    """One that isn't noticed was taken for a plain cadence, one a chord later for the other shape."""
    question = catching("up a half step")
    assert "major-two-five-one" == marked(question, "no").taken_for
    assert "interrupted-after-two-and-again" == marked(question, "yes 3 b2").taken_for
    assert marked(question, "yes 2").taken_for is None


def test_what_is_told_names_heard_right_and_why() -> None:
    """A line for each miss says what was heard, what it was, and the rule's reason."""
    lines = told(marked(naming("major-two-five-one", MAJOR), "2 b2 ?"))
    assert 2 == len(lines)
    assert lines[0].startswith("chord 2: you heard b2, it was V7. A tritone apart")
    assert "chord 3: you heard ?, it was Imaj7. Left out." == lines[1]


@pytest.mark.parametrize("semitones", range(-11, 12))
def test_a_distance_written_is_read_again(semitones: int) -> None:
    """Each distance as the house says it reads as itself, the short way round."""
    short = read_distance(distance_text(semitones))
    assert short is not None
    assert -5 <= short <= 6
    assert (semitones - short) % 12 == 0
    assert set(range(-5, 7)) == set(NAMES)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("up a half step", 1), ("half step up", 1), ("a semitone higher", 1), ("+1", 1), ("b2", 1),
        ("bII", 1), ("m2 up", 1), ("down a half step", -1), ("-1", -1), ("up a major seventh", -1), ("7", -1),
        ("M7 up", -1),
        ("tritone", 6), ("a tritone away", 6), ("#4", 6), ("-6", 6), ("+6", 6), ("down a fifth", 5), ("4", 5),
        ("P4 above", 5), ("up m3", 3), ("up M3", 4), ("3", 4), ("whole step down", -2),
        ("2 half steps up", 2),
        ("three semitones down", -3), ("+11", -1), ("parallel", 0),
        ("half step", None), ("up down third", None), ("+99", None), ("", None), ("far", None), ("up", None),
    ],
)  # fmt: skip
def test_distances_are_read_as_players_say_them(text: str, expected: int | None) -> None:
    """An interval with its direction, half steps with a sign, or the foreign tonic as a degree."""
    assert expected == read_distance(text)


def test_a_caught_answer_can_be_keyed() -> None:
    """What a screen keys in needs no text: the same values are marked the same."""
    question = catching("up a half step")
    keyed = Answer("", caught=Caught(True, 2, 1, 7))
    assert kinds.mark_answer(question, keyed).exact
