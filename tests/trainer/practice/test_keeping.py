"""Taking charts in: as written, never doubled, replaced only when told to, nothing lost on the way."""

from pathlib import Path

import pytest

from tests.trainer.practice.repertoire import LAMPS, LANTERNS, kept, own, sources
from trainer import places
from trainer.charts.library import exercise_tunes, load
from trainer.charts.musicxml_writer import write_mxl
from trainer.charts.reader import read_chart
from trainer.practice import keeping
from trainer.practice.keeping import keep, taken
from trainer.practice.kept_tunes import KeptError, load_index, marked

OTHER = LAMPS.replace("Bbmaj7 | %", "Bbmaj7 | G7")


def folder() -> Path:
    """Where charts are kept."""
    return places.tunes_folder()


def lying() -> dict[str, str]:
    """The charts in the folder."""
    return {path.name: path.read_text(encoding="utf-8") for path in folder().glob("*.chart")}


def test_chart_text_is_kept_byte_for_byte(tmp_path: Path) -> None:
    """Comments, spaces and line ends of a chart are its own and stay."""
    text = "# mine\r\ntitle:   Two Lamps\r\n\r\n|  Cm7|F7   |  Bbmaj7 | % |   # home\r\n"
    (tmp_path / "a.chart").write_bytes(text.encode())
    keep(folder(), [taken(source) for source in sources([str(tmp_path / "a.chart")])], False, ())
    assert text.encode() == (folder() / "two-lamps.chart").read_bytes()


def test_the_same_chart_is_not_doubled(tmp_path: Path) -> None:
    """Given again, from another file or twice at once, a chart is told to be there and the folder stays."""
    assert ["kept", "same"] == [one.what for one in kept(tmp_path, LAMPS, LAMPS)]
    before = lying()
    assert ["same"] == [one.what for one in kept(tmp_path / "again", LAMPS)]
    assert ["same"] == [one.what for one in kept(tmp_path / "again", LAMPS, replacing=True)]
    assert before == lying() == {"two-lamps.chart": LAMPS}


def test_a_changed_chart_replaces_only_when_told(tmp_path: Path) -> None:
    """Another chart of the same title is left out, and with `replacing` takes the place, id and mark kept."""
    kept(tmp_path, LAMPS)
    marked(folder(), ["two-lamps"], True)
    assert ["other"] == [one.what for one in kept(tmp_path, OTHER)]
    assert {"two-lamps.chart": LAMPS} == lying()
    assert ["replaced"] == [one.what for one in kept(tmp_path, OTHER, replacing=True)]
    assert {"two-lamps.chart": OTHER} == lying()
    assert {"two-lamps"} == load_index(folder()).learning


def test_two_charts_of_one_title_given_together(tmp_path: Path) -> None:
    """The first is kept and the second told, whether or not charts may be replaced: nothing given now is lost."""
    for replacing, text in ((False, LAMPS), (True, LANTERNS)):
        other = text.replace("|\n", "| G7 |\n", 1)
        assert ["kept", "twice"] == [one.what for one in kept(tmp_path, text, other, replacing=replacing)]


def test_other_composers_make_other_tunes(tmp_path: Path) -> None:
    """One title by two composers is two tunes; by one, or where one isn't named, it is one."""
    by = [LAMPS.replace("key:", f"composer: {name}\nkey:") for name in ("Ada Quay", "Ben Weir")]
    assert [("kept", "two-lamps"), ("kept", "two-lamps-2")] == [(one.what, one.id) for one in kept(tmp_path, *by)]
    assert [("other", "two-lamps")] == [(one.what, one.id) for one in kept(tmp_path, OTHER)]


def test_a_chart_deleted_by_hand_is_put_back(tmp_path: Path) -> None:
    """Adding a tune whose chart is gone restores it under its id, without being told to replace."""
    kept(tmp_path, LAMPS)
    (folder() / "two-lamps.chart").unlink()
    assert [("restored", "two-lamps")] == [(one.what, one.id) for one in kept(tmp_path, OTHER)]
    assert {"two-lamps.chart": OTHER} == lying()


def test_what_lies_in_the_folder_is_never_written_over(tmp_path: Path) -> None:
    """A chart that isn't kept keeps its name; the same content found there is taken in where it lies."""
    folder().mkdir(parents=True)
    (folder() / "two-lamps.chart").write_text("title: mine\n| C6 |\n", encoding="utf-8")
    (folder() / "lanterns-on-the-ice.chart").write_text(LANTERNS, encoding="utf-8")
    ids = [one.id for one in kept(tmp_path, LAMPS, LANTERNS)]
    assert ["two-lamps-2", "lanterns-on-the-ice"] == ids
    assert "title: mine\n| C6 |\n" == lying()["two-lamps.chart"]


def test_an_id_of_an_exercise_tune_is_another_one(tmp_path: Path) -> None:
    """A tune of the player's with an exercise tune's title has an id of its own."""
    assert ["coal-barge-2"] == [one.id for one in kept(tmp_path, LAMPS.replace("Two Lamps", "Coal Barge"))]


def test_charts_without_a_title_go_by_their_file(tmp_path: Path) -> None:
    """An untitled chart is named after its file, and is the same tune when it comes from that file again."""
    text = LAMPS.replace("title: Two Lamps\n", "")
    assert [("kept", "0")] == [(one.what, one.id) for one in kept(tmp_path, text)]
    assert [("other", "0")] == [(one.what, one.id) for one in kept(tmp_path, text.replace("F7", "B7"))]


def test_musicxml_becomes_the_chart_it_was_made_from(tmp_path: Path) -> None:
    """Exercise tunes written as MusicXML and taken in are charts that say the same, and what is lost is told."""
    paths = []
    for name, _ in exercise_tunes()[:6]:
        chart = load(name)
        paths.append(tmp_path / f"{name}.mxl")
        paths[-1].write_bytes(write_mxl(chart, {}))
    for path in paths:
        (source,) = sources([str(path)])
        found = taken(source)
        assert load(path) == read_chart(found.data.decode(), "kept")
        assert "made into a chart from MusicXML" in found.remarks[-1]


def test_an_exercise_tune_is_not_taken_in() -> None:
    """What ships with the program is there already."""
    (source,) = sources(["coal-barge"])
    with pytest.raises(KeptError, match="an exercise tune is there already"):
        taken(source)


def test_a_full_disk_loses_only_what_it_refuses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where one chart can't be written it is told; the others are kept, and the index names only what lies there."""
    put = keeping.put_whole

    def full(path: Path, data: bytes) -> None:
        if path.name.startswith("lanterns"):
            raise OSError(28, "No space left on device")
        put(path, data)

    monkeypatch.setattr(keeping, "put_whole", full)
    outcomes = kept(tmp_path, LAMPS, LANTERNS, LAMPS.replace("Two", "Three"))
    assert ["kept", "failed", "kept"] == [one.what for one in outcomes]
    assert "No space left on device" == outcomes[1].why
    assert ("two-lamps", "three-lamps") == load_index(folder()).ids
    assert {} == own().faults
