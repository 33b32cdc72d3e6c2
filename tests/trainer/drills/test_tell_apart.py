"""Two stretches side by side: one difference, both or neither now and then, and nothing else that tells."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.amounts import amount
from tests.trainer.drills.drilling import APART, SLIPWAY, WALTZ, first_where, halves, marked, material, seeds
from trainer.drills import kinds
from trainer.drills.answer import AnswerError
from trainer.drills.apart_answer import WHICH
from trainer.drills.kinds import heard_answer, read_answer
from trainer.drills.mark import RULES
from trainer.drills.pairs import pairs, partners
from trainer.drills.question import Question
from trainer.drills.read_off import strokes
from trainer.harmony.cadence import CADENCE


def apart(unit: str, rung: int, which: str, against: str | None = None) -> Question:
    """The first question, by seed, with one answer."""
    built = (kinds.build("tell-apart", unit, rung, seed, against=against) for seed in range(200))
    return next(question for question in built if question.accepted[0][0] == which)

MOST_APART = 8
"""Half steps between the middles of two stretches: within one hand's register; of 1,500 questions one passes 6.3."""


@pytest.mark.parametrize("unit", APART)
def test_every_type_has_a_partner_that_it_is_easily_taken_for(unit: str) -> None:
    """Each type can be set beside another: what it is taken for or what is taken for it, where rows share a chord."""
    near = {*CADENCE[unit].taken_for, *(row.id for row in CADENCE.values() if unit in row.taken_for)}
    sharing = {other for other in near if any(len(one.differ) < len(one.row) for one in pairs(unit, other))}
    assert partners(unit)
    assert unit not in partners(unit)
    assert set(partners(unit)) <= (sharing or set(CADENCE))


@pytest.mark.parametrize(
    ("unit", "other", "places"),
    [
        ("major-two-five-one", "tritone-two-five-one", {1}),
        ("major-two-five-one", "minor-two-five-one", {2}),
        ("major-two-five-one", "major-four-five-one", {0}),
        ("plagal", "minor-plagal", {0}),
        ("deceptive-six", "deceptive-flat-six", {1, 2}),
        ("interrupted-after-two", "interrupted-after-two-five", {1}),
    ],
)
def test_the_difference_is_the_one_that_makes_the_type(unit: str, other: str, places: set[int]) -> None:
    """Two and five stay where only the one differs, and so on, in rows with a two or without (common practice)."""
    assert {(place,) for place in places} == {pair.differ for pair in pairs(unit, other)}
    assert {pair.differ for pair in pairs(other, unit)} == {pair.differ for pair in pairs(unit, other)}


@given(st.sampled_from(APART), st.integers(1, 6), seeds)
def test_both_stretches_are_alike_but_for_the_difference(unit: str, rung: int, seed: int) -> None:
    """As many chords, as long, in one style and register; what sounds differs where it is accepted to, or nowhere."""
    question = kinds.build("tell-apart", unit, rung, seed)
    assert question.two is not None
    first, second = halves(question)
    size = question.two.size
    assert size == len(first) == len(second)
    assert question.beats[:size] == question.beats[size:]
    struck = strokes(question.performance())
    pairs_of_strokes = list(zip(struck[:size], struck[size:], strict=True))
    differ = {
        str(n + 1)
        for n, (one, other) in enumerate(pairs_of_strokes)
        if (one.pitch_classes, one.lowest % 12) != (other.pitch_classes, other.lowest % 12)
    }
    which = question.accepted[0][0]
    if which in ("both", "neither"):
        assert [] == [one for one, other in pairs_of_strokes if one != other]
        return
    assert differ
    if question.choices is None:
        assert differ == {row[1] for row in question.accepted}
    middles = [sum(sum(one.keys) / len(one.keys) for one in half) / size for half in (struck[:size], struck[size:])]
    assert abs(middles[0] - middles[1]) < MOST_APART


@pytest.mark.parametrize(("rung", "offered"), [(1, 3), (2, 4), (3, 4), (6, 4)])
def test_each_answer_comes_as_often(rung: int, offered: int) -> None:
    """The answers on offer are right equally often: each within four standard deviations of its share."""
    drawn = [(unit, seed) for unit in APART[::6] for seed in range(amount(30, 12))]
    counts = Counter(kinds.build("tell-apart", unit, rung, seed).accepted[0][0] for unit, seed in drawn)
    total, share = sum(counts.values()), 1 / offered
    assert set(WHICH[:offered]) == set(counts)
    assert all(abs(n - total * share) < 4 * (total * share * (1 - share)) ** 0.5 for n in counts.values())


def test_what_the_player_confuses_is_set_beside_it() -> None:
    """The other type is the one asked for, and the table's where rows of the two are never as long."""
    for against in ("backdoor", "flat-seven-one", "minor-plagal"):
        for seed in range(6):
            question = kinds.build("tell-apart", "plagal", 3, seed, against=against)
            assert question.two is not None
            wanted = {against} if pairs("plagal", against) else set(partners("plagal"))
            assert question.two.other in wanted
    question = kinds.build("tell-apart", "plagal", 3, 1, against="three-six-two-five")
    assert question.two is not None
    assert question.two.other in partners("plagal")


SAID: list[tuple[str, str, list[str], float]] = [
    ("first", "first 2", ["right", "right"], 1.0),
    ("first", "1 2", ["right", "right"], 1.0),
    ("first", "the first, chord two", ["right", "right"], 1.0),
    ("first", "first", ["right", "left-out"], 0.7),
    ("first", "first 3", ["right", "one-chord-off"], 0.85),
    ("first", "second 2", ["other-way-round", "right"], 0.3),
    ("first", "both", ["difference-missed", "left-out"], 0.0),
    ("second", "neither", ["difference-missed", "left-out"], 0.0),
    ("both", "both", ["right"], 1.0),
    ("both", "neither", ["same-but-other"], 0.25),
    ("both", "first 2", ["none-differs"], 0.25),
    ("neither", "none of them", ["right"], 1.0),
]
"""The right answer, what is said, by which rules its parts are marked, and the credit."""


@pytest.mark.parametrize(("which", "said", "rules", "credit"), SAID)
def test_an_answer_is_marked_by_its_parts(which: str, said: str, rules: list[str], credit: float) -> None:
    """What was told apart, on which chord, and how near it was, by the table's rules."""
    wanted = [[which]] if which in ("both", "neither") else [[which, "2"]]
    question = first_where(
        "tell-apart", "major-two-five-one", 3,
        lambda q: [list(row) for row in q.accepted] == wanted and q.two.other == "tritone-two-five-one",
    )  # fmt: skip
    mark = marked(question, said)
    assert rules == [part.rule for part in mark.parts]
    assert credit == pytest.approx(mark.credit)
    assert all(part.rule in RULES for part in mark.parts)
    wrong = mark.parts[0].rule != "right"
    assert ("tritone-two-five-one" if wrong else None) == mark.taken_for


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Type `first` or `second`"),
        ("same", "I can't read 'same'"),
        ("first 9", "There is no chord 9: each stretch has 3 chords"),
        ("first x", "I can't read 'x' as the number"),
        ("both 2", "Where it is both, they don't differ"),
        ("first 1 2", "I can't read"),
        ("z" * 500, "longer than any answer"),
    ],
)
def test_what_cannot_be_read_is_told(text: str, message: str) -> None:
    """A bad answer says what was found and what is accepted, and is never marked."""
    with pytest.raises(AnswerError, match=message):
        read_answer(kinds.build("tell-apart", "major-two-five-one", 3, 2), text)


def test_choices_can_be_typed_too() -> None:
    """Where choices are offered, the number or the word picks one, and no chord is asked."""
    question = kinds.build("tell-apart", "backdoor", 2, 4)
    assert (("first",), ("second",), ("both",), ("neither",)) == question.choices
    for index, word in enumerate(WHICH):
        assert index == read_answer(question, str(index + 1)).choice == read_answer(question, word).choice
    with pytest.raises(AnswerError, match="none of the choices"):
        read_answer(question, "first 2")


@pytest.mark.parametrize("rung", [1, 3, 5])
def test_both_readings_can_be_compared(rung: int) -> None:
    """An answer sounds as it says: the stretches in the other order, or one of them twice."""
    question = apart("minor-plagal", rung, "first")
    two = question.two
    assert two is not None
    ways = {
        "first": two.asked + two.instead, "second": two.instead + two.asked,
        "both": two.asked * 2, "neither": two.instead * 2,
    }  # fmt: skip
    for word, chords in ways.items():
        if question.choices is not None and (word,) not in question.choices:
            continue
        played = heard_answer(question, read_answer(question, word))
        assert chords == tuple(chord.symbol for chord in played.chords if chord.role == "answer")


def test_a_tunes_cadence_is_set_beside_another() -> None:
    """In a tune the stretch is the tune's, and the other stretch differs in the cadence alone."""
    tune = material(SLIPWAY, "slipway")
    assert kinds.KINDS["tell-apart"].stretches("major-two-five-one", tune)
    assert not kinds.KINDS["tell-apart"].stretches("blues-four", material(WALTZ, "waltz"))
    for seed in range(12):
        question = kinds.build("tell-apart", "major-two-five-one", 5, seed, tune)
        two = question.two
        assert two is not None
        changed = [n for n, (one, other) in enumerate(zip(two.asked, two.instead, strict=True)) if one != other]
        assert changed
        assert set(changed) <= set(two.within)
        assert ("tune:slipway", 138) == (question.material, question.tempo)


def test_the_key_is_given_once() -> None:
    """With a key given or asked for as a help, it sounds before the first stretch and not between the two."""
    question = kinds.build("tell-apart", "backdoor", 4, 3)
    for helps in (("key",), ("key", "slower"), ()):
        played = question.performance(helps)
        assert (4 if "key" in helps else 0) == sum(chord.role == "confirm" for chord in played.chords)
        assert question.chords == tuple(chord.symbol for chord in played.chords if chord.role == "question")
