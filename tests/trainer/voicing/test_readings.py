"""Two readings heard one after the other."""

from dataclasses import replace

import pytest

from tests.trainer.voicing.tunes import bars, reading
from trainer.harmony.interval import Interval
from trainer.reading.values import Analysis
from trainer.voicing.readings import differing_bars, perform_readings
from trainer.voicing.sheet import Performance

LINE = "| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | C6 |"


def marks(performance: Performance, kind: str) -> list[tuple[float, str]]:
    """Times and texts of the markers of one kind."""
    return [(mark.at_s, mark.text) for mark in performance.score.markers if mark.kind == kind]


def two() -> tuple[Analysis, Analysis]:
    """The same bars all in C, and with bars 2 to 4 in G."""
    timeline = bars(LINE)
    return reading(timeline, {0: "C"}), reading(timeline, {0: "C", 1: "G", 4: "C"})


def test_the_stretch_that_differs_is_found() -> None:
    """The longest run of bars in which center, degree or function differ."""
    first, second = two()
    assert (2, 4) == differing_bars(first, second)


def test_each_reading_is_heard_with_its_keys_first() -> None:
    """Center told by cadence, the bars, a rest; then the rival's center and the same bars."""
    first, second = two()
    played = perform_readings(bars(LINE), first, second)
    assert ["reading's keys", "reading", "rival's keys", "rival"] == [text for _, text in marks(played, "role")]
    assert ["C major", "C major", "G major", "G major"] == [text for _, text in marks(played, "center")]
    chords = ["Am7", "Dm7", "G7"]
    told = [one.symbol.text for one in played.chords]
    assert ["Dm7", "G7", "Cmaj7", *chords, "Am7", "D7", "G7", *chords] == told
    assert ["reading's keys", "reading", "rival's keys", "rival"] == list(
        dict.fromkeys(one.role for one in played.chords)
    )


def test_marks_stand_where_their_music_begins() -> None:
    """Each role begins with a chord, and with a center beside it."""
    played = perform_readings(bars(LINE), *two())
    starts = {one.from_s for one in played.chords}
    centers = {at for at, _ in marks(played, "center")}
    for at, _ in marks(played, "role"):
        assert at in starts
        assert at in centers
    onsets = [note.onset_s for note in played.score.notes]
    assert sorted(onsets) == onsets


def test_centers_may_be_told_by_their_tonics() -> None:
    """The tonic alone, in the quality that the bars have; and the bars that were asked for."""
    played = perform_readings(bars(LINE), *two(), bars=(4, 6), told_as="tonic", comping="quarters")
    told = [one.symbol.text for one in played.chords]
    assert ["Cmaj7", "G7", "Cmaj7", "C6", "G7", "Cmaj7", "G7", "Cmaj7", "C6"] == told


def test_readings_move_to_another_key() -> None:
    """Bars and centers are moved together, by an interval or by half steps."""
    for by in (Interval(1, 2), 2):
        played = perform_readings(bars(LINE), *two(), transpose=by)
        assert ["D major", "D major", "A major", "A major"] == [text for _, text in marks(played, "center")]
        assert "Bm7" in {one.symbol.text for one in played.chords}


def test_readings_that_agree_or_are_of_other_tunes_are_refused() -> None:
    """There is nothing to compare."""
    first, _ = two()
    with pytest.raises(ValueError, match="agree"):
        perform_readings(bars(LINE), first, first)
    with pytest.raises(ValueError, match="not of the same"):
        differing_bars(first, replace(first, chords=first.chords[:2]))
    with pytest.raises(ValueError, match="no bars"):
        perform_readings(bars(LINE), *two(), bars=(40, 44))
