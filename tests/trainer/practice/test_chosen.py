"""A teacher's choice: keys from one bag, a tempo, types and rungs; whatever is chosen opens to the same sound."""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.drills.drilling import PAIRS, SLIPWAY, WALTZ, marked, material
from tests.trainer.practice.exercising import bytes_of, made, read
from trainer.drills.kinds import find_kind
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS, DrillError, allowed_tonics
from trainer.harmony.key import KeyNameError
from trainer.practice.chosen import WantedKey, drawn_questions, read_keys
from trainer.practice.exercise import sound_print
from trainer.practice.options import DrillOptions


def tunes() -> Sequence[TuneMaterial]:
    """Two invented tunes."""
    return material(SLIPWAY, "slipway"), material(WALTZ, "trestle")


def drawn(count: int = 12, seed: int = 5, **chosen: object) -> tuple[Question, ...]:
    """The questions of a choice."""
    return drawn_questions(DrillOptions(**chosen), seed, count, tunes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("words", "keys"),
    [
        (("Eb",), [(3, None)]),
        (("eb",), [(3, "minor")]),
        (("G minor", "F# major"), [(7, "minor"), (6, "major")]),
        (("C,F, Bb",), [(0, None), (5, None), (10, None)]),
        (("all",), [(tonic, None) for tonic in range(12)]),
        (("C", "C"), [(0, None)]),
    ],
)
def test_keys_as_teachers_write_them(words: tuple[str, ...], keys: list[tuple[int, str | None]]) -> None:
    """A tonic alone is in any mode, a small letter or the word says which, `all` is all twelve."""
    assert [WantedKey(*key) for key in keys] == list(read_keys(words))  # type: ignore[arg-type]


@pytest.mark.parametrize("words", ["H", "", "C,,F", "Eb lydian"])
def test_what_is_no_key_is_told(words: str) -> None:
    """A word that names no key raises the error of keys."""
    with pytest.raises(KeyNameError):
        read_keys((words,))


@settings(max_examples=25)
@given(st.sets(st.sampled_from(["C", "F", "Bb", "Eb", "Ab", "B", "F#"]), min_size=1, max_size=5), st.integers(0, 99))
def test_keys_come_from_one_bag(keys: set[str], seed: int) -> None:
    """Over all questions each key comes as often as the others, give or take one, whatever the types are."""
    asked = drawn(17, seed, keys=tuple(sorted(keys)), rung=3, types=("backdoor", "plagal", "major-two-five-one"))
    tonics = {key.tonic for key in read_keys(tuple(keys))}
    counts = Counter(question.key.tonic.pitch_class for question in asked)
    assert tonics == set(counts)
    assert max(counts.values()) - min(counts.values()) <= 1


def test_a_bag_is_empty_before_a_key_comes_back() -> None:
    """With all keys, each dozen of questions has all twelve."""
    asked = [question.key.tonic.pitch_class for question in drawn(36, keys=("all",), rung=4)]
    for start in (0, 12, 24):
        assert set(range(12)) == set(asked[start : start + 12])


@settings(max_examples=40)
@given(
    st.sampled_from(PAIRS), st.integers(1, 6) | st.none(),
    st.lists(st.sampled_from(["all", "C", "g", "Eb", "A major"]), max_size=4),
    st.integers(30, 320) | st.none(), st.integers(0, 2**31 - 1),
)  # fmt: skip
def test_any_choice_opens_to_the_same_sound_and_marks(
    pair: tuple[str, str], rung: int | None, keys: list[str], tempo: int | None, seed: int
) -> None:
    """Of any kind, type, rung, key and tempo: what was chosen is asked, and its file opens to the same sound."""
    kind, unit = pair
    chosen = {"kinds": (kind,), "types": (unit,), "rung": rung, "keys": tuple(keys), "tempo": tempo}
    mode = find_kind(kind).mode_of(unit)
    wanted = {key.tonic for key in read_keys(tuple(keys)) if key.mode in (None, mode)}
    allowed = set(allowed_tonics(RUNGS[rung or 2], mode))
    if keys and not wanted & allowed:
        with pytest.raises(DrillError, match="can't be asked in"):
            drawn(3, seed, **chosen)
        return
    asked = drawn(3, seed, **chosen)
    assert asked == drawn(3, seed, **chosen)
    opened = read(bytes_of(made(*asked)))
    assert asked == opened.questions
    assert () == opened.sounds_otherwise()
    for question in opened.questions:
        assert (kind, unit) == (question.kind, question.unit)
        assert rung in (None, question.rung)
        assert not keys or question.key.tonic.pitch_class in wanted
        assert tempo is None or Fraction(tempo) == question.tempo
        assert marked(question, question.correct).exact


def test_a_tempo_changes_the_time_and_nothing_else() -> None:
    """The same questions at half the tempo have the same notes, each twice as long."""
    fast, slow = drawn(8, tempo=120, rung=4), drawn(8, tempo=60, rung=4)
    for one, other in zip(fast, slow, strict=True):
        assert [note.midi for note in one.performance().score.notes] == [
            note.midi for note in other.performance().score.notes
        ]
        assert 2 * one.performance().score.duration_s == pytest.approx(other.performance().score.duration_s)
        assert sound_print(one) != sound_print(other)


@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        ({"types": ("minor-two-five-one",), "keys": ("G major",)}, "'minor-two-five-one' can't .* it is in minor"),
        ({"types": ("backdoor",), "keys": ("g",)}, "'backdoor' can't be asked in g: it is in major"),
        ({"types": ("backdoor",), "keys": ("F#",), "rung": 1}, "rung 1 has the easiest keys only"),
        ({"keys": ("F#",), "rung": 1, "kinds": ("name-functions",)}, "nothing can be asked in F# on rung 1"),
    ],
)
def test_keys_that_a_type_or_a_rung_hasnt_are_told(chosen: dict[str, object], words: str) -> None:
    """What can't be asked in the keys is told with the reason, before anything is written."""
    with pytest.raises(DrillError, match=words):
        drawn(**chosen)


def test_types_that_fit_no_key_are_left_out_where_none_was_named() -> None:
    """With a minor key and no types named, types of minor alone are asked."""
    asked = drawn(20, keys=("g",), rung=4)
    assert {"minor"} == {question.key.mode for question in asked}
    assert {7} == {question.key.tonic.pitch_class for question in asked}
    assert len({question.unit for question in asked}) > 3
