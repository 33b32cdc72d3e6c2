"""What must hold for any tune: transposition, spelling, repetition, shares, places, pins, silence."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.trainer.reading.charting import reading_of, short, timeline_of, told
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import parse_pin_option, unfold
from trainer.harmony.interval import Interval
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json
from trainer.reading.values import Analysis

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
SUFFIXES = ("maj7", "7", "m7", "m7b5", "6", "m6", "dim7", "7b9", "", "m", "7sus4", "mMaj7", "9", "7alt")
chords = st.builds(lambda root, suffix: root + suffix, st.sampled_from(ROOTS), st.sampled_from(SUFFIXES))
bars = st.lists(chords, min_size=1, max_size=2).map(" ".join)
tunes = st.lists(bars, min_size=1, max_size=16).map(" | ".join)
INTERVALS = tuple(
    Interval(steps, semitones)
    for steps, semitones in (
        (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (3, 6), (4, 6), (4, 7), (5, 8), (5, 9), (6, 10), (6, 11),
    )
)  # fmt: skip
RESPELLED = {"Db": "C#", "Eb": "D#", "Gb": "F#", "Ab": "G#", "Bb": "A#", "B": "Cb", "E": "Fb"}


def judged(analysis: Analysis, by: int) -> list[tuple[object, ...]]:
    """The reading on pitch classes, so many half steps lower."""
    out: list[tuple[object, ...]] = []
    for chord in analysis.chords:
        assert chord.center is not None
        assert chord.numeral is not None
        out.append(
            (
                (chord.center.tonic.pitch_class - by) % 12,
                chord.center.mode,
                chord.function,
                chord.numeral.degree.semitones,
                None if chord.applied_to is None else chord.applied_to.semitones,
                None if chord.leads_to is None else (chord.leads_to.pitch_class - by) % 12,
                round(chord.confidence, 9),
            )
        )
    assert analysis.home is not None
    out.append(((analysis.home.key.tonic.pitch_class - by) % 12, analysis.home.key.mode))
    out += [(one.shape, one.chords, one.prepared, one.resumed) for one in analysis.interruptions]
    out += [(one.type, one.chords) for one in analysis.cadences]
    return out


@settings(max_examples=60, deadline=None)
@given(tunes, st.sampled_from(INTERVALS))
def test_transposing_a_tune_transposes_its_reading(tune: str, by: Interval) -> None:
    """A random chart in another key is read alike, judged on pitch classes."""
    from trainer.harmony.symbol import parse_chord

    moved = " | ".join(
        " ".join(parse_chord(word).transposed(by).practical().text for word in bar.split()) for bar in tune.split(" | ")
    )
    assert judged(reading_of(tune), 0) == judged(reading_of(moved), by.semitones)


def test_transposing_an_exercise_tune_transposes_its_reading() -> None:
    """Every exercise tune is read alike in all twelve keys, judged on pitch classes."""
    from dataclasses import replace

    for _, path in exercise_tunes():
        timeline = unfold(load(str(path)))
        expected = judged_with_silence(analyze(timeline), 0)
        for by in INTERVALS:
            spans = tuple(
                span if span.symbol is None else replace(span, symbol=span.symbol.transposed(by).practical())
                for span in timeline.spans
            )
            key = timeline.key
            if key is not None:
                from trainer.harmony.interval import transposed

                key = replace(key, tonic=transposed(key.tonic, by))
            moved = replace(timeline, spans=spans, key=key)
            assert expected == judged_with_silence(analyze(moved), by.semitones), (path.name, by)


def judged_with_silence(analysis: Analysis, by: int) -> list[tuple[object, ...]]:
    """As `judged`, for tunes with silences."""
    from dataclasses import replace

    return judged(replace(analysis, chords=tuple(c for c in analysis.chords if c.center is not None)), by)


@settings(max_examples=30, deadline=None)
@given(tunes)
def test_enharmonic_spelling_changes_nothing(tune: str) -> None:
    """Db7 or C#7: the reading is the same, judged on pitch classes."""
    respelled = tune
    for flat, sharp in RESPELLED.items():
        respelled = " | ".join(
            " ".join(sharp + word[len(flat) :] if word.startswith(flat) else word for word in bar.split())
            for bar in respelled.split(" | ")
        ) if flat not in ("B", "E") else respelled
    assert judged(reading_of(tune), 0) == judged(reading_of(respelled), 0)


@settings(max_examples=40, deadline=None)
@given(tunes)
def test_every_chord_has_a_reading_with_shares_that_sum_to_one(tune: str) -> None:
    """Any chart has a reading of every chord, a reason for it, and shares that sum to 1."""
    found = analysis_json(reading_of(tune))
    for chord in found["chords"]:
        assert chord["center"] is not None
        assert chord["why"]
        assert 1.0 - 1e-4 < chord["confidence"] + sum(r["share"] for r in chord["rivals"]) < 1.0 + 1e-4
        assert all(0.0 <= r["share"] <= 1.0 for r in chord["rivals"])
    assert found["home"] is not None


@settings(max_examples=30, deadline=None)
@given(tunes)
def test_the_route_tiles_the_tune(tune: str) -> None:
    """The stretches of the route follow one another from the first beat to the end."""
    analysis = reading_of(tune)
    assert analysis.route[0].first_chord == 0
    assert analysis.route[-1].until_chord == len(analysis.chords)
    for before, after in zip(analysis.route, analysis.route[1:], strict=False):
        assert before.until == after.from_
        assert before.until_chord == after.first_chord
        assert before.center != after.center


def test_a_second_chorus_reads_like_the_first() -> None:
    """An exercise tune's chords played twice are read in the first pass as once, apart from the seam."""
    bars_once = "Ebmaj7 | Cm7 F7 | Fm7 | Bb7 | Gm7 | C7b9 | Fm7 Bb7 | Eb6"
    once, twice = told(reading_of(bars_once)), told(reading_of(f"{bars_once} | {bars_once}"))
    assert once[:-2] == twice[: len(once) - 2]
    assert once[2:] == twice[len(once) + 2 :]


def test_fuller_or_barer_symbols_read_alike() -> None:
    """Cmaj7, C6, C; G13b9, G7; Dm9, Dm7: the reading hardly depends on how fully a chord is spelled."""
    full = "Dm9 | G13b9 | Cmaj9 | Am9 | Fm9 | Bb13 | Ebmaj7#11 | % | Dm11 | G7alt | C6/9 | %"
    bare = "Dm7 | G7 | C | Am7 | Fm7 | Bb7 | Eb | % | Dm7 | G7 | C | %"
    assert short(reading_of(full)) == short(reading_of(bare))


def test_a_pin_is_kept_and_the_rest_is_weighed_again() -> None:
    """A center pinned on the command holds to the end, says so, and the rest may change around it."""
    from trainer.charts.reader import read_chart

    chart = read_chart("| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | % |\n", "pinned")
    free = analyze(unfold(chart))
    held = analyze(unfold(chart, (parse_pin_option("3=A minor"),)))
    assert {"C major"} == {str(chord.center) for chord in free.chords}
    assert ["C major", "C major", "A minor"] == [str(chord.center) for chord in held.chords][:3]
    assert any("pinned" in line for line in held.chords[2].why)


@pytest.mark.parametrize("chord", ["Bdim7", "Caug", "C7", "C5", "Cm7b5"])
@pytest.mark.parametrize("bars", [65, 1500, 3900])
def test_a_chord_may_last_as_long_as_a_chart_may(chord: str, bars: int) -> None:
    """However long a chord stays, it is read, and its shares are shares."""
    found = reading_of(f"{chord} | " + "% | " * (bars - 1) + "Dm7 | G7 | Cmaj7")
    for one in found.chords:
        assert one.center is not None
        assert 1.0 == pytest.approx(one.confidence + sum(rival.share for rival in one.rivals))


def test_a_silent_tune_has_no_home() -> None:
    """A chart of silence alone is read without a home and without an error."""
    analysis = reading_of("N.C. | N.C.")
    assert analysis.home is None
    assert ["none", "none"] == [chord.function for chord in analysis.chords]


def test_silence_does_not_break_a_cadence() -> None:
    """Silence between two and five leaves the cadence as it is."""
    assert short(reading_of("Dm7 | N.C. | G7 | Cmaj7")).replace(" -", "") == "C:P D T"


def test_reading_is_deterministic() -> None:
    """The same chart is read the same twice."""
    timeline = timeline_of("Dm7 G7 | Cmaj7 A7 | Dm7 G7 | C6")
    assert analyze(timeline) == analyze(timeline)
