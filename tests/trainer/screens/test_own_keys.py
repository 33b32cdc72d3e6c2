"""The player's own keys: read as players write them, kept, and never with two meanings."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.screens.actions import ACTIONS, DRILL, LISTED, SHOWN, actions_on, shown_key
from trainer.screens.own_keys import (
    LIST_KEYS,
    NAMED,
    NO_KEYS,
    KeysError,
    acted_on,
    keys_text,
    keys_told,
    load_keys,
    read_key,
    read_keys,
    save_keys,
)

SIGNS = [chr(code) for code in range(33, 127)] + ["ä", "ß", "é"]
ANY_KEY = st.sampled_from([*SIGNS, *NAMED]) | st.sampled_from(
    [f"Ctrl+{key}" for key in ("a", "K", "F5", "up", "space")]
)


@given(ANY_KEY)
def test_a_key_reads_back_as_it_is_shown(written: str) -> None:
    """Any key that can be written is shown so that it reads back as the same key."""
    key = read_key(written)
    assert key is not None
    assert key == read_key(shown_key(key))


def test_the_registry_shows_its_keys_as_the_table_has_them() -> None:
    """Each action's key is shown as any other would be."""
    assert [action.shown for action in ACTIONS] == [shown_key(action.key) for action in ACTIONS]
    assert set(SHOWN) >= {"escape", "pageup", "pagedown"}


@pytest.mark.parametrize("text", ["", " ", "F25", "F 9", "ab", "Ctrl+", "Alt+x", "Ctrl+ab", "\t", "Ctrl+Ctrl+a"])
def test_what_is_no_key_is_none(text: str) -> None:
    """Words that name no key are refused."""
    assert read_key(text) is None


def test_an_action_takes_another_key() -> None:
    """The key and how it is shown change, the rest of the registry stays."""
    actions = acted_on({"again": "f10"})
    assert [("f10", "F10")] == [(one.key, one.shown) for one in actions if one.id == "again"]
    assert [one for one in ACTIONS if one.id != "again"] == [one for one in actions if one.id != "again"]
    assert "F10" in keys_told("{again} repeats", actions)


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        ({"gain": "f10"}, "there is no action 'gain'; did you mean again"),
        ({"zzzz": "f10"}, "there is no action 'zzzz'; there are begin,"),
        ({"leave_now": "f10"}, "leave_now keeps its key, Ctrl+C"),
        ({"skip": "f2"}, "F2 would mean both again and skip on the screen 'A question'"),
        ({"again": "x"}, "X is needed for typing on the screen 'A question'; take an F key"),
        ({"again": "ctrl+k"}, "Ctrl+K is needed for typing"),
        ({"help": "question_mark"}, "? is needed for typing on the screen 'A question'"),
        ({"leave": "down"}, "Down moves through the list on the screen 'Tunes'"),
    ],
)
def test_a_key_with_two_meanings_is_told(keys: dict[str, str], told: str) -> None:
    """What can't be is said with where it can't be."""
    with pytest.raises(KeysError) as caught:
        acted_on(keys)
    assert told in str(caught.value)


def test_two_actions_may_change_places() -> None:
    """Keys may be swapped: what counts is how all stand in the end."""
    actions = acted_on({"again": "f3", "slower": "f2"})
    assert {"again": "f3", "slower": "f2"} == {
        one.id: one.key for one in actions_on(DRILL, actions) if one.id in ("again", "slower")
    }


@given(st.dictionaries(st.sampled_from([one.id for one in ACTIONS]), st.sampled_from([*NAMED.values(), "x", "ctrl+g"])))
def test_whatever_is_taken_has_one_meaning_on_each_screen(keys: dict[str, str]) -> None:
    """Any choice of keys is refused, or each key of each screen does one thing."""
    try:
        actions = acted_on(keys)
    except KeysError as error:
        assert str(error)
        return
    for screen in {screen for action in ACTIONS for screen in action.screens}:
        taken = [action.key for action in actions_on(screen, actions)]
        assert len(taken) == len(set(taken))
    usual = {one.id: one.key for one in ACTIONS}
    listed = {one.id for one in ACTIONS if set(LISTED) & set(one.screens)}
    assert not [id for id, key in keys.items() if id in listed and key in LIST_KEYS and key != usual[id]]


def test_keys_are_kept_and_come_back(tmp_path: Path) -> None:
    """What is saved reads back; the usual key isn't written; none are kept where there is no file."""
    file = tmp_path / "deep" / "keys.toml"
    assert NO_KEYS == load_keys(file)
    kept = save_keys(file, {"again": "f10", "sample": "quotation_mark", "skip": "f8"})
    assert {"again": "f10", "sample": "quotation_mark"} == kept == load_keys(file)
    assert keys_text(kept) == file.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("again = ", "these keys can't be read"),
        ("again = 3", "again is 3; expected a sign"),
        ('again = "F30"\nskip = "F99"', "skip is 'F99'"),
        ('skip = "F2"', "F2 would mean both"),
    ],
)
def test_a_file_that_cant_be_read_is_told_and_left(tmp_path: Path, text: str, told: str) -> None:
    """Each fault is told with the file's name, and nothing is written over it."""
    file = tmp_path / "keys.toml"
    file.write_text(text, encoding="utf-8")
    for act in (lambda: load_keys(file), lambda: save_keys(file, {"again": "f10"})):
        with pytest.raises(KeysError) as caught:
            act()
        assert told in str(caught.value)
        assert str(file) in str(caught.value)
    assert text == file.read_text(encoding="utf-8")


def test_all_faults_of_a_file_come_at_once() -> None:
    """Two faults, two lines."""
    with pytest.raises(KeysError) as caught:
        read_keys('again = "F30"\nslop = "F10"\nskip = 1', "keys.toml")
    assert 2 == str(caught.value).count("expected")
