"""Settings in words: every one has its row, its values can be stepped through, said, typed and read back."""

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.test_settings import ANY_SETTINGS
from trainer.screens.theme import THEMES
from trainer.settings import RULES, Settings, SettingsError, Value
from trainer.settings_told import (
    TABLE,
    TOLD,
    default_of,
    read_typed,
    stepped,
    told_allowed,
    told_value,
)
from trainer.voicing.styles import STYLE

ALLOWED = {rule.name: rule.allowed for rule in RULES if rule.name in TOLD}
WITH_STOPS = [row for row in TABLE if row.stops]


def test_every_setting_has_its_row_in_words() -> None:
    """None is left out, none is told twice, and each has a name for players and a meaning."""
    singles = [each.name for each in fields(Settings) if isinstance(default_of(each.name), bool | int | float | str)]
    assert sorted(singles) == sorted(row.name for row in TABLE)
    assert set(TOLD) == set(singles)
    assert len({row.called for row in TABLE}) == len(TABLE)
    assert all(row.called and row.about.endswith(".") for row in TABLE)


@pytest.mark.parametrize("row", WITH_STOPS, ids=lambda row: row.name)
def test_every_stop_is_allowed_said_and_read_back(row: object) -> None:
    """What keys go through may all be set, is told from the others, and typed as it is said it is the same."""
    told = TOLD[row.name]  # type: ignore[attr-defined]
    assert all(ALLOWED[told.name](stop) for stop in told.stops)
    said = [told_value(told.name, stop) for stop in told.stops]
    assert len(set(said)) == len(said)
    assert list(told.stops) == [read_typed(told.name, words) for words in said]
    assert set(told.words) <= set(told.stops)
    assert default_of(told.name) in told.stops


@pytest.mark.parametrize("row", WITH_STOPS, ids=lambda row: row.name)
def test_keys_reach_every_stop_and_no_other_value(row: object) -> None:
    """From the first on step by step; numbers end at their ends, words go round."""
    told = TOLD[row.name]  # type: ignore[attr-defined]
    at: Value = told.stops[0]
    seen = [at]
    for _ in told.stops[1:]:
        at = stepped(told.name, at, 1)
        seen.append(at)
    assert list(told.stops) == seen
    numbers = not isinstance(at, str | bool)
    assert (told.stops[-1] if numbers else told.stops[0]) == stepped(told.name, at, 1)
    assert told.stops[-2] == stepped(told.name, at, -1)
    assert (told.stops[0] if numbers else told.stops[-1]) == stepped(told.name, told.stops[0], -1)


@pytest.mark.parametrize(
    ("name", "value", "by", "expected"),
    [
        ("a4_hz", 441.5, 1, 442.0), ("a4_hz", 441.5, -1, 441.0), ("volume_db", -40.0, -1, -40.0),
        ("volume_db", -19.0, 1, -18.0), ("ratio", 1.6, -1, 1.5), ("ratio", 1.0, -1, 0.0),
        ("device", "a card", 1, "a card"),
    ],
)  # fmt: skip
def test_between_two_stops_the_next_one_comes(name: str, value: Value, by: int, expected: Value) -> None:
    """A value that was typed is gone on from to its neighbours; what is free has none."""
    assert expected == stepped(name, value, by)


@given(ANY_SETTINGS)
def test_what_is_said_and_stepped_is_always_allowed(settings: Settings) -> None:
    """Whatever the settings are, each value can be told, and a step in either direction may be set."""
    for name, allowed in ALLOWED.items():
        value = getattr(settings, name)
        assert isinstance(told_value(name, value), str)
        assert all(allowed(stepped(name, value, by)) for by in (-1, 1)), name


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("minutes", " 25 ", 25), ("plain", "Yes", True), ("plain", "off", False), ("a4_hz", "442 Hz", 442.0),
        ("volume_db", "-12 dB", -12.0), ("time", "nobody", ""), ("time", "", ""), ("comping", "As the meter asks", ""),
        ("style", "DROP-2", "drop-2"), ("ratio", "as the chart has it", 0.0), ("ratio", "1.7", 1.7),
        ("device", "A Card: 7", "A Card: 7"), ("device", "the system's own", ""),
    ],
)  # fmt: skip
def test_values_are_read_as_players_type_them(name: str, text: str, expected: Value) -> None:
    """As in the file or as they are said, with the unit or without, in any case."""
    value = read_typed(name, text)
    assert (expected, type(default_of(name))) == (value, type(value))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("minutes", "500"), ("minutes", "2.5"), ("minutes", "ten"), ("plain", "perhaps"), ("a4_hz", "nan"),
        ("room", "-1"), ("style", "loud"), ("ratio", "0.5"), ("volume_db", "3"), ("numerals", ""),
    ],
)  # fmt: skip
def test_what_is_not_allowed_is_told_in_words(name: str, text: str) -> None:
    """The setting by both names, what was typed, what would be right, and that nothing was changed."""
    with pytest.raises(SettingsError) as caught:
        read_typed(name, text)
    for words in (TOLD[name].called, name, repr(text), told_allowed(name), "Nothing was changed."):
        assert words in str(caught.value)


@given(st.text(max_size=20), st.sampled_from(sorted(TOLD)))
def test_any_text_is_a_value_or_refused(text: str, name: str) -> None:
    """Nothing that can be typed sets what isn't allowed."""
    try:
        value = read_typed(name, text)
    except SettingsError:
        return
    assert ALLOWED[name](value)


def test_the_words_are_those_of_what_plays_and_paints() -> None:
    """Looks and styles that are told are those there are."""
    assert [theme.name for theme in THEMES] == list(TOLD["look"].stops)
    assert set(TOLD["style"].words) <= set(STYLE)
