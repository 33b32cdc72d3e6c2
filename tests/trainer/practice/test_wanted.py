"""What the player's tunes want first: prerequisites never behind, what opens most tunes before what opens few."""

from itertools import combinations
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from trainer.memory.unit import Unit
from trainer.practice.course import shipped_course, units
from trainer.practice.wanted import lacking, next_for, ordered, ready_now, wanted

TABLE = units()
TYPES = sorted(TABLE)
TUNES = st.lists(st.tuples(st.frozensets(st.sampled_from(TYPES), max_size=6), st.sampled_from((1.0, 4.0))), max_size=8)
HEARD = st.frozensets(st.sampled_from(TYPES), max_size=20)


@given(TUNES, HEARD)
def test_what_comes_before_never_weighs_less(tunes: list[tuple[frozenset[str], float]], heard: frozenset[str]) -> None:
    """No unit weighs more than one that is learned before it and isn't heard yet; what is heard weighs nothing."""
    weights = wanted(tunes, TABLE, heard)
    assert not weights.keys() & heard
    for id, weight in weights.items():
        for before in set(TABLE[id].after) - heard:
            assert weight <= weights[before] + 1e-9


@given(TUNES, HEARD)
def test_the_order_holds_everything_once_behind_its_prerequisites(
    tunes: list[tuple[frozenset[str], float]], heard: frozenset[str]
) -> None:
    """The course put in order by weight is the course: each type once, none before what it builds on and lacks."""
    weights = wanted(tunes, TABLE, heard)
    order = ordered(shipped_course().order, weights)
    assert sorted(shipped_course().order) == sorted(order)
    for place, id in enumerate(order):
        if id in weights:
            assert set(TABLE[id].after) - heard <= set(order[:place])


@given(TUNES, HEARD)
def test_weights_add_up_to_the_tunes_that_are_not_open(
    tunes: list[tuple[frozenset[str], float]], heard: frozenset[str]
) -> None:
    """Each tune that isn't open yet gives away all that it counts, and an open one nothing."""
    shut = sum(counts for types, counts in tunes if lacking(types, TABLE, heard))
    assert abs(shut - sum(wanted(tunes, TABLE, heard).values())) < 1e-9


def test_what_opens_most_tunes_comes_first() -> None:
    """Among tunes that each lack a few types, the first of the order opens most of those that one type opens."""
    rng = Random(11)
    free = [id for id in TYPES if set(TABLE[id].after) <= {"major-five-one"}]
    heard = {"major-five-one"}
    for _ in range(200):
        tunes = [(frozenset(rng.sample(free, 1)), 1.0) for _ in range(12)]
        order = ordered(shipped_course().order, wanted(tunes, TABLE, heard))
        opens = {id: sum(lacking(types, TABLE, heard) == {id} for types, _ in tunes) for id in free}
        assert opens[order[0]] == max(opens.values())


def test_a_tune_that_is_learned_counts_as_several() -> None:
    """What a tune to learn lacks comes before what one other tune lacks, and not before what many do."""
    tunes = [(frozenset({"backdoor"}), 4.0), (frozenset({"plagal"}), 1.0)]
    weights = wanted(tunes, TABLE, set(TYPES) - {"backdoor", "plagal"})
    assert weights["backdoor"] > weights["plagal"]
    weights = wanted([*tunes, *[tunes[1]] * 4], TABLE, set(TYPES) - {"backdoor", "plagal"})
    assert weights["backdoor"] < weights["plagal"]


@given(st.frozensets(st.sampled_from(TYPES), max_size=6), HEARD)
def test_what_to_learn_is_all_that_lacks_each_behind_what_it_builds_on(
    types: frozenset[str], heard: frozenset[str]
) -> None:
    """The list to learn for a tune is what it lacks, in an order in which each can be learned; its first is ready."""
    coming = next_for(types, TABLE, heard, shipped_course().order)
    assert lacking(types, TABLE, heard) == set(coming)
    assert len(set(coming)) == len(coming)
    for place, id in enumerate(coming):
        assert set(TABLE[id].after) - heard <= set(coming[:place])
    if coming:
        assert ready_now(coming[0], TABLE, heard)


def test_what_has_no_drill_is_not_wanted() -> None:
    """A unit that nothing can train, or that the table doesn't hold, is neither lacking nor weighed."""
    table = {"a": Unit("a", ("name-functions",), ("b",)), "b": Unit("b", ())}
    assert {"a"} == lacking(("a", "b", "c"), table, ())
    assert ("a",) == next_for(("a", "b", "c"), table, (), ())
    assert ready_now("a", table, ())


def test_equals_stay_in_the_order_of_the_course() -> None:
    """Where nothing is wanted the order is the course's own, whatever units are heard."""
    for heard in combinations(TYPES[:4], 2):
        assert shipped_course().order == ordered(shipped_course().order, wanted([], TABLE, heard))
