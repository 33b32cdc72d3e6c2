"""Shapes: which tones may sound, which must, and the stacks that textbooks show."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.voicing.passages import AIMS, aims, any_symbols, chords, plain_symbols, styles
from trainer.harmony.quality import QUALITIES, QUALITY, Quality, semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.shapes import (
    STYLES,
    TENSIONS,
    Aim,
    Stack,
    Style,
    Tone,
    allowed_tones,
    anatomy,
    family,
    offsets,
    rotations,
    stacks,
)
from trainer.voicing.styles import STYLE

ADDED: dict[tuple[str, Aim], set[Tone]] = {
    ("major", "major"): {(9, 0)},
    ("minor", "major"): {(9, 0)},
    ("dominant", "major"): {(9, 0), (13, 0)},
    ("dominant", "minor"): {(9, -1), (13, -1)},
    ("dominant", "substitute"): {(9, 0), (11, 1)},
}
"""Tensions that players add by themselves: common practice, no source."""


def classes(tones: set[Tone] | frozenset[Tone] | Stack) -> set[int]:
    """Half steps above the root within an octave."""
    return {semitones_of(tone) % 12 for tone in tones}


def sounding(symbol: ChordSymbol, stack: Stack, with_bass: bool) -> set[int]:
    """Half steps above the root of all that sounds."""
    bass = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12
    return classes(stack) | ({bass} if with_bass else set())


def test_each_row_of_tensions_stands_once_for_every_family_and_aim() -> None:
    """The table of tensions names each family with each aim that adds anything, once."""
    rows = [(row.family, row.aim) for row in TENSIONS]
    assert len(set(rows)) == len(rows)
    assert {(kind, aim) for kind in ("major", "minor", "dominant", "suspended") for aim in AIMS[:3]} == set(rows)


@pytest.mark.parametrize(("kind", "aim"), ADDED)
def test_tensions_go_by_function(kind: str, aim: Aim) -> None:
    """Natural 9 and 13 toward major, b9 and b13 toward minor, #11 on substitutes."""
    plain = {"major": "maj7", "minor": "m7", "dominant": "7"}[kind]
    assert ADDED[kind, aim] == allowed_tones(QUALITY[plain], aim) - set(QUALITY[plain].tones)


@given(any_symbols, styles, aims, st.booleans())
def test_only_chord_tones_and_allowed_tensions_sound(
    symbol: ChordSymbol, style: Style, aim: Aim | None, with_bass: bool
) -> None:
    """Every tone is the chord's own, a tension of its table row, or the bass the symbol names."""
    rows = [row for row in TENSIONS if row.family == family(symbol.quality) and aim in (row.aim, None)]
    takes = STYLE[style].tensions
    added = {
        tone for row in rows for tone in (row.for_root, row.for_fifth) if tone and takes in ("function", "fourths")
    }
    added |= {tone for row in rows for tone in row.in_fourths if takes == "fourths"}
    own = classes(set(symbol.quality.tones) | (added if aim != "plain" else set()))
    named = {(symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12}
    for stack in stacks(symbol, style, aim, with_bass):
        assert sounding(symbol, stack, with_bass) <= own | named
        assert classes(stack) <= classes(allowed_tones(symbol.quality, aim, style)) | named


@given(any_symbols, styles, aims, st.booleans())
def test_the_tones_that_tell_a_chord_sound(symbol: ChordSymbol, style: Style, aim: Aim | None, with_bass: bool) -> None:
    """The 3rd (or what is suspended) and the 7th (or 6th) sound, in the keys or in the bass."""
    parts = anatomy(symbol.quality)
    over_its_second = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12 == 2
    for stack in stacks(symbol, style, aim, with_bass):
        if style == "guide-tones" and over_its_second:
            continue
        heard = sounding(symbol, stack, with_bass)
        assert all(semitones_of(tone) % 12 in heard for tone in (parts.third, parts.seventh) if tone)


@given(plain_symbols, st.sampled_from(["close", "shells"]), st.booleans())
def test_the_root_sounds_outside_rootless_voicings(symbol: ChordSymbol, style: Style, with_bass: bool) -> None:
    """Close voicings and shells hold the root, in the keys or in the bass."""
    assert all(0 in sounding(symbol, stack, with_bass) for stack in stacks(symbol, style, None, with_bass))


@given(any_symbols, styles, aims, st.booleans())
def test_no_tone_is_doubled_in_the_keys(symbol: ChordSymbol, style: Style, aim: Aim | None, with_bass: bool) -> None:
    """Only two voices that are left alone are doubled at the octave, so that there are three."""
    for stack in stacks(symbol, style, aim, with_bass):
        doubled = len(stack) - len(classes(stack))
        assert doubled == 0 or (len(stack) == 3 and len(classes(stack)) == 2 and stack[0] == stack[2])
        assert len(stack) <= 6 if not with_bass else len(stack) <= 5


@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("text", ["G/B", "G7/B", "G7b9/B", "Bdim7", "C#dim7", "Bdim"])
def test_a_leading_tone_is_not_doubled(text: str, style: Style) -> None:
    """What the bass has of leading tones, the keys leave to it."""
    symbol = chords(text)[0]
    lead = {"B": 11, "C#": 1}[str(symbol.bass_name)]
    for stack in stacks(symbol, style, None, True):
        assert lead not in {(symbol.root.pitch_class + above) % 12 for above in classes(stack)}


@pytest.mark.parametrize(
    ("text", "aim", "expected"),
    [
        ("Dm7", None, {"3 5 7 9", "7 9 3 5"}),
        ("G7", "major", {"3 13 7 9", "7 9 3 13"}),
        ("Cmaj7", None, {"3 5 7 9", "7 9 3 5"}),
        ("C6", None, {"3 5 6 9", "6 9 3 5"}),
        ("Dm7b5", None, {"3 5 7 1", "7 1 3 5"}),
        ("G7", "minor", {"3 13 7 9", "7 9 3 13"}),
        ("Db7", "substitute", {"3 11 7 9", "7 9 3 11"}),
    ],
)
def test_rootless_forms_are_those_of_the_books(text: str, aim: Aim, expected: set[str]) -> None:
    """From the 3rd and from the 7th (Levine, The Jazz Piano Book, 1989, from memory)."""
    found = stacks(chords(text)[0], "rootless", aim)
    assert expected == {" ".join(str(degree) for degree, _ in stack) for stack in found}


@pytest.mark.parametrize("text", ["Dm7", "G7", "Cmaj7", "Am6", "C6", "G7sus4", "G13", "G7b9"])
def test_shells_are_root_with_third_and_seventh(text: str) -> None:
    """The root below, then 3rd and 7th in both orders (common practice, no source)."""
    symbol = chords(text)[0]
    parts = anatomy(symbol.quality)
    third, seventh = parts.third, parts.seventh
    assert {((1, 0), third, seventh), ((1, 0), seventh, third)} == set(stacks(symbol, "shells"))


@pytest.mark.parametrize("text", ["Dm7b5", "C7b5", "C+7", "Cmaj7#5"])
def test_shells_keep_an_altered_fifth(text: str) -> None:
    """A shell without its altered fifth would be another chord's."""
    symbol = chords(text)[0]
    fifth = next(tone for tone in symbol.quality.tones if tone[0] == 5)
    assert all(fifth in stack for stack in stacks(symbol, "shells"))


@pytest.mark.parametrize(
    ("text", "expected"), [("Dm7b9", "9"), ("G13", "13"), ("Cmaj7#11", "11"), ("G7#9", "9"), ("Cm11", "11")]
)
@pytest.mark.parametrize("style", ["close", "rootless"])
def test_written_tensions_sound(text: str, expected: str, style: Style) -> None:
    """A tension that the symbol names is played."""
    symbol = chords(text)[0]
    tone = next(tone for tone in symbol.quality.tones if str(tone[0]) == expected)
    assert all(tone in stack for stack in stacks(symbol, style))


@given(st.sampled_from(QUALITIES), aims)
def test_written_tensions_are_never_contradicted(quality: Quality, aim: Aim | None) -> None:
    """No tension is added beside a written one of its degree, no 13 or #11 beside an altered fifth."""
    added = allowed_tones(quality, aim) - set(quality.tones)
    written = {degree for degree, _ in quality.tones}
    assert not {degree for degree, _ in added} & written
    if {(5, 1), (5, -1)} & set(quality.tones):
        assert not {degree for degree, _ in added} & {11, 13}


@given(any_symbols, styles, aims, st.booleans())
def test_a_stack_rises_within_its_octaves(symbol: ChordSymbol, style: Style, aim: Aim | None, with_bass: bool) -> None:
    """Each tone lies above the one before, by an octave at most, on its own pitch class."""
    for stack in stacks(symbol, style, aim, with_bass):
        heights = offsets(stack)
        assert all(0 < high - low <= 12 for low, high in pairwise(heights))
        assert [semitones_of(tone) % 12 for tone in stack] == [height % 12 for height in heights]


def test_the_fifth_and_seventh_of_a_triad_over_its_second_are_heard_as_suspended() -> None:
    """F/G is a suspended G7: its guide tones are the 4th and 7th of G (common practice, no source)."""
    stack = stacks(chords("F/G")[0], "guide-tones")[0]
    assert {(5, 0), (1, 0)} == set(stack)


def test_close_stacks_are_the_inversions() -> None:
    """Four tones have four close positions, each tone lowest once."""
    found = rotations([(1, 0), (3, 0), (5, 0), (7, -1)])
    assert [(1, 0), (3, 0), (5, 0), (7, -1)] == [stack[0] for stack in found]
    assert all(offsets(stack)[-1] - offsets(stack)[0] < 12 for stack in found)


def test_a_bass_that_is_not_the_root_is_lowest_where_no_bass_plays() -> None:
    """C/E alone on the keys has E lowest, Dm7/G has G."""
    assert (3, 0) == stacks(chords("C/E")[0], "close", None, False)[0][0]
    assert (4, 0) == stacks(chords("Dm7/G")[0], "close", None, False)[0][0]
