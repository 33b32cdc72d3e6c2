"""The form in words: what a section is the same as, the tune in short, the hardest stretch."""

import json

import pytest

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.reading.charting import reading_of
from trainer.commands.told_form import differing_text, form_text, section_heading

FIRST = "C6 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6"


@pytest.mark.parametrize(
    ("again", "words"),
    [
        ("C6 | Am7 | Dm7 | G7 | Em7 | A7 | Fm7 | Bb7", "its last two bars"),
        ("C6 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | A7", "its last bar"),
        ("Fm6 | Bb7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6", "its first two bars"),
        ("C6 | Am7 | Fm7 | G7 | Em7 | A7 | Dm7 G7 | C6", "its third bar"),
        ("C6 | F7 | Dm7 | G7 | Em7 | Eb7 | Fm7 | C6", "bars 10 and 14-15"),
    ],
)
def test_what_a_section_differs_in(again: str, words: str) -> None:
    """The bars that are others are told as a player would: the last two, the third, or by their numbers."""
    assert words == differing_text(reading_of(f"[A]{FIRST} [A]{again}").sections[1])


@pytest.mark.parametrize(
    ("again", "heading"),
    [
        (FIRST, "A, bars 9-16: the same as bars 1-8"),
        ("C6 | Am7 | Dm7 | G7", "A, bars 9-12: as bars 1-8 begin"),
        (f"{FIRST} | F6 | C6", "A, bars 9-18: begins as bars 1-8 and leaves them in bar 17"),
        ("Fm6 | Bb7 | Ebmaj7 | % | Abm7 | Db7 | Dm7 | G7", "A, bars 9-16"),
    ],
)
def test_headings(again: str, heading: str) -> None:
    """Sections of other lengths are told by where they leave; what is new has its bars alone."""
    assert heading == section_heading(reading_of(f"[A]{FIRST} [A]{again}"), 1, True)


def test_a_section_that_is_heard_anew_says_so() -> None:
    """The same chords in another reading are not the same."""
    heading = section_heading(reading_of(f"[A]{FIRST} [A]{FIRST}"), 1, False)
    assert "A, bars 9-16: the chords of bars 1-8, heard anew" == heading


def test_a_found_form_is_told_as_heard_and_its_json_names_stay_null() -> None:
    """Letters that were found stand in the text and in a field of their own, never in `name`, `section` or `form`."""
    chart = f"tempo: 120\n| {FIRST} |\n| Fmaj7 | % | Fm7 | Bb7 | Em7 | A7 | Dm7 | G7 |\n| {FIRST} |\n".encode()
    text = keyfarer("analyze", "-", given=chart).stdout
    assert "24 bars of 4/4 at 120, heard as A B A, no signature given." in " ".join(text.split())
    assert "\nA, bars 17-24: the same as bars 1-8\n" in text
    found = json.loads(keyfarer("analyze", "-", "--json", given=chart).stdout)
    assert [(None, "A"), (None, "B"), (None, "A")] == [(one["name"], one["found_name"]) for one in found["sections"]]
    assert {None} == {chord["section"] for chord in found["chords"]}
    assert [] == found["form"]


def test_the_form_text_is_empty_where_there_is_none() -> None:
    """One section is no form."""
    assert "" == form_text(reading_of("C6 | Am7 | Dm7 G7 | C6"))
