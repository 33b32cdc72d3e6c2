"""Which stretch is hardest: where chords come quickly, centers lie apart, roots are foreign, deeds are seldom met."""

import re

import pytest
from hypothesis import given, settings

from tests.trainer.reading.charting import reading_of
from tests.trainer.reading.test_properties import tunes
from trainer.charts.library import load
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.hardest import hardest_stretch

EASY = "Cmaj7 | % | Dm7 | G7 | Cmaj7 | % | Dm7 | G7"


def hard(bars: str, header: str = "") -> tuple[int, int, str]:
    """First bar, bar after the last, and the reasons of the hardest stretch."""
    stretch = hardest_stretch(reading_of(bars, header))
    assert stretch is not None
    return stretch.from_.bar, stretch.until.bar, " ".join(stretch.why)


def test_quick_chords_are_hard() -> None:
    """Where chords come twice as quickly as elsewhere, that is told, with the shortest in seconds."""
    first, until, why = hard(f"{EASY} | Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | {EASY}", "tempo: 160")
    assert (9, 13) == (first, until)
    # Two beats of a quarter at 160: 2 * 60 / 160 s. Common practice, no source.
    assert "It has 8 chords, and at 160 the shortest lasts 0.8 seconds." == why


def test_a_far_center_is_hard() -> None:
    """A stretch that moves to a far key is harder than the same chords at home, and its distance is told."""
    first, until, why = hard(f"{EASY} | Ebm7 | Ab7 | Dbmaj7 | % | {EASY}", "tempo: 60")
    assert first <= 9 < until
    assert "The center moves to Db major in bar 9, a half step up" in why


def test_seldom_deeds_and_foreign_roots_are_told() -> None:
    """Substitutes and chords on foreign roots are named."""
    _, _, why = hard(f"{EASY} | Em7 | Eb7 | Dm7 | Db7 | {EASY} | Cmaj7", "tempo: 80")
    assert "Seldom met: Eb7 and Db7 as tritone substitutes." in why
    assert "Roots outside the key: Eb7 and Db7." in why


@pytest.mark.parametrize("bars", [EASY, "Cmaj7 | % | % | %", "N.C. | N.C.", "Dm7 | % | % | % | % | % | % | %"])
def test_nothing_is_hard_where_nothing_stands_out(bars: str) -> None:
    """A tune that is easy throughout, or silent, has no hardest stretch."""
    assert hardest_stretch(reading_of(bars, "tempo: 100")) is None


def test_a_tune_that_is_alike_throughout_has_no_hardest_stretch() -> None:
    """A round of ii–V–Is in whole steps, each as long as the others, is nowhere harder than elsewhere."""
    bars = "Dm7 G7 | Cmaj7 | Cm7 F7 | Bbmaj7 | Bbm7 Eb7 | Abmaj7 | G#m7 C#7 | F#maj7 | F#m7 B7 | Emaj7 | Em7 A7 | Dmaj7"
    stretch = hardest_stretch(reading_of(f"{bars} | {bars}", "tempo: 120"))
    assert stretch is None or stretch.why


def test_the_tempo_counts() -> None:
    """The same bars are hard for their rhythm when played fast, and not when played very slowly."""
    bars = f"{EASY} | Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | {EASY}"
    assert "shortest" in hard(bars, "tempo: 240")[2]
    assert hardest_stretch(reading_of(bars, "tempo: 40")) is None


def test_compound_meters_count_dotted_beats() -> None:
    """In 6/8 the tempo counts dotted quarters: half a bar at 60 is a second."""
    quick = "Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7"
    _, _, why = hard(f"{EASY} | {quick} | {EASY}", "meter: 6/8\ntempo: 60")
    assert "the shortest lasts 1.0 seconds" in why


@settings(max_examples=60, deadline=None)
@given(tunes)
def test_a_hardest_stretch_lies_in_the_tune_and_has_its_reasons(tune: str) -> None:
    """For any tune: at most four bars, inside the tune, with sentences that name chords or bars of it."""
    analysis = reading_of(tune)
    stretch = hardest_stretch(analysis)
    if stretch is None:
        return
    bars = 1 + tune.count(" | ")
    assert 1 <= stretch.from_.bar < stretch.until.bar <= bars + 1
    assert stretch.until.bar - stretch.from_.bar <= 4
    assert stretch.why
    for why in stretch.why:
        assert why.endswith(".")
        for bar in re.findall(r"in bar (\d+)", why):
            assert stretch.from_.bar <= int(bar) < stretch.until.bar


@pytest.mark.parametrize(
    ("name", "bars"), [("the-courier-turns-back", (9, 13)), ("three-bells-at-saint-orrin", (8, 12))]
)
def test_the_hardest_bars_of_an_exercise(name: str, bars: tuple[int, int]) -> None:
    """Where the courier turns back, and where the bells come at twice the pace."""
    stretch = hardest_stretch(analyze(unfold(load(name))))
    assert stretch is not None
    assert bars == (stretch.from_.bar, stretch.until.bar)
