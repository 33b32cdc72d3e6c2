"""The exercise tunes: each a whole tune that trains what it says, and together all that the course needs."""

from functools import cache

from trainer.charts.chart import Chart
from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis


@cache
def tunes() -> dict[str, tuple[Chart, Timeline, Analysis]]:
    """Every tune: as written, as played, as read."""
    out = {}
    for tune_id, _ in exercise_tunes():
        chart = load(tune_id)
        timeline = unfold(chart)
        out[tune_id] = (chart, timeline, analyze(timeline))
    return out


def test_each_tune_is_whole() -> None:
    """Each has a title of its own, 12 to 40 bars as played, a tempo, and says what it trains."""
    titles = [chart.title for chart, _, _ in tunes().values()]
    assert len(tunes()) >= 16
    assert len(set(titles)) == len(titles)
    for chart, timeline, _ in tunes().values():
        assert 12 <= len(timeline.bars) <= 40, chart.title
        assert chart.trains, chart.title
        assert chart.tempo, chart.title
        assert not chart.remarks, chart.title


def test_each_tune_is_written_back_as_it_is() -> None:
    """Reading what is written of a tune gives the same tune."""
    for chart, _, _ in tunes().values():
        assert chart == read_chart(write_chart(chart), chart.file)


def test_the_tunes_cover_keys_meters_and_forms() -> None:
    """Major and minor homes, a waltz and five beats, no printed key, repeats with endings and a coda."""
    modes = [reading.home.key.mode for _, _, reading in tunes().values() if reading.home is not None]
    assert {"major", "minor"} == set(modes)
    meters = {str(chart.meter) for chart, _, _ in tunes().values()}
    assert {"3/4", "4/4", "5/4"} <= meters
    many = [reading for chart, _, reading in tunes().values() if chart.key is None]
    assert any(len({step.center for step in reading.route}) >= 5 for reading in many)
    bars = [
        (any(bar.ending for bar in bars), any("coda" in sign for bar in bars for sign in bar.signs))
        for bars in ([bar for section in chart.sections for bar in section.bars] for chart, _, _ in tunes().values())
    ]
    assert (True, True) in bars


def test_there_is_a_blues_a_minor_blues_and_a_tune_without_dominants() -> None:
    """A major and a minor blues are among them, and a modal tune in which nothing is a dominant."""
    found = {cadence.type for _, _, reading in tunes().values() for cadence in reading.cadences}
    assert {"blues-four", "blues-last-four", "minor-blues-last-four"} <= found
    assert any(
        all(chord.function != "dominant" for chord in reading.chords) for _, _, reading in tunes().values()
    )


def test_three_tunes_are_interrupted_one_by_the_key_just_left() -> None:
    """Three shapes of interruption stand in three tunes; in one the key that breaks in is the one that was left."""
    shapes: dict[str, set[str]] = {}
    just_left = False
    for tune_id, (_, _, reading) in tunes().items():
        for one in reading.interruptions:
            shapes.setdefault(one.shape, set()).add(tune_id)
            for before, after in zip(reading.route, reading.route[1:], strict=False):
                just_left |= after.center == one.awaited and before.center == one.heard
    assert len(shapes) >= 3
    assert len(set().union(*shapes.values())) >= 3
    assert just_left


def test_the_center_moves_by_major_thirds_in_one_tune() -> None:
    """One tune goes through three centers a major third apart."""
    assert any(
        sum(step.move is not None and abs(step.move.semitones) == 4 for step in reading.route) >= 3
        for _, _, reading in tunes().values()
    )
