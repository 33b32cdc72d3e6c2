"""Leading: the least motion, exactly; falling sevenths; registers and low-interval limits."""

import itertools
import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from tests.amounts import amount
from tests.trainer.voicing.passages import (
    COMMON,
    ROOTS,
    any_symbols,
    chords,
    passages,
    plain_passages,
    plain_symbols,
    styles,
    two_five_one,
)
from trainer.harmony.interval import Interval
from trainer.harmony.key import Mode
from trainer.harmony.pitch import NoteName
from trainer.harmony.quality import QUALITIES, QUALITY
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.aims import aims_of
from trainer.voicing.leading import (
    LOW_LIMITS,
    REGISTERS,
    Placement,
    lead_bass,
    motion,
    muddy,
    passage_cost,
    placements,
    voice,
)
from trainer.voicing.shapes import STYLES, Style, stacks
from trainer.voicing.styles import BASS_REGISTER, Register

HANDBOOK_LIMITS = {
    "m2": "E3", "M2": "Eb3", "m3": "C3", "M3": "Bb2", "P4": "Bb2", "A4": "B2", "P5": "Bb1", "m6": "F2",
    "M6": "F2", "m7": "F2", "M7": "F2", "m9": "E2", "M9": "Eb2", "m10": "C2", "M10": "Bb1",
}  # fmt: skip
"""Lowest lower note of each interval: Pease & Pullig, Modern Jazz Voicings, 2001, from memory."""

HALF_STEPS = {
    "m2": 1, "M2": 2, "m3": 3, "M3": 4, "P4": 5, "A4": 6, "P5": 7, "m6": 8, "M6": 9, "m7": 10, "M7": 11,
    "m9": 13, "M9": 14, "m10": 15, "M10": 16,
}  # fmt: skip

C1 = 24


def number(name: str) -> int:
    """The MIDI number of a name with its octave, counted out from C1."""
    letter = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[name[0]]
    return C1 + 12 * (int(name[-1]) - 1) + letter - name.count("b")


def keys_of(symbols: list[ChordSymbol], style: Style, with_bass: bool = True) -> list[tuple[int, ...]]:
    """MIDI numbers of the keys, chord by chord."""
    return [tuple(pitch.midi for pitch in voiced.keys) for voiced in voice(symbols, style, with_bass)]


def layers_of(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> list[tuple[Placement, ...]]:
    """All that `voice` may choose from, under its own bass."""
    basses = [pitch.midi for pitch in lead_bass(symbols)] if with_bass else [None] * len(symbols)
    return [
        placements(symbol, stacks(symbol, style, aim, with_bass), REGISTERS[style], bass)
        for symbol, aim, bass in zip(symbols, aims_of(symbols), basses, strict=True)
    ]


def test_low_interval_limits_are_the_handbooks() -> None:
    """The table holds the handbook's limit for every interval up to the major tenth but the octave."""
    assert {HALF_STEPS[name]: number(low) for name, low in HANDBOOK_LIMITS.items()} == dict(LOW_LIMITS)


@pytest.mark.parametrize(("low", "high", "expected"), [(48, 52, False), (45, 49, True), (36, 48, False)])
def test_muddy_is_below_the_limit(low: int, high: int, expected: bool) -> None:
    """A third on C3 is clear, one on A2 is not, an octave always is."""
    assert expected == muddy(low, high)


def test_the_two_five_one_of_the_books() -> None:
    """Dm9 F A C E, G13 F A B E, Cmaj9 E G B D (Levine, The Jazz Piano Book, 1989, from memory)."""
    voiced = voice(chords("Dm7 G7 Cmaj7"), "rootless", with_bass=False)
    assert ["F3 A3 C4 E4", "F3 A3 B3 E4", "E3 G3 B3 D4"] == [" ".join(map(str, one.keys)) for one in voiced]


def test_the_minor_two_five_one_of_the_books() -> None:
    """Dm7b5 F Ab C D, G7 F Ab B Eb, Cm6 Eb G A D: b9 and b13 resolve by half step (common practice)."""
    voiced = voice(chords("Dm7b5 G7 Cm6"), "rootless", with_bass=False)
    assert ["F Ab C D", "F Ab B Eb", "Eb G A D"] == [" ".join(str(pitch.name) for pitch in one.keys) for one in voiced]


@pytest.mark.parametrize("start_on", [3, 7])
def test_both_rootless_forms_may_begin(start_on: int) -> None:
    """The first chord stands on the wanted degree, and the second takes the other form."""
    first, second, third = voice(chords("Dm7 G7 Cmaj7"), "rootless", start_on=start_on)
    assert [start_on, 10 - start_on, start_on] == [one.stack[0][0] for one in (first, second, third)]


@given(st.lists(any_symbols, min_size=1, max_size=4), styles, st.booleans())
@settings(max_examples=60)
def test_the_passage_is_the_cheapest_of_all(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Trying every choice of placements finds none that costs less."""
    layers = layers_of(symbols, style, with_bass)
    found = [tuple(pitch.midi for pitch in voiced.keys) for voiced in voice(symbols, style, with_bass)]
    chosen = [
        min((one for one in layer if one.keys == keys), key=lambda one: one.register_cost)
        for layer, keys in zip(layers, found, strict=True)
    ]
    assert min(passage_cost(path) for path in itertools.product(*layers)) == passage_cost(chosen)


@given(st.lists(plain_symbols, min_size=2, max_size=9))
def test_the_bass_moves_least_of_all(symbols: list[ChordSymbol]) -> None:
    """No other choice of octaves in its register makes a shorter bass line."""
    line = [pitch.midi for pitch in lead_bass(symbols)]
    choices = [
        [midi for midi in range(BASS_REGISTER.low, BASS_REGISTER.high + 1) if (midi - found) % 12 == 0]
        for found in line
    ]
    lengths = (sum(abs(a - b) for a, b in pairwise(path)) for path in itertools.product(*choices))
    assert min(lengths) == sum(abs(a - b) for a, b in pairwise(line))


@given(st.lists(any_symbols, min_size=1, max_size=9))
def test_the_bass_plays_what_is_written(symbols: list[ChordSymbol]) -> None:
    """The bass has the root or the written bass, as it is spelled, in its register."""
    line = lead_bass(symbols)
    assert [symbol.bass_name for symbol in symbols] == [pitch.name for pitch in line]
    assert all(BASS_REGISTER.low <= pitch.midi <= BASS_REGISTER.high for pitch in line)


sets_of_voices = st.lists(st.integers(45, 75), min_size=1, max_size=5, unique=True).map(
    lambda keys: tuple(sorted(keys))
)


@given(sets_of_voices, sets_of_voices)
def test_motion_is_the_least_assignment_of_voices(before: tuple[int, ...], after: tuple[int, ...]) -> None:
    """With equal voices it is scipy's least assignment, otherwise the least way to part or meet them all."""
    if len(before) == len(after):
        distances = [[abs(one - other) for other in after] for one in before]
        rows, columns = linear_sum_assignment(distances)
        expected = sum(distances[row][column] for row, column in zip(rows, columns, strict=True))
    else:
        few, many = sorted((before, after), key=len)
        expected = min(
            sum(abs(voice - few[place]) for voice, place in zip(many, places, strict=True))
            for places in itertools.product(range(len(few)), repeat=len(many))
            if set(places) == set(range(len(few)))
        )
    assert expected == motion(before, after) == motion(after, before)


@pytest.mark.parametrize("with_bass", [True, False])
@pytest.mark.parametrize("style", STYLES)
@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("tonic", ROOTS, ids=str)
def test_the_seventh_falls_to_the_third(tonic: NoteName, mode: Mode, style: Style, with_bass: bool) -> None:
    """In the ii-V-I of every key each 7th steps down to the 3rd of the next chord."""
    voiced = voice(two_five_one(tonic, mode), style, with_bass)
    for before, after in pairwise(voiced):
        seventh = next(key.midi for key, tone in zip(before.keys, before.stack, strict=True) if tone == (7, -1))
        third = next(key.midi for key, tone in zip(after.keys, after.stack, strict=True) if tone[0] == 3)
        assert 1 <= seventh - third <= 2


@given(passages, styles, st.booleans())
def test_voices_stay_in_their_register(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Keys lie in the style's register, rising, and above the bass."""
    for voiced in voice(symbols, style, with_bass):
        keys = [pitch.midi for pitch in voiced.keys]
        assert sorted(set(keys)) == keys
        assert REGISTERS[style].low <= keys[0]
        assert keys[-1] <= REGISTERS[style].high
        assert voiced.bass is None or voiced.bass.midi < keys[0]
        assert with_bass == (voiced.bass is not None)


@pytest.mark.parametrize("style", STYLES)
def test_every_quality_has_its_place_on_every_root_and_bass(style: Style) -> None:
    """The registers hold a clear placement of all qualities over all basses without being opened."""
    register = REGISTERS[style]
    for quality, root in itertools.product(QUALITIES[:: amount(1, 3)], ROOTS):
        for bass in (None, *ROOTS):
            symbol = ChordSymbol(root, quality, bass)
            name = symbol.bass_name.pitch_class
            for midi in (one for one in range(BASS_REGISTER.low, BASS_REGISTER.high + 1) if one % 12 == name):
                found = placements(symbol, stacks(symbol, style, None, True), register, midi)
                assert all(one.keys[-1] <= register.high for one in found), (symbol.text, midi)


@given(passages, styles, st.booleans())
def test_nothing_is_muddy(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """No two notes make an interval below its low-interval limit."""
    for voiced in voice(symbols, style, with_bass):
        for low, high in itertools.combinations(voiced.midi, 2):
            assert low >= LOW_LIMITS.get(high - low, 0)


@given(passages, styles, st.booleans())
def test_neighbours_are_an_octave_apart_at_most(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Between two keys there is never more than an octave."""
    for voiced in voice(symbols, style, with_bass):
        assert all(after.midi - before.midi <= 12 for before, after in pairwise(voiced.keys))


@given(passages, styles, st.booleans())
def test_pitches_are_spelled_from_the_root(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Each key is named by its degree: the letters between root and tone agree with the degree's number."""
    letters = "CDEFGAB"
    for voiced in voice(symbols, style, with_bass):
        for pitch, (degree, _) in zip(voiced.keys, voiced.stack, strict=True):
            up = letters.index(pitch.letter) - letters.index(voiced.symbol.root.letter)
            assert (degree - 1) % 7 == up % 7


@pytest.mark.parametrize("style", STYLES)
def test_leading_moves_less_than_root_position(style: Style, rng: random.Random) -> None:
    """Over two hundred random passages a change of chord moves the voices less than root positions would."""
    led, blocks = 0, 0
    for _ in range(200):
        symbols = [ChordSymbol(rng.choice(ROOTS), rng.choice(COMMON)) for _ in range(9)]
        led += sum(motion(before, after) for before, after in pairwise(keys_of(symbols, style, False)))
        fixed = []
        for symbol in symbols:
            stack = stacks(symbol, style, None, False)[0]
            lowest = placements(symbol, [stack], Register(48, 84, 48), None)
            fixed.append(min(one.keys for one in lowest))
        blocks += sum(motion(before, after) for before, after in pairwise(fixed))
    assert led < 0.8 * blocks


@pytest.mark.parametrize("root", ROOTS, ids=str)
def test_no_half_step_is_on_top(root: NoteName) -> None:
    """A major 7th alone doesn't put its root right above its 7th in the highest voices."""
    for style in ("close", "rootless"):
        (keys,) = keys_of([ChordSymbol(root, QUALITY["maj7"])], style, False)
        assert keys[-1] - keys[-2] > 1


@given(plain_passages, styles)
def test_keys_that_reach_low_stay_above_the_bass(symbols: list[ChordSymbol], style: Style) -> None:
    """In a register that overlaps the bass's no key lies at or below the bass."""
    for voiced in voice(symbols, style, register=Register(30, 72, 45)):
        assert voiced.bass is not None
        assert voiced.bass.midi < voiced.keys[0].midi


@given(plain_passages, styles, st.booleans(), st.integers(1, 11))
def test_transposing_transposes_what_sounds(symbols: list[ChordSymbol], style: Style, with_bass: bool, up: int) -> None:
    """In another key each chord has the same tones, and moved with its register the same voicing.

    Fourths are chosen among sets of tones, by what the register holds.
    """
    by = Interval(0, up)
    moved = [symbol.transposed(by) for symbol in symbols]
    for one, other in zip(voice(symbols, style, with_bass), voice(moved, style, with_bass), strict=True):
        here, there = {(midi + up) % 12 for midi in one.midi}, {midi % 12 for midi in other.midi}
        assert here == there or style == "quartal"
    # from E3 on every interval is clear, so that the limits cut nothing off
    register = Register(52, 84, 62)
    higher = Register(52 + up, 84 + up, 62 + up)
    there = voice(moved, style, False, register=higher)
    here = voice(symbols, style, False, register=register)
    assert [[midi + up for midi in one.midi] for one in here] == [list(one.midi) for one in there]


@given(passages, styles, st.booleans())
@settings(max_examples=30)
def test_the_same_passage_is_voiced_the_same(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> None:
    """Voicing is a function of its arguments."""
    assert voice(symbols, style, with_bass) == voice(tuple(symbols), style, with_bass)


def test_no_chords_make_no_voicing() -> None:
    """An empty passage is voiced as nothing."""
    assert () == voice([], "close")
