"""Moves of the key center: what sounds is read as it is asked, every way to say a move is right, misses are graded."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.drills.center_cases import MOVES, SECOND_OF_TWO, ferry
from tests.trainer.drills.drilling import first_where, marked, seeds
from trainer.drills import kinds
from trainer.drills.answer import AnswerError
from trainer.drills.confirmed_centers import centers_in_turn, stays
from trainer.drills.holds import holds
from trainer.drills.mark import RULES
from trainer.drills.move_table import MOVES as TABLE
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS, DrillError
from trainer.drills.units import MoveUnit, find_unit
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key

units = st.sampled_from(list(TABLE))


def told(question: Question) -> list[tuple[int, str]]:
    """The moves between the centers of a question, half steps up and the mode that is reached."""
    return [
        ((new.tonic.pitch_class - old.tonic.pitch_class) % 12, new.mode)
        for old, new in pairwise(centers_in_turn(question.centers))
    ]


@given(units, st.integers(1, 6), seeds)
def test_the_reading_finds_just_the_asked_centers(unit: str, rung: int, seed: int) -> None:
    """Read without the answer, what sounds has the asked centers in order, the unit's move among them."""
    question = kinds.build("key-moves", unit, rung, seed)
    assert holds(question).functions
    move = find_unit(unit)
    assert isinstance(move, MoveUnit)
    assert (move.semitones % 12, move.mode_to) in told(question)
    assert len(told(question)) == len(question.fields) == (1 if rung < 5 else 2)


@pytest.mark.parametrize("mode_from", ["major", "minor"])
@pytest.mark.parametrize("mode_to", ["major", "minor"])
@pytest.mark.parametrize("semitones", range(-5, 7))
def test_any_move_can_be_asked(semitones: int, mode_from: str, mode_to: str) -> None:
    """Moves that no stage of the course has can be asked by name as well."""
    if semitones == 0 and mode_from == mode_to:
        return
    unit = f"move:{semitones:+d}:{mode_from}-{mode_to}".replace("+0", "0")
    for rung in RUNGS:
        assert holds(kinds.build("key-moves", unit, rung, 3)).functions


@given(units, st.integers(1, 6), seeds)
def test_each_center_is_confirmed_by_a_dominant_that_rests(unit: str, rung: int, seed: int) -> None:
    """Every stay holds its own V, and the tonic after it (what a confirmed key is: common practice, no source)."""
    question = kinds.build("key-moves", unit, rung, seed)
    for stay in stays(question.centers):
        tonic = question.centers[stay.start].tonic.pitch_class
        degrees = [(question.chords[n].root.pitch_class - tonic) % 12 for n in stay]
        fives = [n for n in stay if degrees[n - stay.start] == 7 and question.chords[n].quality.third != "minor"]
        assert fives
        assert 0 in degrees[degrees.index(7) :]


@given(units, st.integers(1, 2), seeds)
def test_choices_of_moves(unit: str, rung: int, seed: int) -> None:
    """Of 3 or of 4 different ones; the right one once; none stays where it is, so no two can sound alike."""
    question = kinds.build("key-moves", unit, rung, seed)
    choices = question.choices
    assert choices is not None
    assert {1: 3, 2: 4}[rung] == len(choices) == len(set(choices))
    assert 1 == sum(row in question.accepted for row in choices)
    said = set()
    for row in choices:
        one = kinds.read_answer(question, row[0])
        assert one.choice == choices.index(row)
        heard = kinds.heard_answer(question, one)
        last = [chord.symbol.root.pitch_class for chord in heard.chords]
        said.add((tuple(last), tuple(chord.symbol.text for chord in heard.chords)))
    assert len(choices) == len(said)


@pytest.mark.parametrize(("unit", "typed", "rule"), MOVES)
def test_each_rule_of_a_move_decides_its_case(unit: str, typed: str, rule: str) -> None:
    """An interval with its direction, half steps or a degree, with the mode where it changes; misses by their rule."""
    mark = marked(kinds.build("key-moves", unit, 4, 7), typed)
    assert [rule] == [part.rule for part in mark.parts]
    assert RULES[rule].credit == mark.credit


def there_and_back() -> Question:
    """Up a minor third and back, in a phrase."""
    wanted = ("up a minor third", "then down a minor third")
    return first_where("key-moves", "move:+3:major-major", 5, lambda q: q.accepted == (wanted,))


@pytest.mark.parametrize(("typed", "rules"), SECOND_OF_TWO)
def test_moves_one_after_the_other(typed: str, rules: list[str]) -> None:
    """Each move counts from the center before it; what is counted from the first one is told so."""
    if typed == "+3, +0":
        question = first_where(
            "key-moves", "move:+3:major-major", 5,
            lambda q: q.accepted[0][0] == "up a minor third" and len(set(told(q))) == 2 and told(q)[1][1] == "major"
            and q.accepted[0][1] != "then down a minor third",
        )  # fmt: skip
        from_first = (told(question)[0][0] + told(question)[1][0]) % 12
        typed = f"+3, +{from_first}"
        assert rules == [part.rule for part in marked(question, typed).parts]
        return
    assert rules == [part.rule for part in marked(there_and_back(), typed).parts]


def test_a_named_key_is_right_where_the_first_is_known() -> None:
    """Where the key is given the new one may be named; where it isn't, nobody can know its name."""
    question = kinds.build("key-moves", "move:+3:major-minor", 3, 5)
    new = centers_in_turn(question.centers)[1]
    for text in (new.name, f"{new.tonic}m", f"to {new.tonic} minor"):
        assert marked(question, text).exact
    with pytest.raises(AnswerError, match="can't read"):
        kinds.read_answer(kinds.build("key-moves", "move:+3:major-minor", 4, 5), "F minor")


@pytest.mark.parametrize(
    ("typed", "message"),
    [("", "Type how far and which way"), ("a minor third", "Say `up` or `down`"), ("far", "can't read 'far'"),
     ("?", "Every move is left out"), ("+3, +4", "You gave 2 moves of 1")],
)  # fmt: skip
def test_a_move_that_cannot_be_read_is_told(typed: str, message: str) -> None:
    """What can't be read says what would be accepted, and counts as nothing."""
    with pytest.raises(AnswerError, match=message):
        kinds.read_answer(kinds.build("key-moves", "move:+3:major-major", 4, 1), typed)


def test_a_move_that_is_named_instead_is_a_confusion() -> None:
    """The move that an answer says where the unit's was asked is kept by its id."""
    mark = marked(kinds.build("key-moves", "move:+3:major-minor", 4, 7), "-3 m")
    assert ("move:+3:major-minor", "move:-3:major-minor") == mark.confusion
    assert marked(kinds.build("key-moves", "move:+3:major-minor", 4, 7), "+3 m").confusion is None


@given(st.sampled_from([5, 6]), seeds)
def test_a_move_out_of_a_tune(rung: int, seed: int) -> None:
    """Out of a tune at most eight bars sound, with the asked move in them, read alone as in the tune."""
    question = kinds.build("key-moves", "move:+3:major-major", rung, seed, ferry())
    assert ("tune:ferry", 126) == (question.material, question.tempo)
    assert (3, "major") in told(question)
    assert holds(question).functions
    assert sum(question.beats) <= 32
    assert marked(question, question.correct).exact


def test_a_tune_without_the_move_is_told() -> None:
    """A tune that doesn't go there can't be asked for it."""
    assert not kinds.KINDS["key-moves"].stretches("move:+1:major-major", ferry())
    with pytest.raises(DrillError, match="holds no move up a half step"):
        kinds.build("key-moves", "move:+1:major-major", 5, 1, ferry())


@given(units, st.integers(3, 6), seeds)
def test_another_answer_sounds_as_it_says(unit: str, rung: int, seed: int) -> None:
    """The answer to compare has the first center as it was and the others where the answer puts them."""
    question = kinds.build("key-moves", unit, rung, seed)
    right = kinds.heard_answer(question, kinds.read_answer(question, question.correct))
    sounded = [chord.symbol.root.pitch_class for chord in right.chords if chord.role == "answer"]
    assert [chord.root.pitch_class for chord in question.chords] == sounded
    text = ", ".join(["+1 major"] * len(question.fields))
    other = kinds.heard_answer(question, kinds.read_answer(question, text))
    last = [chord.symbol for chord in other.chords if chord.role == "answer"][-1]
    before = centers_in_turn(question.centers)[-2]
    tonics = {(before.tonic.pitch_class + 1 + up) % 12 for up in (0, 5, 9)}
    assert last.root.pitch_class in tonics


def test_the_table_of_moves_is_whole() -> None:
    """All closely related keys and both parallels come first (any theory primer); nothing comes before itself."""
    near = {
        (key.fifths - home.fifths, key.mode, home.mode): move
        for move in TABLE
        for home in (Key(kinds.build("key-moves", move, 4, 1).key.tonic, mode_from(move)),)
        for key in (centers_in_turn(kinds.build("key-moves", move, 4, 1).centers)[1],)
    }
    related = {(n, mode, home) for n in (-1, 0, 1) for mode in ("major", "minor") for home in ("major", "minor")}
    related -= {(0, "major", "major"), (0, "minor", "minor")}
    assert related <= set(near)
    order = list(TABLE)
    assert {near[one] for one in related} <= set(order[:12])
    for place, (_, before) in enumerate(TABLE.items()):
        assert all(one in CADENCE or one in order[:place] for one in before)


def mode_from(unit: str) -> str:
    """The mode that a move leaves."""
    found = find_unit(unit)
    assert isinstance(found, MoveUnit)
    return found.mode_from
