"""A reading holds whatever the key, the spelling, the fullness of the symbols and the chorus."""

import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.charts.chart_strategies import charts
from tests.trainer.reading.moved import (
    INTERVALS,
    RESPELLINGS,
    Told,
    all_told,
    bare,
    in_other_key,
    in_qualities,
    renamed,
    sixths,
    twice,
)
from tests.trainer.reading.sequences import sequences
from tests.trainer.reading.sets import pieces, read
from tests.trainer.reading.telling import tell
from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.interval import Interval
from trainer.harmony.quality import QUALITIES, Quality
from trainer.reading.analysis import analyze
from trainer.reading.events import events_of

SAMPLED = 24
"""Tunes in the normal run; the long one takes all."""
BARER_LEAST = 0.97
"""Chords of the jazz set that keep center and function in barer symbols."""
SECOND_CHORUS_LEAST = 0.99
"""Chords of the second chorus that are read as in the first, the seam apart."""
SEAM_BARS = 2
"""So many bars at each end of a chorus are the seam: what comes before or after them is another thing there."""


@cache
def tunes() -> tuple[tuple[str, Timeline], ...]:
    """Every tune at hand without its pins: the sets, the sequences, the exercise tunes."""
    found = [(piece.name, piece.timeline) for piece in pieces()]
    found += [(one.name, one.timeline) for one in sequences()]
    found += [(name, unpinned(load(name))) for name, _ in exercise_tunes()]
    return tuple(found)


def unpinned(chart: Chart) -> Timeline:
    """A chart as played, without its pins."""
    timeline = unfold(chart)
    return replace(timeline, spans=tuple(replace(span, pin=None) for span in timeline.spans))


def sample(rng: random.Random) -> list[tuple[str, Timeline]]:
    """Some of the tunes."""
    return rng.sample(tunes(), SAMPLED)


def differing(expected: Sequence[Told | None], found: Sequence[Told | None]) -> int:
    """How many chords are read otherwise."""
    return sum(a != b for a, b in zip(expected, found, strict=True))


def faults_in_other_keys(chosen: Sequence[tuple[str, Timeline]]) -> tuple[int, list[str]]:
    """How many chords were read in the eleven other keys, and in which tunes some are read otherwise."""
    count, faults = 0, []
    for name, timeline in chosen:
        expected = all_told(analyze(timeline))
        for by in INTERVALS:
            found = all_told(analyze(in_other_key(timeline, by)), by.semitones)
            count += len(found)
            if wrong := differing(expected, found):
                faults.append(f"{name}: {wrong} chords {by.semitones} half steps up")
    return count, faults


def faults_in_other_names(chosen: Sequence[tuple[str, Timeline]]) -> tuple[int, list[str]]:
    """How many chords were read under other names of their roots, and in which tunes some are read otherwise."""
    count, faults = 0, []
    for name, timeline in chosen:
        expected = all_told(analyze(timeline))
        for how, name_of in RESPELLINGS.items():
            found = all_told(analyze(renamed(timeline, name_of)))
            count += len(found)
            if wrong := differing(expected, found):
                faults.append(f"{name}: {wrong} chords in {how}")
    return count, faults


def test_some_tunes_are_read_alike_in_every_key(rng: random.Random) -> None:
    """Every chord of a sample of tunes is read alike in all twelve keys, judged on pitch classes."""
    assert [] == faults_in_other_keys(sample(rng))[1]


def test_some_tunes_are_read_alike_in_every_spelling(rng: random.Random) -> None:
    """Every chord of a sample of tunes is read alike in flats, in sharps and by odd names."""
    assert [] == faults_in_other_names(sample(rng))[1]


@pytest.mark.long
def test_all_tunes_are_read_alike_in_every_key_and_spelling(capsys: pytest.CaptureFixture[str]) -> None:
    """Every chord of every tune at hand is read alike in all twelve keys and in every spelling."""
    moved, faults = faults_in_other_keys(tunes())
    respelled, more = faults_in_other_names(tunes())
    tell(capsys, f"{len(tunes())} tunes: {moved:,} chords in other keys, {respelled:,} by other names")
    assert [] == faults + more


@settings(max_examples=40, deadline=None)
@given(charts(), st.sampled_from(INTERVALS), st.sampled_from(sorted(RESPELLINGS)))
def test_any_chart_is_read_alike_in_every_key_and_spelling(chart: Chart, by: Interval, how: str) -> None:
    """Whatever a chart may hold, another key and other names leave every chord's reading as it is."""
    timeline = unpinned(chart)
    expected = all_told(analyze(timeline))
    assert expected == all_told(analyze(in_other_key(timeline, by)), by.semitones)
    assert expected == all_told(analyze(renamed(timeline, RESPELLINGS[how])))


@pytest.mark.parametrize("change", [sixths, bare])
def test_barer_symbols_are_read_alike(change: Callable[[Quality], Quality], capsys: pytest.CaptureFixture[str]) -> None:
    """In the jazz set nearly all chords keep center and function where symbols tell only what makes the chord."""
    same = whole = changed = 0
    furthest = (1.0, "")
    for piece in pieces():
        if piece.set != "jazz":
            continue
        barer = in_qualities(piece.timeline, change)
        pairs = zip(all_told(read(piece)), all_told(analyze(barer)), strict=True)
        alike = [a[:3] == b[:3] for a, b in pairs if a is not None and b is not None]
        same, whole = same + sum(alike), whole + len(alike)
        furthest = min(furthest, (sum(alike) / len(alike), piece.name))
        changed += sum(a.symbol != b.symbol for a, b in zip(piece.timeline.spans, barer.spans, strict=True))
    tell(
        capsys,
        f"{change.__name__}: {same} of {whole} chords ({same / whole:.4f}) keep center and function, "
        f"{changed} symbols are barer; least in {furthest[1]}, {furthest[0]:.2f}",
    )
    assert changed > whole / 5
    assert same / whole >= BARER_LEAST


def test_barer_symbols_keep_the_third_and_the_sevenths_that_lead() -> None:
    """Every quality of the table keeps its third, and its seventh where that is minor; sixths give way to nothing."""
    for quality in QUALITIES:
        barer = bare(quality)
        assert quality.third == barer.third
        assert quality.third is None or (quality.seventh == "minor") == (barer.seventh == "minor")
        assert bare(barer) == barer
        assert bare(sixths(quality)) == barer


def test_a_second_chorus_is_read_like_the_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Where a tune is played twice, each chord of the second chorus is read as in the first, the seam apart."""
    same = whole = 0
    others = []
    for name, timeline in tunes():
        first_bar, last_bar = timeline.bars[0].number, timeline.bars[-1].number
        inside = range(first_bar + SEAM_BARS, last_bar + 1 - SEAM_BARS)
        both = all_told(analyze(twice(timeline)))
        count = len(timeline.spans)
        alike = [
            a == b
            for a, b, span in zip(both[:count], both[count:], timeline.spans, strict=True)
            if span.bar in inside and a is not None
        ]
        same, whole = same + sum(alike), whole + len(alike)
        if not all(alike):
            others.append(f"{name} {len(alike) - sum(alike)}")
    tell(capsys, f"second chorus: {same} of {whole} chords ({same / whole:.4f}) as in the first; not in {others}")
    assert same / whole >= SECOND_CHORUS_LEAST


def test_a_pickup_does_not_move_the_strong_bars() -> None:
    """Bars are as strong after a pickup as without one, and the pickup's own chord stands on none."""
    bars = "[A]\n| {}Cmaj7 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 | G7 |\n"
    plain = events_of(unfold(read_chart("title: Plain\n" + bars.format(""), "a test")))
    upbeat = events_of(unfold(read_chart("title: Upbeat\npickup: 1\n" + bars.format("G7 | "), "a test")))
    assert [3, 0, 1, 0, 2, 0, 1, 0] == [event.strong for event in plain]
    assert [0, 3, 0, 1, 0, 2, 0, 1, 0] == [event.strong for event in upbeat]
