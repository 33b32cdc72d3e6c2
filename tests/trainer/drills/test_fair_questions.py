"""Questions are fair: what is asked is what sounds, and nothing but what sounds tells the answer.

Each question is read twice without its answer, from its symbols alone and from its sounding notes alone; music21
(its chords' roots) is a third ear. Chance is judged by chi-square tests of scipy at fixed seeds.
"""

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import cycle, islice
from random import Random
from statistics import mean

import pytest
from scipy.stats import chi2_contingency, chisquare

from tests.amounts import amount
from tests.trainer.drills.drilling import PAIRS
from trainer.drills import finish_it, guide_voice, kinds, name_cadence
from trainer.drills.checked import all_held
from trainer.drills.heard import row_degrees
from trainer.drills.holds import holds
from trainer.drills.question import Question, Row
from trainer.drills.read_off import ANSWERED, Stroke, as_heard, from_notes, from_symbols, second_answers, strokes
from trainer.drills.rungs import RUNGS, KeyBag
from trainer.practice.materials import exercise_material
from trainer.voicing.performance import Performance

FEW, MANY = 240, 10_000
P_LEAST = 1e-4
"""By luck alone a fair question fails so seldom."""
OFFERING = [number for number, rung in RUNGS.items() if rung.choices is not None]
KINDS = sorted({kind for kind, _ in PAIRS})
"""Those that have units without a tune of the player's choice."""
AGREES = {kind.ID: kind.agrees for kind in (name_cadence, finish_it, guide_voice)}
"""What it is for a reading to agree, by kind; else all that is asked is read."""
MOST_APART = 7
"""Half steps between the middles of two choices: a fifth, within one hand's register."""


def drawn(seed: int, count: int, rungs: Iterable[int] = RUNGS, kind: str | None = None) -> Iterator[Question]:
    """So many questions, every kind, unit and rung in shuffled order over and over, keys from a bag, tunes too."""
    rng, bag = Random(seed), KeyBag()
    asked = [(one, unit, rung) for one, unit in PAIRS for rung in rungs if kind in (None, one)]
    rng.shuffle(asked)
    for one, unit, rung in islice(cycle(asked), count):
        tunes = exercise_material() if RUNGS[rung].phrase else ()
        question, bag = kinds.draw(one, unit, rung, rng, bag, tunes)
        yield question


def check_readings(questions: Iterable[Question]) -> tuple[int, Counter[tuple[str, str]]]:
    """Hold every question to both readings; says how many there were, and for which a second answer was needed."""
    count, second = 0, Counter[tuple[str, str]]()
    for question in questions:
        count += 1
        told = (question.kind, question.unit, question.rung, question.seed, question.material, question.key.name)
        if question.kind not in ANSWERED:
            heard = as_heard(question)
            assert heard is not None
            agrees = AGREES.get(question.kind, all_held)
            assert agrees(question, holds(question)), told
            assert agrees(question, holds(heard)), told
            continue
        assert () == second_answers(question), told
        symbols, notes = from_symbols(question), from_notes(question)
        assert "?" not in (*symbols, *notes), told
        if question.kind == "name-functions" and "right too" in question.explanation:
            second["name-functions", question.unit] += 1
        elif question.kind == "catch-interruption" and len(question.accepted) > 1:
            second["catch-interruption", question.unit] += 1
    return count, second


def test_what_is_asked_is_what_is_read() -> None:
    """From symbols alone and again from notes alone the reading answers what is accepted, in every question."""
    count, _ = check_readings(drawn(7, FEW))
    assert FEW == count


@pytest.mark.long
def test_ten_thousand_questions_are_read_as_they_are_asked(capsys: pytest.CaptureFixture[str]) -> None:
    """Of 10,000 questions over all kinds, types, keys and rungs every one is; second answers are counted and told."""
    count, second = check_readings(drawn(2027, MANY))
    assert MANY == count
    with capsys.disabled():
        by_unit = ", ".join(f"{unit} {times}" for (_, unit), times in second.most_common())
        sys.stdout.write(f"\n{count} questions, {sum(second.values())} with a second answer: {by_unit}\n")


def test_a_reading_that_differs_is_seen() -> None:
    """A question that says another answer than what sounds doesn't pass: both readings tell."""
    for kind, unit, wrong in (
        ("name-functions", "major-two-five-one", ("ii7", "bII7", "Imaj7")),
        ("catch-interruption", "interrupted-after-two", ("yes", "4", "down a whole step")),
        ("tell-apart", "plagal", ("neither",)),
    ):
        built = (kinds.build(kind, unit, 3, seed) for seed in range(50))
        question = next(q for q in built if q.accepted[0][0] != wrong[0] or kind == "name-functions")
        assert () == second_answers(question)
        assert second_answers(replace(question, accepted=(wrong,)))


def played(question: Question, index: int) -> Performance:
    """A choice as it would sound."""
    return kinds.heard_answer(question, kinds.read_answer(question, str(index + 1)))


def heard(question: Question, performance: Performance) -> tuple[Stroke, ...]:
    """What is struck, the key's confirmation aside."""
    return strokes(performance, "answer")


def signature(struck: tuple[Stroke, ...], up: int) -> tuple[tuple[int, frozenset[int]], ...]:
    """Lowest notes and pitch classes, moved up."""
    return tuple(
        ((one.lowest + up) % 12, frozenset((pitch + up) % 12 for pitch in one.pitch_classes)) for one in struck
    )


@pytest.mark.parametrize("kind", KINDS)
def test_no_two_choices_could_sound_the_same(kind: str) -> None:
    """In the given key, or in any where none is given, choices differ in what sounds, and in nothing else.

    An interruption's choices say something about one sound, so they are not compared; a cadence's are names.
    """
    for question in drawn(11, 60, OFFERING, kind):
        if question.broken is not None or question.choices is None:
            continue
        performances = [played(question, index) for index in range(len(question.choices))]
        struck = [heard(question, one) for one in performances]
        ups = (0,) if question.confirm else range(12)
        seen = [{signature(one, up) for up in ups} for one in struck]
        for index, one in enumerate(seen):
            assert not any(one & other for other in seen[:index]), question
        if kind == "name-cadence":  # names on offer; a long type has too few others as long
            continue
        assert 1 == len({len(one) for one in struck})
        lengths = [one.score.duration_s for one in performances]
        assert max(lengths) - min(lengths) < 0.1
        if question.tones:  # a voice's notes are the answer, and lie where they lie
            continue
        middles = [mean(mean(one.keys or (one.lowest,)) for one in row) for row in struck]
        assert max(middles) - min(middles) < MOST_APART, question


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("rung", OFFERING)
def test_the_right_choice_stands_anywhere(kind: str, rung: int) -> None:
    """Each place on the list is the right one's equally often (chi-square)."""
    counts: Counter[int] = Counter()
    for question in drawn(13, amount(180, 90), (rung,), kind):
        assert question.choices is not None
        counts[next(n for n, row in enumerate(question.choices) if row in question.accepted)] += 1
    offered = RUNGS[rung].choices or 0
    assert chisquare([counts[n] for n in range(offered)]).pvalue > P_LEAST


def right_share(questions: Iterable[Question], likeness: Callable[[Row, tuple[Row, ...]], int]) -> tuple[int, int]:
    """How often the row with the highest figure, drawn by lot among equals, is right; and of how many."""
    rng, right, count = Random(3), 0, 0
    for question in questions:
        assert question.choices is not None
        figures = [likeness(row, question.choices) for row in question.choices]
        best = rng.choice([n for n, figure in enumerate(figures) if figure == max(figures)])
        right += question.choices[best] in question.accepted
        count += 1
    return right, count


@pytest.mark.parametrize("rung", OFFERING)
@pytest.mark.parametrize("sign", [1, -1], ids=["like", "unlike"])
def test_the_list_alone_tells_nothing(rung: int, sign: int) -> None:
    """Who picks the row most like the others, or least, without listening, is right by luck alone (four deviations)."""

    def likeness(row: Row, rows: tuple[Row, ...]) -> int:
        return sign * sum(one == other for mine in rows for one, other in zip(row, mine, strict=False))

    right, count = right_share(drawn(17, 300, (rung,), "name-functions"), likeness)
    luck = 1 / (RUNGS[rung].choices or 1)
    assert right <= count * luck + 4 * (count * luck * (1 - luck)) ** 0.5


def sides(question: Question) -> dict[str, object]:
    """What shows or sounds beside what is asked."""
    prompt = question.prompt.replace(question.key.name, "").replace(str(len(question.chords)), "")
    return {
        "chords": len(question.chords), "beats": sum(question.beats), "tempo": question.tempo,
        "style": question.style, "bass": question.with_bass, "key": question.key.tonic.pitch_class,
        "prompt": len(prompt.split()), "first": question.start_on,
    }  # fmt: skip


@pytest.mark.parametrize(("kind", "unit"), [("catch-interruption", "interrupted-after-two"), ("tell-apart", "plagal")])
@pytest.mark.parametrize("rung", [1, 3, 6])
def test_nothing_beside_it_gives_it_away(kind: str, unit: str, rung: int) -> None:
    """Number of chords, length, tempo, voicing, key and prompt go with no answer oftener than with another."""
    tables: dict[str, Counter[tuple[object, str]]] = {}
    for seed in range(160):
        question = kinds.build(kind, unit, rung, seed)
        for name, value in sides(question).items():
            tables.setdefault(name, Counter())[value, question.accepted[0][0]] += 1
    for name, table in tables.items():
        values = list(dict.fromkeys(value for value, _ in table))
        answers = list(dict.fromkeys(answer for _, answer in table))
        assert len(answers) > 1
        if len(values) > 1:
            counted = [[table[value, answer] for answer in answers] for value in values]
            assert chi2_contingency(counted).pvalue > P_LEAST, (name, counted)


@pytest.mark.parametrize("kind", KINDS)
def test_keys_come_from_a_shuffled_bag(kind: str) -> None:
    """On a rung of all twelve keys, three bags of questions have each key three times; within them by one at most."""
    rng, bag, counts = Random(19), KeyBag(), Counter[int]()
    units = [unit for one, unit in PAIRS if one == kind]
    for turn in range(36):
        question, bag = kinds.draw(kind, units[turn % len(units)], 3, rng, bag)
        counts[question.key.tonic.pitch_class] += 1
        assert max(counts.values()) - min(counts[tonic] for tonic in range(12)) <= 1
    assert {3} == set(counts.values())


def test_music21_hears_the_roots_that_are_asked() -> None:
    """Over a bass that is the root, music21's root of the sounding notes is the root of the accepted degree.

    Chords built in thirds alone: its root has the most thirds above, so that sixths and suspensions are other chords
    to it, and a diminished seventh has any.
    """
    chord_module = pytest.importorskip("music21.chord")
    compared = 0
    for question in drawn(23, 200, OFFERING, "name-functions"):
        asked = [one for one in question.performance().chords if one.role == "question"]
        for place, text in zip(question.blanks, question.accepted[0], strict=True):
            quality, voiced = question.chords[place].quality, asked[place].voicing
            in_thirds = {degree for degree, _ in quality.tones} <= {1, 3, 5, 7} and quality.seventh != "diminished"
            if question.chords[place].bass is not None or not in_thirds:
                continue
            assert voiced is not None
            assert voiced.bass is not None
            names = [str(pitch).replace("b", "-") for pitch in (voiced.bass, *voiced.keys)]
            root = chord_module.Chord(names).root().pitchClass
            assert row_degrees((text,)) == ((root - question.key.tonic.pitch_class) % 12,), (names, text)
            compared += 1
    assert compared > 200
