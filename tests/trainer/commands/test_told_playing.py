"""What is told while a tune sounds: once each time it comes, however the listener got there."""

from tests.trainer.voicing.tunes import bars, reading, tune
from trainer.commands.told_playing import Telling, head_lines, whereabouts_told
from trainer.reading.analysis import analyze
from trainer.voicing.performance import perform_chart
from trainer.voicing.readings import perform_readings

PLAYED = perform_chart(tune(), analyze(tune()), choruses=2)
"""Two sections of four bars, twice, after a bar of count-in; two seconds a bar."""


def test_the_head_names_the_tune() -> None:
    """The title, or that there is none."""
    assert ["Salt Road"] == list(head_lines(PLAYED.score, "C"))
    assert ["(no title)"] == list(head_lines(perform_chart(bars("| C |", title="")).score, "C"))


def test_a_section_is_told_once_each_time_it_comes() -> None:
    """Nothing in the count-in; section and center together in one line; nothing twice; the next chorus tells anew."""
    telling = Telling("C")
    told = [telling.lines(PLAYED.score, at_s) for at_s in (0.0, 1.9, 2.0, 2.1, 9.9, 10.05, 12.0, 18.0, 26.1)]
    assert [[], [], ["  A, in Eb major"], [], [], ["  B"], [], ["  A, in Eb major"], ["  B"]] == told


def test_going_back_or_round_tells_what_is_there() -> None:
    """Back in an earlier section it is told again; round and round inside of one nothing is."""
    telling = Telling("Bb")
    assert ["  B, in F major"] == Telling("Bb").lines(PLAYED.score, 9.99)  # gone to, and paused in its lead-in
    at_s = (12.0, 3.0, 5.0, 3.0, 0.5, 2.0)
    assert [["  B, in F major"], ["  A"], [], [], [], ["  A, in F major"]] == [
        telling.lines(PLAYED.score, second) for second in at_s
    ]


def test_two_readings_are_told_apart() -> None:
    """Where the tune begins as it is read, and where it begins as it can be read too, a line says so, once each."""
    line = bars("| Am7 | D7 | Cmaj7 | Cmaj7 |")
    first, second = (reading(line, {0: key}) for key in ("C", "G"))
    played = perform_readings(line, first, second)
    telling = Telling("C")
    told = [line for tenth in range(600) for line in telling.lines(played.score, tenth / 10)]
    assert ["  as it is read", "  as it can be read too"] == [
        line.partition(",")[0] for line in told if "read" in line
    ]


def test_what_rings_on_has_no_beat() -> None:
    """After the last bar only the bar is told; a tune without names has no section."""
    plain = perform_chart(bars("| Cmaj7 |"), count_in=False)
    assert ["bar 1, beat 4"] == [", ".join(whereabouts_told(plain, 1.9, "C"))]
    assert ["bar 1"] == whereabouts_told(plain, 2.1, "C")
