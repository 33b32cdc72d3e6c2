"""Readings, tunes and sessions in other note names; data stay English."""

import json
import re
from pathlib import Path

import pytest

from tests.trainer.commands.commanding import CHART, keyfarer
from tests.trainer.commands.test_plain_lines import DAY
from tests.trainer.harmony import marked_names
from tests.trainer.practice.practising import session_in
from trainer.charts.library import exercise_tunes
from trainer.charts.reader import read_chart
from trainer.charts.transpose import transposed_timeline
from trainer.charts.unfold import unfold
from trainer.commands.instrument import centers_of
from trainer.commands.page import Page
from trainer.commands.plain import run_plain
from trainer.commands.stretch import parse_stretch
from trainer.commands.told_analysis import told_analysis
from trainer.commands.told_playing import center_told
from trainer.commands.told_stretch import told_stretch
from trainer.harmony.note_names import Naming
from trainer.reading.analysis import analyze

TUNES = exercise_tunes()
WIDE = 10_000
"""Columns that no line is wrapped in."""


@pytest.mark.parametrize("naming", ["german", "solfege"])
@pytest.mark.parametrize("name", [name for name, _ in TUNES])
def test_every_name_of_a_reading_is_renamed(monkeypatch: pytest.MonkeyPatch, name: str, naming: Naming) -> None:
    """A reading with its reasons, and everything about all its bars, is what these names from the start would make."""
    as_written = unfold(read_chart(dict(TUNES)[name].read_text(encoding="utf-8"), name))
    home = analyze(as_written)
    for semitones in (0, 9 - (home.home.key.tonic.pitch_class if home.home else 0)):
        timeline = transposed_timeline(as_written, semitones % 12, centers_of(home))
        english = analyze(timeline)
        every = parse_stretch(f"1-{timeline.bars[-1].number}")
        page = Page(WIDE, naming=naming).read_on(english)
        told = told_analysis(english, timeline, page, True) + told_stretch(english, timeline, every, page)
        with monkeypatch.context() as patch:
            marked_names.mark_names(patch)
            marked = analyze(timeline)
            lines = told_analysis(marked, timeline, Page(WIDE), True)
            lines += told_stretch(marked, timeline, every, Page(WIDE))
        expected = [_bare(marked_names.told(line, naming, page.chords)) for line in lines]
        assert expected == list(map(_bare, told))


def _bare(line: str) -> str:
    """A line without its columns, and without the spelling of the chart, which brackets would always differ from."""
    return " ".join(re.sub(r", written [^,]+", "", line).split())


def test_the_settings_name_what_is_told_and_no_data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`analyze` speaks the names of the settings; its JSON and CSV don't change."""
    monkeypatch.setenv("KEYFARER_HOME", str(tmp_path / "home"))
    (tmp_path / "home").mkdir()
    (tmp_path / "two-lamps.chart").write_text(CHART, encoding="utf-8")
    plain = {form: keyfarer("analyze", form, "two-lamps.chart", folder=tmp_path).stdout for form in ("--json", "--csv")}
    (tmp_path / "home" / "settings.toml").write_text('note_names = "german"\n', encoding="utf-8")
    told = keyfarer("analyze", "two-lamps.chart", folder=tmp_path).stdout
    assert "Home: B-Dur" in told
    assert "Bmaj7" in told
    for form, text in plain.items():
        assert text == keyfarer("analyze", form, "two-lamps.chart", folder=tmp_path).stdout
    assert "Bb" == json.loads(plain["--json"])["home"]["tonic"]
    assert "B-Dur" in keyfarer("words", "backdoor", "--key", "Bb").stdout
    assert "A Letter for Someone Else: A-Dur" in keyfarer("tunes").stdout
    assert "B-Dur" in keyfarer("repertoire", "two-lamps.chart", folder=tmp_path).stdout


def test_key_centers_are_spoken_in_the_players_names() -> None:
    """A key center that is told while a tune sounds is named as the settings say, transposed or not."""
    assert ("B-Dur", "Sib major") == (center_told("Bb major", "C", "german"), center_told("Bb major", "C", "solfege"))
    assert "h-Moll" == center_told("A minor", "Bb", "german")


def test_a_session_speaks_the_players_names(tmp_path: Path) -> None:
    """Prompts and explanations name keys in German; what is logged is English."""
    session, _, _, _ = session_in(tmp_path, rung=3, count=1)
    said: list[str] = []
    run_plain(session, iter(["2 5 1"]), said.append, DAY, "A test.", naming="german")
    told = "\n".join(said)
    key = session.told[0].question.key
    assert "-Dur is given." in told
    assert f"in {key.name}" not in told
    assert key.name == session.told[0].trial.key
    assert key.name in session.told[0].trial.question
