"""`keyfarer chart convert`: other kinds of files, read by general-purpose libraries and by ourselves."""

import os
import subprocess
import sys
from pathlib import Path

import mido
import mir_eval
import pytest
from music21 import converter, expressions, harmony

from tests.trainer.commands.commanding import CHART, COMMAND, keyfarer
from trainer.charts.library import exercise_tunes, load
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.commands.chart_convert import converted
from trainer.commands.page import Page

TUNES = [name for name, _ in exercise_tunes()]


@pytest.mark.parametrize("suffix", [".chart", ".musicxml", ".mxl"])
@pytest.mark.parametrize("name", TUNES)
def test_a_tune_comes_back_from_each_kind_of_file(tmp_path: Path, name: str, suffix: str) -> None:
    """Every exercise tune, written with its reading and read again, is played alike."""
    chart = load(name)
    content = converted(chart, suffix, Page(80))
    path = tmp_path / f"tune{suffix}"
    path.write_bytes(content.encode("utf-8") if isinstance(content, str) else content)
    one, other = unfold(chart), unfold(load(path))
    assert [(span.start, span.symbol) for span in one.spans] == [(span.start, span.symbol) for span in other.spans]
    assert (one.title, one.key, one.tempo, one.form) == (other.title, other.key, other.tempo, other.form)


def test_music_notation_bears_the_reading(tmp_path: Path) -> None:
    """music21 finds the key center over its first chord, and under each chord what it does."""
    path = tmp_path / "lamps.musicxml"
    for extra, expected in (
        ((), {"Bb major", "ii7 predominant", "V7 dominant", "Imaj7 tonic"}),
        (("--numerals", "arabic"), {"Bb major", "2-7 predominant", "5(7) dominant", "1maj7 tonic"}),
        (("--bare",), set()),
    ):
        done = keyfarer("chart", "convert", "-", "--to", str(path), "--yes", *extra, given=CHART.encode())
        assert (0, f"wrote {path}\n", "") == (done.returncode, done.stdout, done.stderr)
        score = converter.parse(path)
        words = {words.content for words in score.recurse().getElementsByClass(expressions.TextExpression)}
        assert expected <= words
        assert bool(expected) == any("dominant" in text or "major" in text for text in words)
        assert ["Cm7", "F7", "B-maj7"] == [
            symbol.figure for symbol in score.recurse().getElementsByClass(harmony.ChordSymbol)
        ][:3]


def test_midi_bears_the_reading(tmp_path: Path) -> None:
    """Mido finds each chord's function among the lyrics, the key center among the markers, and none when bare."""
    path = tmp_path / "lamps.mid"
    for extra, expected in (((), ["ii7 predominant", "V7 dominant", "Imaj7 tonic"]), (("--bare",), [])):
        done = keyfarer("chart", "convert", "-", "--to", str(path), "--yes", *extra, given=CHART.encode())
        assert (0, "") == (done.returncode, done.stderr)
        messages = [message for track in mido.MidiFile(path).tracks for message in track]
        assert expected == [message.text for message in messages if message.type == "lyrics"]
        assert bool(expected) == any("Bb major" in message.text for message in messages if message.type == "marker")
        assert any(message.type == "note_on" for message in messages)


def test_timed_chords_are_those_of_the_research(tmp_path: Path) -> None:
    """mir_eval reads the times and finds every chord a chord: at 120 a bar of 4/4 takes two seconds."""
    path = tmp_path / "lamps.lab"
    assert 0 == keyfarer("chart", "convert", "-", "--to", str(path), given=CHART.encode()).returncode
    intervals, labels = mir_eval.io.load_labeled_intervals(str(path))
    assert [[0, 2], [2, 4], [4, 8]] == intervals.tolist()
    assert ["C:min7", "F:7", "Bb:maj7"] == labels
    mir_eval.chord.encode_many(labels)


@pytest.mark.parametrize(
    ("to", "words"),
    [
        ("x.wav", "sound is made by `keyfarer play --to`"),
        ("x.pdf", "expected a name that ends in .chart, .musicxml,"),
        ("x", "found 'no suffix'"),
        ("there.chart", "`--yes` writes over it"),
    ],
)
def test_what_cannot_be_written_is_told(tmp_path: Path, to: str, words: str) -> None:
    """An unknown suffix and a file that is there are refused, and nothing is written."""
    (tmp_path / "there.chart").write_text(CHART, encoding="utf-8")
    done = keyfarer("chart", "convert", "coal-barge", "--to", to, folder=tmp_path)
    assert (2, "") == (done.returncode, done.stdout)
    assert words in done.stderr
    assert ["there.chart"] == [path.name for path in tmp_path.iterdir()]
    assert CHART == (tmp_path / "there.chart").read_text(encoding="utf-8")


@pytest.mark.parametrize("ending", [".chart", ".musicxml", ".xml", ".lab"])
def test_an_ending_alone_prints(tmp_path: Path, ending: str) -> None:
    """What a file of that ending would hold goes to standard output, and no file is made."""
    done = keyfarer("chart", "convert", "-", "--to", ending, given=CHART.encode(), folder=tmp_path)
    assert (0, "") == (done.returncode, done.stderr)
    assert [] == list(tmp_path.iterdir())
    assert (
        0 == keyfarer("chart", "convert", "-", "--to", f"x{ending}", given=CHART.encode(), folder=tmp_path).returncode
    )
    assert (tmp_path / f"x{ending}").read_bytes() == done.stdout.encode()


@pytest.mark.parametrize("ending", [".mid", ".mxl"])
def test_bytes_go_into_a_pipe_and_to_no_terminal(tmp_path: Path, ending: str) -> None:
    """What is no text is written where it is led; a terminal is spared it, with the reason."""
    command = (*COMMAND, "chart", "convert", "-", "--to", ending)
    with (tmp_path / f"led{ending}").open("wb") as stream:
        subprocess.run(command, input=CHART.encode(), stdout=stream, check=True, timeout=60)
    assert [span.symbol for span in unfold(read_chart(CHART)).spans][:3] == [
        span.symbol for span in unfold(load(tmp_path / f"led{ending}")).spans
    ][:3]
    if sys.platform != "win32":
        import pty

        leader, follower = pty.openpty()
        done = subprocess.run(
            command, input=CHART.encode(), stdout=follower, stderr=subprocess.PIPE, check=False, timeout=60
        )
        os.close(follower)
        os.close(leader)
        assert 2 == done.returncode
        assert b"found a terminal; expected a file" in done.stderr


def test_comments_without_a_place_are_told(tmp_path: Path) -> None:
    """What a kind of file can't hold is said."""
    done = keyfarer("chart", "convert", "coal-barge", "--to", str(tmp_path / "x.mxl"))
    assert 0 == done.returncode
    assert "coal-barge: 1 comment left out; compressed MusicXML keeps none" in done.stderr
