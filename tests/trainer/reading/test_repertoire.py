"""A repertoire counted: against counting by hand, against trying everything, and in any order of the tunes."""

import random
from itertools import combinations

import pytest

from tests.trainer.reading.charting import reading_of
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key, parse_key
from trainer.reading.repertoire import (
    FEW,
    KindOfInterruption,
    KindOfMove,
    NextTypes,
    TuneCount,
    count_tune,
    most_centers,
    next_types,
    not_learned,
    repertoire_of,
)


def tune(*types: str, name: str = "", centers: tuple[str, ...] = ("C major",)) -> TuneCount:
    """A tune with these types, once each, in these centers."""
    keys = {parse_key(center): 1 for center in centers}
    return TuneCount(name, name, 8, next(iter(keys)), keys, {}, dict.fromkeys(types, 1), {})


def closed(types: frozenset[str]) -> frozenset[str]:
    """Types with all that the table puts before them."""
    before = frozenset(id for type in types for id in CADENCE[type].after)
    return types if before <= types else closed(types | before)


def test_one_tune_is_counted_as_by_hand() -> None:
    """Bars, centers, the move and the cadences of a short tune that goes up a major third and back."""
    counts = count_tune(reading_of("Dm7 G7 | Cmaj7 | F#m7 B7 | Emaj7 | F#m7 B7 | Emaj7 | Dm7 G7 | Cmaj7"))
    major_third = KindOfMove(4, "major", "major", "up a major third")
    back = KindOfMove(-4, "major", "major", "down a major third")
    c, e = Key(parse_key("C").tonic, "major"), Key(parse_key("E").tonic, "major")
    assert (8, c, {c: 2, e: 1}) == (counts.bars, counts.home, counts.centers)
    assert {major_third: 1, back: 1} == counts.moves
    assert {"major-two-five-one": 4} == counts.cadences
    assert {} == counts.interruptions


def test_an_interruption_is_counted_by_its_shape_and_distance() -> None:
    """Two and five of C, a cadence a half step up, and C's own at last."""
    counts = count_tune(reading_of("Cmaj7 | Dm7 G7 | Ebm7 Ab7 | Dbmaj7 | Dm7 G7 | Cmaj7"))
    assert {KindOfInterruption("after-two-five-and-again", 1): 1} == counts.interruptions


def test_tunes_add_up() -> None:
    """Times are added, a tune counts once for each thing it has, what most tunes have comes first."""
    one = tune("plagal", "picardy", name="one")
    more = TuneCount("two", "Two", 12, None, {}, {}, {"plagal": 5, "half": 1}, {})
    repertoire = repertoire_of([one, more])
    assert [("plagal", 6, 2), ("picardy", 1, 1), ("half", 1, 1)] == [
        (row.what, row.times, row.tunes) for row in repertoire.cadences
    ]
    assert (20, ["one", "two"]) == (repertoire.bars, [short.file for short in repertoire.tunes])
    assert [("C major", 1)] == [(row.what.name, row.tunes) for row in repertoire.homes]


def test_keys_that_sound_the_same_are_one() -> None:
    """F# and Gb are one center, named as it is written most; a tune with both has one center."""
    both = [tune(centers=("F# major",)), tune(centers=("Gb major",)), tune(centers=("Gb major", "F# major"))]
    repertoire = repertoire_of([*both, tune(centers=("Gb major", "Gb minor"))])
    assert [("Gb major", 4), ("Gb minor", 1)] == [(row.what.name, row.tunes) for row in repertoire.centers]
    assert [1, 1, 1, 2] == [short.centers for short in repertoire.tunes]


def test_most_centers_first() -> None:
    """Tunes that stay in one key are left out, equals keep their order."""
    keys = ("C major", "D major", "E major")
    tunes = [tune(name=str(number), centers=keys[:number]) for number in (2, 1, 3, 2)]
    assert ["3", "2", "2"] == [short.file for short in most_centers(repertoire_of(tunes))]


def test_what_is_learned_is_not_missing() -> None:
    """Learned types are left out of what is missing."""
    repertoire = repertoire_of([tune("plagal", "half")])
    assert ["half"] == [row.what for row in not_learned(repertoire, {"plagal"})]


def test_two_types_that_open_nothing_alone_are_found_together() -> None:
    """Three tunes want the same two types, one tune wants a third: the pair opens most, neither alone opens any."""
    before = closed(frozenset({"plagal", "half", "picardy"})) - {"plagal", "half", "picardy"}
    tunes = [tune("plagal", "half", name=f"both {n}") for n in range(3)] + [tune("picardy", name="alone")]
    single, pair, all_three = next_types(repertoire_of(tunes), before)
    assert (("picardy",), ["alone"]) == (single.types, [short.file for short in single.opens])
    assert ({"plagal", "half"}, 3) == (set(pair.types), len(pair.opens))
    assert 4 == len(all_three.opens)


def test_what_comes_before_a_type_is_learned_with_it() -> None:
    """A tune isn't open with a type alone whose forerunners in the table aren't learned."""
    assert "major-five-one" in CADENCE["major-two-five-one"].after
    (choice,) = next_types(repertoire_of([tune("major-two-five-one", name="one")]), ())
    assert {"major-two-five-one", *CADENCE["major-two-five-one"].after} == set(choice.types)


@pytest.mark.parametrize("seed", range(6))
def test_no_other_choice_opens_more(seed: int) -> None:
    """For each size the chosen types open as many tunes as the best of all choices of the whole table's types."""
    rng = random.Random(seed)
    ids = rng.sample(list(CADENCE), 14)
    learned = closed(frozenset(rng.sample(ids, 6)))
    tunes = [tune(*rng.sample(ids, rng.randrange(5)), name=str(number)) for number in range(60)]
    repertoire = repertoire_of(tunes)
    wants = [closed(frozenset(short.types)) - learned for short in repertoire.tunes]
    candidates = sorted(frozenset().union(*wants))
    best = {
        size: max(
            (sum(bool(want) and want <= set(choice) for want in wants) for choice in combinations(candidates, size)),
            default=0,
        )
        for size in range(1, FEW + 1)
    }
    found = {len(choice.types): len(choice.opens) for choice in next_types(repertoire, learned) if choice.opens}
    for size in range(1, FEW + 1):
        assert best[size] == max((opened for few, opened in found.items() if few <= size), default=0)


def test_where_no_tune_is_near_the_most_wanted_come_first() -> None:
    """With nothing learned and tunes that want much, what can be learned at once and most tunes want is named."""
    tunes = [tune("backdoor", "minor-turnaround", "extended-dominants", name=str(number)) for number in range(3)]
    (choice,) = next_types(repertoire_of(tunes), ())
    assert () == choice.opens
    assert FEW == len(choice.types)
    assert closed(frozenset(choice.types)) == set(choice.types)


def test_nothing_to_learn_where_all_is_learned() -> None:
    """No choice is given where every tune is open, or where there is no tune."""
    assert () == next_types(repertoire_of([tune("plagal"), tune()]), set(CADENCE))
    assert () == next_types(repertoire_of([]), ())


def test_the_order_of_the_tunes_changes_no_count(rng: random.Random) -> None:
    """Shuffled tunes give the same counts."""
    tunes = [tune(*rng.sample(list(CADENCE), 4), name=str(number)) for number in range(30)]
    counts = {(row.what, row.times, row.tunes) for row in repertoire_of(tunes).cadences}
    choice: tuple[NextTypes, ...] = next_types(repertoire_of(tunes), ())
    rng.shuffle(tunes)
    assert counts == {(row.what, row.times, row.tunes) for row in repertoire_of(tunes).cadences}
    assert [one.types for one in choice] == [one.types for one in next_types(repertoire_of(tunes), ())]
