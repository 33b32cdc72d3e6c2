"""How people play: seeded, slight, never early, and off unless asked for."""

from random import Random
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from synth.score import Part, Score
from tests.trainer.voicing.tunes import bars
from trainer.voicing.hands import LATEST_S, UNEVENNESS, Hands
from trainer.voicing.performance import perform_chart

LINE = "| Dm7 G7 | Cmaj7 A7 | Dm7 G7 | C6 |"


def score(seed: int | None, feel: str = "swing") -> Score:
    """A few bars with everybody playing."""
    return perform_chart(bars(LINE, feel=feel), seed=seed, bass_feel="walking", time="brush").score


def test_every_part_has_its_limits() -> None:
    """The table names each part, with limits within the common one; clicks are exact, the bass is steadiest."""
    assert set(get_args(Part)) == set(UNEVENNESS)
    for limits in UNEVENNESS.values():
        assert 0 <= limits.from_s <= limits.until_s <= LATEST_S
        assert 0 <= limits.laid_back_from_s <= limits.laid_back_until_s <= LATEST_S
    assert UNEVENNESS["bass"].until_s < UNEVENNESS["keys"].until_s
    assert UNEVENNESS["bass"].level < UNEVENNESS["keys"].level
    assert 0 == UNEVENNESS["click"].until_s == UNEVENNESS["click"].level


@given(st.sampled_from(get_args(Part)), st.booleans(), st.integers(1, 6), st.floats(0.001, 4), st.integers())
def test_a_stroke_keeps_to_its_limits(part: Part, laid_back: bool, notes: int, shortest_s: float, seed: int) -> None:
    """Nothing is early, later than its part may be, or uses up its length; levels differ as the table allows."""
    limits = UNEVENNESS[part]
    late, harder = Hands(Random(seed), laid_back).stroke(part, notes, shortest_s)
    assert 0 <= late <= min(LATEST_S, shortest_s / 4)
    assert notes == len(harder)
    most = limits.level + limits.note_level
    assert all(-most <= more <= most + limits.top for more in harder)


def test_without_a_seed_everything_is_exact() -> None:
    """No seed is no unevenness: strokes stand where they are written, levels are those of the pattern."""
    assert score(None) == score(None)
    assert {0.0} == {
        note.onset_s % 0.25 for note in score(None, "straight").notes if note.part in ("keys", "bass", "click")
    }


@pytest.mark.parametrize("seed", [0, 1, 2026])
def test_a_seed_changes_times_and_levels_a_little_and_nothing_else(seed: int) -> None:
    """The same notes in the same order within each part, at most 12 ms late; another seed is another playing."""
    plain, loose = score(None), score(seed)
    assert loose == score(seed) != score(seed + 1)
    assert (plain.markers, plain.tempos, plain.duration_s) == (loose.markers, loose.tempos, loose.duration_s)
    for part in get_args(Part):
        here = [note for note in plain.notes if note.part == part]
        there = [note for note in loose.notes if note.part == part]
        assert [note.midi for note in here] == [note.midi for note in there]
        for one, other in zip(here, there, strict=True):
            assert 0 <= other.onset_s - one.onset_s <= LATEST_S
            assert other.duration_s > 0
            assert one.onset_s + one.duration_s == pytest.approx(other.onset_s + other.duration_s)
            assert abs(one.velocity - other.velocity) <= 8


def test_a_stroke_stays_together_and_its_top_sings() -> None:
    """The keys of a chord come at once, on average the highest of them the loudest."""
    loose = [note for note in score(7).notes if note.part == "keys"]
    onsets = sorted({note.onset_s for note in loose})
    strokes = [[note for note in loose if note.onset_s == onset] for onset in onsets]
    assert all(len(stroke) == 4 for stroke in strokes)
    above = [stroke[-1].velocity - sum(note.velocity for note in stroke[:-1]) / 3 for stroke in strokes]
    assert 2 < sum(above) / len(above) < 6


def test_keys_lie_behind_in_swing() -> None:
    """In swing the keys come later than the bass on the same beat, on average."""

    def late(part: str) -> float:
        pairs = zip(
            [note.onset_s for note in score(None).notes if note.part == part],
            [note.onset_s for note in score(3).notes if note.part == part],
            strict=True,
        )
        found = [after - before for before, after in pairs]
        return sum(found) / len(found)

    assert late("bass") < 0.003 < 0.006 < late("keys") < 0.012
