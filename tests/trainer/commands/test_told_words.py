"""`keyfarer words`: the list, one word, its sound, its data, and what is refused."""

import json
import wave
from pathlib import Path

import mido
import pytest

from tests.trainer.commands.commanding import keyfarer
from trainer.commands.told_words import list_lines
from trainer.harmony.glossary import TERM, TERMS


def test_the_list_names_every_word_once() -> None:
    """Without a word all of them are listed, group by group, a line each."""
    lines = keyfarer("words", surroundings={"COLUMNS": "80"}).stdout.splitlines()
    begun = [line for line in lines if line.startswith("  ") and line[2] != " "]
    assert {term.id for term in TERMS} == {line.strip().partition(":")[0] for line in begun}


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_the_terminal(monkeypatch: pytest.MonkeyPatch, columns: int) -> None:
    """In forty columns as in eighty each line fits."""
    monkeypatch.setenv("COLUMNS", str(columns))
    assert max(map(len, list_lines())) <= columns
    told = keyfarer("words", "interrupted-after-two-five", "--key", "Gb", surroundings={"COLUMNS": str(columns)})
    assert max(map(len, told.stdout.splitlines())) <= columns


def test_a_word_is_told_by_any_of_its_names() -> None:
    """Several words are one name; what it means and how it is heard is told."""
    done = keyfarer("words", "Guide", "tones")
    assert (0, "") == (done.returncode, done.stderr)
    assert TERM["guide-tones"].says in " ".join(done.stdout.split())
    assert "keyfarer words guide-tones --hear" in done.stdout


def test_an_unknown_word_is_told_near_ones() -> None:
    """Exit 2 and what is nearest; so is a word that nothing sounds of, where it is to be heard."""
    done = keyfarer("words", "turnarond")
    assert 2 == done.returncode
    assert "near it: turnaround" in done.stderr
    silent = keyfarer("words", "rung", "--hear")
    assert 2 == silent.returncode
    assert "nothing that sounds" in silent.stderr
    assert 2 == keyfarer("words", "--hear").returncode


def test_an_example_is_written(tmp_path: Path) -> None:
    """A sound file and a MIDI file hold the example; another suffix is refused."""
    sound, midi = tmp_path / "walking.wav", tmp_path / "spread.mid"
    assert 0 == keyfarer("words", "walking", "--to", str(sound)).returncode
    with wave.open(str(sound)) as file:
        assert file.getnframes() > 5 * file.getframerate()
    assert 0 == keyfarer("words", "spread", "--key", "Eb", "--to", str(midi)).returncode
    assert any(message.type == "note_on" for message in mido.MidiFile(midi))
    assert 2 == keyfarer("words", "spread", "--to", str(tmp_path / "spread.txt")).returncode


def test_the_data_have_every_field() -> None:
    """JSON has every word with its meaning and its chords in English names, and the schema's number."""
    data = json.loads(keyfarer("words", "--json").stdout)
    assert "keyfarer/words/1" == data["schema"]
    assert [term.id for term in TERMS] == [row["id"] for row in data["words"]]
    (row,) = json.loads(keyfarer("words", "plagal", "--key", "Bb", "--json").stdout)["words"]
    assert {"id", "name", "group", "says", "also", "near", "example"} == set(row)
    assert {"symbol": "Ebmaj7", "numeral": "IVmaj7", "key": "Bb major"} == row["example"]["chords"][0]
