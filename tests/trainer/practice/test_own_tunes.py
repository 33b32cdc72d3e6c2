"""The player's tunes as practice has them: read once, read again when they were edited, told when they are gone."""

from pathlib import Path

import pytest

from tests.trainer.practice.repertoire import LAMPS, LANTERNS, kept, own
from trainer import places
from trainer.charts.library import exercise_tunes
from trainer.practice import own_tunes as module
from trainer.practice.kept_tunes import INDEX, KeptError, marked
from trainer.practice.own_tunes import NONE_KEPT
from trainer.practice.tune_facts import TuneFacts, read_facts_of


@pytest.fixture
def readings(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The names of the charts that are read to their end, as they are read."""
    names: list[str] = []

    def read(data: bytes, name: str) -> TuneFacts:
        names.append(Path(name).name)
        return read_facts_of(data, name)

    monkeypatch.setattr(module, "read_facts_of", read)
    return names


def test_a_player_without_tunes_has_none() -> None:
    """Where nothing was kept nothing is found, and no folder is made by looking."""
    assert NONE_KEPT == own()
    assert not places.tunes_folder().exists()


def test_a_tune_is_read_once(tmp_path: Path, readings: list[str]) -> None:
    """What a tune is made of is read once and then looked up; only an edited chart is read again."""
    kept(tmp_path / "given", LAMPS, LANTERNS)
    first = own()
    assert ["lanterns-on-the-ice", "two-lamps"] == sorted(first.facts)
    assert ["lanterns-on-the-ice.chart", "two-lamps.chart"] == sorted(readings)
    assert first.facts == own().facts
    assert 2 == len(readings)
    file = places.tunes_folder() / "two-lamps.chart"
    file.write_text(LAMPS.replace("Bbmaj7", "Bbm6").replace("Cm7", "Cm7b5"), encoding="utf-8")
    assert own().facts["two-lamps"].units == ("minor-two-five-one",)
    assert "two-lamps.chart" == readings[-1]
    assert 3 == len(readings)


def test_a_lost_or_broken_file_of_facts_is_made_anew(tmp_path: Path, readings: list[str]) -> None:
    """Deleted, cut off or unwritable: facts are read again, and are the same."""
    kept(tmp_path / "given", LAMPS)
    facts, file = own().facts, places.tune_facts_file()
    file.write_bytes(file.read_bytes()[:-7])
    assert facts == own().facts
    file.unlink()
    file.mkdir()
    assert facts == own().facts == own().facts
    assert 4 == len(readings)


def test_a_chart_that_was_deleted_or_spoiled_is_told(tmp_path: Path) -> None:
    """A chart that is gone, and one that was edited into a fault, are told with the way on; the others stay."""
    kept(tmp_path / "given", LAMPS, LANTERNS, LAMPS.replace("Two", "Three"))
    (places.tunes_folder() / "two-lamps.chart").unlink()
    (places.tunes_folder() / "three-lamps.chart").write_text("title: x\n[A]\n| H7 |\n", encoding="utf-8")
    found = own()
    assert ["lanterns-on-the-ice"] == list(found.facts) == list(found.charts)
    assert "keyfarer tunes remove two-lamps" in found.faults["two-lamps"]
    assert "three-lamps.chart, line 3" in found.faults["three-lamps"]


def test_exercise_tunes_come_with_when_asked_for_or_learned(tmp_path: Path) -> None:
    """Facts are of the player's tunes and of exercise tunes being learned, or of all exercise tunes."""
    kept(tmp_path / "given", LAMPS)
    marked(places.tunes_folder(), ["the-courier-turns-back"], True)
    assert ["two-lamps", "the-courier-turns-back"] == list(own().facts)
    assert {"the-courier-turns-back": own().facts["the-courier-turns-back"].units} == own().routes
    marked(places.tunes_folder(), ["two-lamps"], True)
    assert {"the-courier-turns-back"} == own().routes.keys(), "two-lamps stays in one key"
    assert ["two-lamps"] == list(own().charts)
    every = own(exercises=True)
    assert ["two-lamps", *(id for id, _ in exercise_tunes())] == list(every.facts)
    assert (True, False) == (every.own("two-lamps"), every.own("the-courier-turns-back"))


def test_another_program_reads_again_when_all_is_asked_for(tmp_path: Path, readings: list[str]) -> None:
    """Facts of another version of the reading serve a session at once, and are made anew for the list."""
    kept(tmp_path / "given", LAMPS)
    own()
    file = places.tune_facts_file()
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(module.program_now(), "another program"), encoding="utf-8")
    own()
    assert 1 == len(readings)
    own(exercises=True)
    assert 1 + 1 + len(exercise_tunes()) == len(readings)


def test_a_broken_index_is_told(tmp_path: Path) -> None:
    """Nothing is guessed where the index can't be read."""
    kept(tmp_path / "given", LAMPS)
    (places.tunes_folder() / INDEX).write_text("{", encoding="utf-8")
    with pytest.raises(KeptError, match="can't be read"):
        own()
