"""Sections found by what comes back, in charts that name none; and how like each other sections are."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.reading.charting import reading_of, timeline_of
from trainer.charts.library import exercise_tunes
from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.form import section_numbers, sections_of
from trainer.reading.sections_found import found_sections, sections_of_bars

WITH_RETURNS = (
    "by-the-tannery-gate", "fog-over-the-salt-pans", "ropewalk-morning", "tallow-lane-after-rain",
    "the-clockmender-starts-again", "ice-on-cooper-steps", "the-glass-cutters-turn", "five-steps-to-the-weir",
)  # fmt: skip
"""The exercise tunes whose A comes back with its length: A A B A and A B A."""

WITHOUT_RETURNS = ("nine-doors-on-needle-street", "the-courier-turns-back", "the-toll-keepers-two-windows")
"""Those in which no section comes back."""

TEXTS = {name: place.read_text(encoding="utf-8") for name, place in exercise_tunes()}


def without_names(text: str) -> Timeline:
    """A chart played out and written down again bar by bar, without a name or a form."""
    chart = unfold(read_chart(text, "with names"))
    lines = [line for line in text.splitlines() if re.match(r"(meter|tempo|key):", line)]
    bars: dict[int, list[str]] = {}
    for span in chart.spans:
        symbol = "N.C." if span.symbol is None else span.symbol.text
        slots = span.beats
        assert slots.denominator == 1
        bars.setdefault(span.bar, []).extend([symbol, *["/"] * (slots.numerator - 1)])
    lines += [f"| {' '.join(bar)} |" for bar in bars.values()]
    return unfold(read_chart("\n".join(lines) + "\n", "without names"))


@pytest.mark.parametrize("name", WITH_RETURNS)
def test_a_chart_without_its_names_has_the_same_sections(name: str) -> None:
    """The boundaries are found again, and what had one name has one letter."""
    written = unfold(read_chart(TEXTS[name], name)).sections
    found = sections_of(without_names(TEXTS[name]))
    assert [(one.first_bar, one.until_bar) for one in written] == [(one.from_.bar, one.until.bar) for one in found]
    order = list(dict.fromkeys(one.name for one in written))
    assert [chr(ord("A") + order.index(one.name)) for one in written] == [one.found for one in found]
    assert {None} == {one.name for one in found}


@pytest.mark.parametrize("name", WITHOUT_RETURNS)
def test_where_nothing_comes_back_nothing_is_found(name: str) -> None:
    """A tune that goes on and on without a return stays one stretch without a name."""
    found = sections_of(without_names(TEXTS[name]))
    assert [(None, None)] == [(one.name, one.found) for one in found]


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        ("abcdefgh" * 2 + "ijklmnop" + "abcdefgh", "A8 A8 B8 A8"),
        ("abcdefgh" + "abcdefxy" + "ijklmnop" + "abcdefgh", "A8 A8 B8 A8"),
        ("abcdefgh" + "ijklmnop" + "abcdefgh" + "qrstuvwx", "A8 B8 A8 C8"),
        ("abcdefghijkl" * 2, "A12 A12"),
        ("abcdabcdefghabcd", "A4 A4 B4 A4"),
        ("wxyz" + "abcdefgh" * 2 + "ijklmnop" + "abcdefgh", "A4 B8 B8 C8 B8"),
        ("abcdefgh" * 2 + "ijklmnop" + "abcdefgh" + "yz", "A8 A8 B8 A8 C2"),
        ("abcdefg" * 2 + "hijklmn" + "abcdefg", "A7 A7 B7 A7"),
        ("aaaaaaaabbbbbbbbaaaaaaaa", "A8 B8 A8"),
        ("abcdefghijklmnop" * 2, "A16 A16"),
        ("abab" * 8, ""),
        ("abcd" * 8, ""),
        ("aaaaaaaaaaaaaaaa", ""),
        ("abcdefghijklmnopqrstuvwxyz", ""),
        ("abcabc", ""),
        ("", ""),
    ],
)
def test_forms_that_players_know(bars: str, expected: str) -> None:
    """Song forms, a blues, an intro, a tag and odd phrases are found; vamps and what never comes back are not."""
    found = sections_of_bars([ord(bar) for bar in bars])
    assert expected == " ".join(f"{one.letter}{one.until - one.first}" for one in found)


@given(st.lists(st.integers(0, 6), max_size=70))
def test_found_sections_tile_the_tune(bars: list[int]) -> None:
    """Sections follow each other from the first bar to the last, a letter comes back, or there are none at all."""
    found = sections_of_bars(bars)
    if found:
        assert (0, len(bars)) == (found[0].first, found[-1].until)
        assert all(one.until == after.first for one, after in pairwise(found))
        assert all(one.first < one.until for one in found)
        letters = [one.letter for one in found]
        assert len(set(letters)) < len(letters)
        assert sorted(set(letters)) == list(dict.fromkeys(letters))


@given(st.lists(st.integers(0, 30), min_size=8, max_size=8, unique=True), st.integers(0, 7))
def test_one_other_bar_hides_no_return(bars: list[int], other: int) -> None:
    """A section of eight bars that comes back with one bar changed, its first apart, is found."""
    changed = [*bars]
    if other:
        changed[other] = 99
    bridge = list(range(100, 108))
    assert [(0, 8), (8, 16), (16, 24)] == [one[:2] for one in sections_of_bars([*bars, *bridge, *changed])]


def test_a_pickup_belongs_to_the_first_section() -> None:
    """Bar 0 is no bar of the phrase; the first section starts with it all the same."""
    bars = "C | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6"
    found = found_sections(timeline_of(f"N.C. | {bars} | {bars}", "pickup: 1"))
    assert [(0, 9, "A"), (9, 17, "A")] == [tuple(one) for one in found]


def test_fuller_symbols_are_the_same_bars() -> None:
    """A section that comes back in fuller symbols comes back."""
    plain, full = "C6 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6", "Cmaj9 | Am9 | Dm9 | G13 | Em7 | A7b9 | Dm9 G9 | C6/9"
    found = sections_of(timeline_of(f"{plain} | {full}"))
    assert ["A", "A"] == [one.found for one in found]
    assert found[1].same_as is None


@pytest.mark.parametrize(
    ("again", "like", "differing"),
    [
        ("C6 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6", 0, ()),
        ("C6 | Am7 | Dm7 | G7 | Em7 | A7 | Fm7 | C6", 0, (15,)),
        ("C6 | Am7 | Dm7 | G7 | Em7 | A7 | Fm7 | Bb7", 0, (15, 16)),
        ("C6 | F7 | Dm7 | G7 | Em7 | Eb7 | Dm7 G7 | C6", 0, (10, 14)),
        ("F6 | Fm6 | C6 | A7 | D7 | % | G7 | %", None, ()),
    ],
)
def test_how_a_section_is_like_an_earlier_one(again: str, like: int | None, differing: tuple[int, ...]) -> None:
    """Sections of one name and length are compared bar by bar."""
    first = "C6 | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6"
    section = sections_of(timeline_of(f"[A]{first} [A]{again}"))[1]
    assert (like, differing) == (section.like, section.differing_bars)


def test_every_chord_stands_in_its_section() -> None:
    """Found sections give each chord its number by its bar, also where a chart plays its bars again by a sign."""
    bars = "C | Am7 | Dm7 | G7 | Em7 | A7 | Dm7 G7 | C6"
    analysis = analyze(unfold(read_chart(f"| {bars} |\n| {bars} fine D.C. al fine |\n", "signs")))
    numbers = section_numbers(analysis)
    for chord, number in zip(analysis.chords, numbers, strict=True):
        section = analysis.sections[number]
        assert section.from_.bar <= chord.span.bar < section.until.bar
    assert sorted(numbers) == list(numbers)


def test_written_names_stand(tmp_path: Path) -> None:
    """Where a chart names its sections nothing is found, whatever comes back."""
    analysis = reading_of("[Verse] C | Am7 | Dm7 | G7 | C | Am7 | Dm7 | G7 | C | Am7 | Dm7 | G7 | C | Am7 | Dm7 | C")
    assert [("Verse", None)] == [(one.name, one.found) for one in analysis.sections]
