"""Readings written for transposing instruments, and numerals in three ways; data stay as they are."""

from pathlib import Path
from typing import get_args

import pytest

from tests.trainer.commands.commanding import CHART, keyfarer
from trainer import settings
from trainer.charts.library import exercise_tunes, load
from trainer.charts.transpose import transposed_chart
from trainer.charts.unfold import unfold
from trainer.commands.asked import INSTRUMENT, NUMERALS
from trainer.commands.instrument import INSTRUMENTS, Instrument, centers_of, written_for
from trainer.commands.page import NUMERALS as WAYS
from trainer.commands.page import Numerals, Page, numeral_text
from trainer.commands.told_analysis import told_analysis
from trainer.commands.told_playing import Telling, head_lines
from trainer.harmony.numeral import parse_numeral
from trainer.reading.analysis import analyze
from trainer.voicing.performance import perform_chart

TUNES = [name for name, _ in exercise_tunes()]


@pytest.mark.parametrize("instrument", INSTRUMENTS)
@pytest.mark.parametrize("name", TUNES)
def test_what_is_shown_is_the_reading_of_the_transposed_chart(name: str, instrument: Instrument) -> None:
    """Word for word, a tune for an instrument is told as the chart moved by that interval is."""
    chart = load(name)
    timeline = unfold(chart)
    analysis = analyze(timeline)
    semitones = INSTRUMENTS[instrument][0]
    moved = unfold(transposed_chart(chart, semitones, centers_of(analysis)))
    timeline, analysis = written_for(instrument, timeline, analysis)
    assert told_analysis(analyze(moved), moved, Page(80), True) == told_analysis(analysis, timeline, Page(80), True)


@pytest.mark.parametrize("name", TUNES)
def test_twelve_half_steps_come_home_as_they_are_spelled(name: str) -> None:
    """Twelve times up a half step a tune stands there again in its own spelling, but for diminished chords."""
    chart = moved = load(name)
    for _ in range(12):
        moved = transposed_chart(moved, 1, centers_of(analyze(unfold(moved))))
    assert chart.key == moved.key
    for one, other in zip(unfold(chart).spans, unfold(moved).spans, strict=True):
        if one.symbol != other.symbol:
            assert one.symbol is not None
            assert other.symbol is not None
            assert one.symbol.quality.id.startswith("dim")
            assert one.symbol.pitch_classes == other.symbol.pitch_classes


def test_the_keys_of_the_trade() -> None:
    """What sounds in Bb is read in C on a Bb, in G on an Eb, in F on an F instrument (common practice, no source)."""
    for instrument, home in (("C", "Bb"), ("Bb", "C"), ("Eb", "G"), ("F", "F")):
        told = keyfarer("analyze", "-", "--for", instrument, given=CHART.encode()).stdout
        assert f"Home: {home} major" in told
        line = f"Written for an instrument in {instrument}, "
        assert (line in told) == (instrument != "C")


@pytest.mark.parametrize("form", ["--json", "--csv"])
def test_data_know_no_instrument(tmp_path: Path, form: str) -> None:
    """JSON and rows are the same whatever is asked for or set, pins aside."""
    plain = keyfarer("analyze", "-", form, "--pin", "3=Eb", given=CHART.encode()).stdout
    asked = ("--for", "Eb", "--numerals", "arabic", "--why")
    assert plain == keyfarer("analyze", "-", form, "--pin", "3=Eb", *asked, given=CHART.encode()).stdout
    (tmp_path / "settings.toml").write_text('instrument = "F"\nnumerals = "upper"\n', encoding="utf-8")
    home = {"KEYFARER_HOME": str(tmp_path)}
    assert plain == keyfarer("analyze", "-", form, "--pin", "3=Eb", given=CHART.encode(), surroundings=home).stdout
    done = keyfarer("analyze", "-", form, "--pin", "3=Eb", "--explain", "2", given=CHART.encode())
    assert (plain, 0) == (done.stdout, done.returncode)
    assert f"change nothing in {form}" in done.stderr


def test_settings_hold_until_an_option_says_otherwise(tmp_path: Path) -> None:
    """The settings' instrument and numerals are used, and an option goes before them."""
    (tmp_path / "settings.toml").write_text('instrument = "Bb"\nnumerals = "upper"\n', encoding="utf-8")
    home = {"KEYFARER_HOME": str(tmp_path)}
    told = keyfarer("analyze", "-", given=CHART.encode(), surroundings=home).stdout
    assert "Dm7    IIm7   predominant" in told
    told = keyfarer("analyze", "-", "--for", "c", "--numerals", "Roman", given=CHART.encode(), surroundings=home).stdout
    assert "Cm7     ii7    predominant" in told


def test_pins_stay_in_concert_pitch() -> None:
    """A pin is given as the chart gives it, and shown as the instrument reads it."""
    told = keyfarer("analyze", "-", "--for", "Bb", "--pin", "3=Eb", given=CHART.encode()).stdout
    assert "in F major" in told
    assert "V" in next(line for line in told.splitlines() if "pinned" in line)


def test_a_folder_is_told_for_the_instrument_too(tmp_path: Path) -> None:
    """The table of a folder names homes as the instrument reads them, under the line that says so."""
    (tmp_path / "one.chart").write_text(CHART, encoding="utf-8")
    told = keyfarer("analyze", str(tmp_path), "--for", "Eb").stdout
    assert told.startswith("Written for an instrument in Eb, a major sixth above the sound;")
    assert "G major" in told


@pytest.mark.parametrize(
    ("numeral", "upper", "arabic"),
    [
        ("ii7", "IIm7", "2-7"),
        ("V7", "V7", "5(7)"),
        ("Imaj7", "Imaj7", "1maj7"),
        ("iiø7", "IIm7b5", "2ø7"),
        ("V7b9", "V7b9", "5(7b9)"),
        ("vii°7", "VIIdim7", "7°7"),
        ("bVI7", "bVI7", "b6(7)"),
        ("#iv°7", "#IVdim7", "#4°7"),
        ("i", "Im", "1-"),
        ("I/3", "I/3", "1/3"),
        ("i6", "Im6", "1-6"),
        ("I+", "Iaug", "1+"),
        ("imaj7", "ImMaj7", "1-maj7"),
    ],
)
def test_one_numeral_in_three_ways(numeral: str, upper: str, arabic: str) -> None:
    """Small for minor, all large with the quality, or figures with it (common practice, no source)."""
    read = parse_numeral(numeral)
    assert [numeral, upper, arabic] == [numeral_text(read, way) for way in WAYS]


@pytest.mark.parametrize(
    ("sentence", "upper", "arabic"),
    [
        ("an applied dominant of the ii of Eb major", "an applied dominant of the II of Eb major",
         "an applied dominant of the 2 of Eb major"),
        ("its tonic and its IV", "its tonic and its IV", "its tonic and its 4"),
        ("the bVI and #IV, then V.", "the bVI and #IV, then V.", "the b6 and #4, then 5."),
        ("Dm7b5 prepares G7, in C minor", "Dm7b5 prepares G7, in C minor", "Dm7b5 prepares G7, in C minor"),
        ("I'd say V7 is a vivid Civic dominant", "I'd say V7 is a vivid Civic dominant",
         "I'd say V7 is a vivid Civic dominant"),
    ],
)  # fmt: skip
def test_degrees_in_sentences(sentence: str, upper: str, arabic: str) -> None:
    """A degree that stands by itself follows the numerals; chords, keys and words stay."""
    said = [Page(80, way).say(sentence) for way in WAYS]
    assert [sentence, upper, arabic] == said


def test_the_words_are_the_same_everywhere() -> None:
    """Settings, options and the tables name the same instruments and ways, in the same order."""
    assert settings.INSTRUMENTS == tuple(INSTRUMENTS) == get_args(Instrument) == tuple(INSTRUMENT.words)
    assert settings.NUMERALS == tuple(WAYS) == get_args(Numerals) == tuple(NUMERALS.words)


@pytest.mark.parametrize("arguments", [("--for", "D"), ("--numerals", "greek")])
def test_an_unknown_word_is_refused(arguments: tuple[str, str]) -> None:
    """What there is to choose from is named."""
    done = keyfarer("analyze", "coal-barge", *arguments)
    assert (2, "") == (done.returncode, done.stdout)
    assert "expected C, Bb, Eb, F" in done.stderr or "expected roman, upper, arabic" in done.stderr


def test_what_play_says_is_written_for_the_instrument() -> None:
    """While a tune plays, key centers are named as the instrument reads them, under the line that says so."""
    timeline = unfold(load("the-courier-turns-back"))
    score = perform_chart(timeline, analyze(timeline), "chart", None, False).score

    def told(instrument: Instrument) -> list[str]:
        telling = Telling(instrument)
        came = [telling.lines(score, marker.at_s) for marker in score.markers]
        return [*head_lines(score, instrument), *(line for lines in came for line in lines)]

    concert, written = told("C"), told("Bb")
    assert any("in Bb major" in text for text in concert)
    assert written[1].startswith("Written for an instrument in Bb, a whole step above the sound;")
    assert [text.replace("D major", "E major").replace("Bb major", "C major") for text in concert] == [
        written[0], *written[2:]
    ]  # fmt: skip
