"""Styles: what the table says of each holds for what is played; open positions are what players call them."""

from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trainer.voicing.passages import AIMS, COMMON, ROOTS, any_symbols, chords, passages, styles
from trainer.harmony.quality import QUALITIES, QUALITY
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import placements, voice
from trainer.voicing.open_shapes import CLOSER, WIDE, gaps_of
from trainer.voicing.shapes import Aim, Stack, offsets, stacks
from trainer.voicing.styles import STYLE, STYLE_ROWS, STYLES, Style

OPEN: tuple[Style, ...] = ("drop-2", "spread", "quartal")


def degrees(stack: Stack) -> str:
    """A stack's degrees from the lowest up."""
    return " ".join(str(degree) for degree, _ in stack)


def test_the_table_has_every_style_once() -> None:
    """Each style that may be asked for has its row, in the order of the names."""
    assert get_args(Style) == tuple(row.style for row in STYLE_ROWS) == STYLES
    for row in STYLE_ROWS:
        assert row.register.low < row.register.middle < row.register.high
        assert row.span <= row.register.high - row.register.low


@given(passages, styles, st.booleans())
def test_range_spacing_and_size_are_the_tables(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Keys lie in the style's range, no gap, span or number of them is beyond its row."""
    row = STYLE[style]
    for voiced in voice(symbols, style, with_bass):
        keys = [pitch.midi for pitch in voiced.keys]
        assert row.register.low <= keys[0] < keys[-1] <= row.register.high
        assert 2 <= len(keys) <= row.most + (not with_bass)
        assert all(0 < after - before <= row.widest for before, after in pairwise(keys))
        assert keys[-1] - keys[0] <= row.span


@pytest.mark.parametrize("style", OPEN)
def test_open_registers_hold_every_chord_without_a_bass(style: Style) -> None:
    """All qualities on all roots have a place in the range when the keys play alone."""
    for quality in QUALITIES:
        for root in ROOTS:
            symbol = ChordSymbol(root, quality)
            found = placements(symbol, stacks(symbol, style, None, False), STYLE[style].register)
            assert all(one.keys[-1] <= STYLE[style].register.high for one in found), symbol.text


@pytest.mark.parametrize(
    ("style", "text", "aim", "expected"),
    [
        ("drop-2", "Dm7", None, {"3 7 9 5", "5 9 3 7", "7 3 5 9"}),
        ("drop-2", "G7", "major", {"3 7 9 13", "7 3 13 9", "9 13 7 3"}),
        ("drop-2", "C", None, {"3 1 5", "5 3 1", "1 5 3"}),
        ("spread", "Dm7", None, {"7 3 5 9", "3 7 9 5"}),
        ("spread", "G7", "major", {"7 3 13 9", "3 7 9 13"}),
        ("quartal", "Dm7", None, {"1 11 7 3 5", "1 11 7 3", "11 7 3 5"}),
        ("quartal", "G7sus4", "major", {"5 1 4 7", "9 5 1 4 7", "1 4 7 9 5", "1 4 7 9", "4 7 9 5"}),
        ("quartal", "Cmaj7", None, {"7 3 13 9", "7 3 13 9 5", "3 13 9 5 7"}),
        ("quartal", "C6", None, {"3 6 9 5", "3 6 9 5 1"}),
    ],
)
def test_open_positions_are_those_that_players_know(style: Style, text: str, aim: Aim, expected: set[str]) -> None:
    """Drop-2, spread and fourths over a bass, from the lowest up (common practice, no source)."""
    assert expected == {degrees(stack) for stack in stacks(chords(text)[0], style, aim)}


@pytest.mark.parametrize("aim", AIMS)
@pytest.mark.parametrize("name", ["maj7", "m7", "7", "m7b5", "dim7", "6", "m6", "9", "7b9", "m9"])
def test_spread_is_wide_below_and_closer_above(name: str, aim: Aim | None) -> None:
    """Its two lowest keys are the guide tones, a fourth to a 7th apart, all above them a fifth at most."""
    found = stacks(ChordSymbol(ROOTS[0], QUALITY[name]), "spread", aim)
    wide = [
        stack
        for stack in found
        if {stack[0][0], stack[1][0]} <= {3, 6, 7}
        and gaps_of(stack)[0] in WIDE
        and all(gap in CLOSER for gap in gaps_of(stack)[1:])
    ]
    assert wide
    assert len(wide) > 1 or set(found) > set(wide)


@pytest.mark.parametrize("name", ["m7", "m11", "7sus4", "9sus4", "maj7", "6", "6/9", "7", "13", "m6"])
def test_fourths_are_fourths(name: str) -> None:
    """Neighbours are a fourth or a tritone apart, but for one third at most."""
    for stack in stacks(ChordSymbol(ROOTS[0], QUALITY[name]), "quartal", "major"):
        gaps = gaps_of(stack)
        assert set(gaps) <= {3, 4, 5, 6}
        assert sum(gap < 5 for gap in gaps) <= 1


@pytest.mark.parametrize("style", OPEN)
@pytest.mark.parametrize("aim", AIMS)
def test_no_minor_ninth_in_open_positions(style: Style, aim: Aim | None) -> None:
    """Over their roots common chords have no two keys a minor ninth apart (common practice, no source)."""
    for quality in COMMON:
        for stack in stacks(ChordSymbol(ROOTS[0], quality), style, aim):
            heights = offsets(stack)
            assert 13 not in {high - low for low in heights for high in heights}, (quality.id, stack)


@given(any_symbols, st.sampled_from(OPEN), st.sampled_from(AIMS), st.booleans())
def test_a_written_tension_that_is_altered_sounds(
    symbol: ChordSymbol, style: Style, aim: Aim | None, with_bass: bool
) -> None:
    """A b9 or #9 that the symbol names is played in open positions too, where it is the only ninth."""
    nines = [tone for tone in symbol.quality.tones if tone[0] == 9]
    plain = symbol.bass is None and len(nines) == 1 and nines[0][1] and len(symbol.quality.tones) <= 5
    for stack in stacks(symbol, style, aim, with_bass):
        assert not plain or nines[0] in stack
