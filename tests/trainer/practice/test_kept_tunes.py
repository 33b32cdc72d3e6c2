"""The index of the player's tunes: what is written reads back, ids are safe, and a broken index is left alone."""

import json
from pathlib import Path, PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.charts.library import exercise_tunes, load
from trainer.practice.kept_tunes import (
    INDEX,
    MOST_BYTES_OF_ID,
    KeptError,
    KeptIndex,
    KeptTune,
    change_index,
    free_id,
    id_from,
    index_text,
    load_index,
    marked,
    read_index,
    removed,
)

TITLES = st.text(max_size=80)
LAMPS = KeptTune("two-lamps", "Two Lamps", "", "00")


@given(st.lists(st.tuples(TITLES, TITLES), max_size=8), st.booleans())
def test_an_index_reads_back(tunes: list[tuple[str, str]], learning: bool) -> None:
    """Whatever titles and composers are, the index that is written is the index that is read."""
    kept: list[KeptTune] = []
    for title, composer in tunes:
        kept.append(KeptTune(free_id((title,), [tune.id for tune in kept]), title, composer, "ab"))
    index = KeptIndex(tuple(kept), frozenset(tune.id for tune in kept) if learning else frozenset())
    assert index == read_index(index_text(index), "index.json")


@given(TITLES)
def test_an_id_is_safe_as_a_file_name(title: str) -> None:
    """An id has no sign that a file system or a shell minds, is no device of Windows, and makes itself again."""
    id = id_from(title)
    assert id == id_from(id)
    assert not set(id) & set(" /\\:*?\"<>|.'`$&;()[]{}!#~\0\n\t")
    assert len(id.encode()) <= MOST_BYTES_OF_ID + len("-tune")
    assert not id.startswith("-")
    assert not id or not PureWindowsPath(id).is_reserved()


@pytest.mark.parametrize(
    ("title", "id"),
    [
        ("Low Water at the Weir", "low-water-at-the-weir"),
        ("The Ferryman’s Éclair, No. 2", "the-ferrymans-eclair-no-2"),
        ("Ночной паром", "ночной-паром"),
        ("  ...  ", ""),
        ("CON", "con-tune"),
        ("con", "con-tune"),
        ("Lpt1", "lpt1-tune"),
    ],
)
def test_ids_from_titles(title: str, id: str) -> None:
    """Words are joined by hyphens, marks on Latin letters and signs are dropped, other scripts keep their letters."""
    assert id == id_from(title)


def test_exercise_tunes_ids_are_their_titles() -> None:
    """Exercise tunes have been named by the same rule, so both kinds of tune are named alike."""
    named = {name: id_from(load(name).title) for name, _ in exercise_tunes()}
    assert [name for name in named if named[name] == name] == list(named)


def test_a_free_id_takes_a_number_and_falls_back() -> None:
    """The first name that gives an id counts; where it is taken numbers follow; a tune without any name is a tune."""
    assert "lamps" == free_id(("", "Lamps"), ())
    assert "lamps-3" == free_id(("Lamps",), ("lamps", "lamps-2"))
    assert "tune" == free_id(("", "!"), ())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("{", "line 1, column 2"),
        ("[]", "TypeError"),
        ("{}", "KeyError 'schema'"),
        ('{"schema": "keyfarer/kept-tunes/9", "tunes": [], "learning": []}', "keyfarer/kept-tunes/9"),
        (json.dumps({"schema": "keyfarer/kept-tunes/1", "tunes": [{}], "learning": []}), "KeyError 'title'"),
        (
            json.dumps({"schema": "keyfarer/kept-tunes/1", "tunes": [], "learning": ["../secret"]}),
            "'../secret' is no tune's id",
        ),
        (index_text(KeptIndex((LAMPS, LAMPS))), "it has 'two-lamps' twice"),
        (index_text(KeptIndex((LAMPS,))).replace('"00"', "7"), "what should be text is none"),
        ("[" * 100_000, "RecursionError"),
    ],
)
def test_a_broken_index_is_told_and_left(tmp_path: Path, text: str, said: str) -> None:
    """What is no index is refused with its place and the way on; changing it leaves the file byte for byte."""
    (tmp_path / INDEX).write_text(text, encoding="utf-8")
    for tried in (lambda: load_index(tmp_path), lambda: marked(tmp_path, ["two-lamps"], True)):
        with pytest.raises(KeptError) as error:
            tried()
        assert said in str(error.value)
        assert "Nothing was changed" in str(error.value)
        assert f"keyfarer tunes add {tmp_path}" in str(error.value)
    assert text == (tmp_path / INDEX).read_text(encoding="utf-8")


def test_an_index_that_is_no_text_or_no_file_is_told(tmp_path: Path) -> None:
    """Bytes that are no UTF-8, and a folder in the index's place, are told in words."""
    (tmp_path / INDEX).write_bytes(b"\xff\xfe\x00")
    with pytest.raises(KeptError, match="it is no text"):
        load_index(tmp_path)
    (tmp_path / INDEX).unlink()
    (tmp_path / INDEX).mkdir()
    with pytest.raises(KeptError, match="can't be read"):
        load_index(tmp_path)


def test_a_change_that_fails_changes_nothing(tmp_path: Path) -> None:
    """What a change raises comes through, the index stays, and the folder is free for the next one."""
    change_index(tmp_path, lambda index: index.with_tune(LAMPS))
    before = (tmp_path / INDEX).read_bytes()

    def fails(index: KeptIndex) -> KeptIndex:
        raise KeptError("no")

    with pytest.raises(KeptError, match="no"):
        change_index(tmp_path, fails)
    assert before == (tmp_path / INDEX).read_bytes()
    assert ("two-lamps",) == change_index(tmp_path, lambda index: index).ids


def test_a_removed_chart_is_put_aside_and_never_over_another(tmp_path: Path) -> None:
    """Each removed chart lies in the folder of removed ones under a name of its own; mark and entry are gone."""
    aside = []
    for text in ("one", "other"):
        change_index(tmp_path, lambda index: index.with_tune(LAMPS))
        (tmp_path / LAMPS.file).write_text(text, encoding="utf-8")
        marked(tmp_path, ["two-lamps"], True)
        aside += removed(tmp_path, ["two-lamps"])
        assert KeptIndex() == load_index(tmp_path)
    assert ["one", "other"] == [path.read_text(encoding="utf-8") for path in aside]
    assert ["two-lamps.chart", "two-lamps-2.chart"] == [path.name for path in aside]
