"""Finding charts: files, folders, standard input, exercise tunes; what is wrong never stops the others."""

import io
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from synth.midi_file import midi_bytes
from trainer.charts.library import ChartSource, exercise_tunes, find_charts, load
from trainer.charts.musicxml_writer import write_musicxml, write_mxl
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.errors import TextError
from trainer.voicing.plain_chords import plain_chords


@pytest.fixture
def tunes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with charts, other files and folders, which is the current one."""
    for name, text in {
        "b.chart": "title: Brick Lane Lock\n| C |",
        "a.chart": "| Hm7 |",
        "notes.txt": "| D |",
        ".hidden.chart": "| E |",
        "deep/er/c.CHART": "title: Cove\n| F |",
        "deep/d.chart": "title: Dune\n| G |",
        ".git/x.chart": "| A |",
        "empty/readme.txt": "nothing",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def names_of(*arguments: str) -> list[str]:
    """The names of what is found, an error as its file with a `!` before it."""
    return [found.name if isinstance(found, ChartSource) else f"!{found.file}" for found in find_charts(arguments)]


def test_folder_is_walked_in_order(tunes: Path) -> None:
    """Charts come sorted, with those of folders below, without hidden ones."""
    expected = ["a.chart", "b.chart", os.path.join("deep", "d.chart"), os.path.join("deep", "er", "c.CHART")]
    assert expected == names_of(".")


def test_arguments_keep_their_order(tunes: Path) -> None:
    """A file may have any suffix, and may be named twice."""
    assert ["notes.txt", "b.chart", "-", "b.chart"] == names_of("notes.txt", "b.chart", "-", "b.chart")


def test_what_is_wrong_stands_among_the_others(tunes: Path) -> None:
    """A missing file, an empty folder, an empty name and a bad one don't stop the rest."""
    assert ["!gone.chart", "b.chart", "!empty", "!", "!x\0y", "b.chart"] == names_of(
        "gone.chart", "b.chart", "empty", "", "x\0y", "b.chart"
    )


def test_bad_chart_does_not_stop_the_folder(tunes: Path) -> None:
    """Each source is loaded on its own."""
    titles = []
    for source in find_charts(["."]):
        assert isinstance(source, ChartSource)
        try:
            titles.append(load(source).title)
        except TextError as error:
            titles.append(f"!{error.file}")
    assert ["!a.chart", "Brick Lane Lock", "Dune", "Cove"] == titles


def test_folder_without_charts_says_so(tunes: Path) -> None:
    """The message names the suffix that was looked for."""
    (found,) = find_charts(["empty"])
    assert isinstance(found, TextError)
    assert "`.chart`" in str(found)


@pytest.mark.skipif(os.name == "nt", reason="links need a privilege there")
def test_links_in_a_circle_end(tunes: Path) -> None:
    """A folder that links to itself is walked once."""
    (tunes / "deep" / "loop").symlink_to(tunes)
    assert 4 == len(names_of("."))


def test_standard_input_is_read_from_the_stream() -> None:
    """`-` reads bytes of UTF-8 with the same limits as a file."""
    chart = load("-", stdin=io.BytesIO("title: Föhr\n| C |".encode()))
    assert ("Föhr", "-") == (chart.title, chart.file)
    with pytest.raises(TextError, match="not UTF-8"):
        load("-", stdin=io.BytesIO(b"| \xe9 |"))
    with pytest.raises(TextError, match="more than"):
        load("-", stdin=io.BytesIO(b"#" * 2_000_000))


def test_exercise_is_found_by_its_id() -> None:
    """A bare id finds the tune that came with the program; its chart is named by it."""
    ids = [name for name, _ in exercise_tunes()]
    assert ids == sorted(ids)
    assert len(ids) == len(set(ids)) > 0
    assert ids == names_of(*ids)
    chart = load(ids[0])
    assert ids[0] == chart.file
    assert chart.sections


def test_file_goes_before_an_exercise_of_its_name(tunes: Path) -> None:
    """What lies in the current folder is what is meant."""
    name = exercise_tunes()[0][0]
    Path(name).write_text("title: My own\n| C |", encoding="utf-8")
    assert "My own" == load(name).title


def test_near_miss_is_pointed_out(tunes: Path) -> None:
    """A misspelled exercise gets the right one as a hint."""
    name = exercise_tunes()[0][0]
    with pytest.raises(TextError, match=f"did you mean the exercise `{name}`"):
        load(name[:-1])
    with pytest.raises(TextError, match="no such file"):
        load("zzzz")


def test_folder_is_no_chart(tunes: Path) -> None:
    """Loading a folder as a chart is told."""
    with pytest.raises(TextError, match="a folder"):
        load("deep")


def test_tunes_may_lie_in_an_archive(tmp_path: Path) -> None:
    """The shipped tunes needn't be files on the disk."""
    archive = tmp_path / "tunes.zip"
    with zipfile.ZipFile(archive, "w") as packed:
        packed.writestr("tunes/weir.chart", "title: Weir\n| C |")
        packed.writestr("tunes/README.md", "no chart")
    ((name, place),) = exercise_tunes(zipfile.Path(archive, "tunes/"))
    assert "weir" == name
    assert "Weir" == load(ChartSource(name, place)).title


def test_no_tunes_are_no_error(tmp_path: Path) -> None:
    """A folder that isn't there has no tunes."""
    assert () == exercise_tunes(tmp_path / "none")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_in_a_folder_is_told_and_not_waited_for(tmp_path: Path) -> None:
    """A named pipe among a folder's charts is an error of its own; the charts beside it are found."""
    os.mkfifo(tmp_path / "a.chart")
    (tmp_path / "b.chart").write_text("| C |\n", encoding="utf-8")
    pipe, chart = find_charts([str(tmp_path)])
    assert isinstance(pipe, TextError)
    assert "a pipe" in str(pipe)
    assert not isinstance(chart, TextError)


@pytest.mark.parametrize("suffix", [".musicxml", ".xml", ".MXL", ".mid", ".MIDI"])
def test_files_of_other_programs_are_read_by_their_suffix(tmp_path: Path, suffix: str) -> None:
    """A score and a MIDI file are charts like any other, as a file and on standard input."""
    chart = read_chart("title: Slate\n\n| Dm7 G7 | Cmaj7 |")
    if suffix.casefold().startswith(".mid"):
        data = midi_bytes(plain_chords(unfold(chart)))
    else:
        data = write_mxl(chart) if suffix == ".MXL" else write_musicxml(chart).encode()
    path = tmp_path / f"slate{suffix}"
    path.write_bytes(data)
    expected = ["Dm7", "G7", "Cmaj7"]
    for read in (load(path), load("-", io.BytesIO(data))):
        assert "Slate" == read.title
        assert expected == [str(span.symbol) for span in unfold(read).spans]


def test_folders_are_searched_for_scores_too(tmp_path: Path) -> None:
    """A folder's charts and scores are found; other XML and MIDI files are read where they are named."""
    for name in ("a.chart", "b.musicxml", "c.mxl", "d.xml", "e.mid"):
        (tmp_path / name).write_text("| C |", encoding="utf-8")
    assert ["a.chart", "b.musicxml", "c.mxl"] == [Path(name).name for name in names_of(str(tmp_path))]


def test_reading_text_needs_no_other_readers() -> None:
    """A chart of text is read without importing what reads XML, archives or MIDI files."""
    code = "import sys; from trainer.charts.library import load; load(sys.argv[1]); print(*sorted(sys.modules))"
    name = exercise_tunes()[0][0]
    done = subprocess.run([sys.executable, "-c", code, name], capture_output=True, text=True, check=True)
    assert {"trainer.charts.reader"} <= set(done.stdout.split())
    assert not {"mido", "defusedxml", "xml.etree.ElementTree", "trainer.charts.musicxml"} & set(done.stdout.split())
