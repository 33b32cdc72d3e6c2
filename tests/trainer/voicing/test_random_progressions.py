"""A thousand random progressions in all styles: what sounds is the chord, and no rule is broken.

Roots fall by fifths, half steps or anywhere, qualities are all of the table, functions all that a
dominant may have, basses are roots and others. music21 (an independent library of musicology) says
what a chord of each kind holds.
"""

import random
from collections.abc import Iterator
from functools import cache
from itertools import combinations, pairwise

import pytest

from tests.trainer.reading.telling import tell
from tests.trainer.voicing.passages import AIMS, COMMON, ROOTS
from trainer.harmony.quality import QUALITIES, QUALITY, Quality, semitones_of
from trainer.harmony.symbol import ChordSymbol
from trainer.voicing.leading import LOW_LIMITS, VoicedChord, motion, placements, voice
from trainer.voicing.shapes import STYLES, Aim, Style, allowed_tones, stacks
from trainer.voicing.styles import STYLE, Register

harmony = pytest.importorskip("music21.harmony")

LENGTH = 8
FALLS = (7, 7, 7, 1, 2, 0)
"""How far roots fall in half steps, oftener by a fifth; else they go anywhere."""

MOST_OF_ROOT_POSITION: dict[Style, float] = {
    "close": 0.33, "shells": 0.6, "guide-tones": 0.42, "rootless": 0.38, "drop-2": 0.44, "spread": 0.5, "quartal": 0.48,
}  # fmt: skip
"""How much of the way that root positions would go each style's voices go at most; reached is some 0.06 less."""

Passage = tuple[list[ChordSymbol], list[Aim | None], bool]


def progressions(rng: random.Random, count: int) -> Iterator[Passage]:
    """Random progressions with their functions, and whether a bass plays."""
    for _ in range(count):
        symbols, root = [], rng.randrange(12)
        for _ in range(LENGTH):
            quality = rng.choice(QUALITIES if rng.random() < 0.6 else COMMON)
            bass = rng.choice(ROOTS) if rng.random() < 0.15 else None
            symbols.append(ChordSymbol(ROOTS[root], quality, bass))
            root = (root - rng.choice(FALLS)) % 12 if rng.random() < 0.7 else rng.randrange(12)
        yield symbols, [rng.choice(AIMS) for _ in symbols], rng.random() < 0.7


@cache
def music21_steps(quality: Quality) -> frozenset[int]:
    """What music21 has in a chord of this kind with these degrees, in half steps above the root."""
    symbol = harmony.ChordSymbol(root="C", kind=quality.xml_kind)
    for degree in quality.xml_degrees:
        change = harmony.ChordStepModification(degree.type, degree.value, degree.alter)
        symbol.addChordStepModification(change, updatePitches=False)
    symbol._updatePitches()
    return frozenset(pitch.pitchClass for pitch in symbol.pitches)


def guide_steps(quality: Quality) -> set[int]:
    """The third, or the fourth or second in its place; the seventh, or the sixth."""
    third = next(([tone for tone in quality.played_tones if tone[0] == degree] for degree in (3, 4, 11, 2)
                  if any(tone[0] == degree for tone in quality.played_tones)), [])  # fmt: skip
    seventh = [tone for tone in quality.tones if tone[0] == 7]
    sixth = [] if seventh else [tone for tone in quality.tones if tone == (6, 0)]
    return {semitones_of(tone) % 12 for tone in third[:1] + seventh + sixth}


def leading_steps(quality: Quality) -> set[int]:
    """Tones that are not doubled: the third of a dominant, the root of a diminished chord."""
    third = {4} if quality.dominant and quality.third == "major" else set()
    lone = quality.third == "minor" and quality.fifth == "diminished" and quality.seventh != "minor"
    return third | ({0} if lone else set())


def check_chord(one: VoicedChord, aim: Aim | None, style: Style) -> None:
    """What sounds of one chord, and how it lies."""
    symbol, quality, row = one.symbol, one.symbol.quality, STYLE[style]
    keys = [pitch.midi for pitch in one.keys]
    bass_step = (symbol.bass_name.pitch_class - symbol.root.pitch_class) % 12
    steps = [(midi - symbol.root.pitch_class) % 12 for midi in keys]
    heard = set(steps) | ({bass_step} if one.bass is not None else set())
    # the chord's tones, the tensions of its function, the bass that the symbol names
    tensions = {semitones_of(tone) % 12 for tone in allowed_tones(quality, aim, style)}
    assert heard <= tensions | {bass_step}, (symbol.text, style, aim)
    over_second = style == "guide-tones" and bass_step == 2
    if not over_second:
        assert guide_steps(quality) <= heard, (symbol.text, style, aim)
    # music21's chord, the root added below
    own = music21_steps(quality)
    added = tensions - {semitones_of(tone) % 12 for tone in quality.tones}
    assert (heard | {0}) - added - {bass_step} <= own, (symbol.text, style, aim)
    assert guide_steps(quality) <= own
    if style == "close" and symbol.bass is None and len(quality.tones) <= 5:
        assert own - {7} <= heard | {0}, (symbol.text, style)
    # where it lies
    assert row.register.low <= keys[0]
    assert keys[-1] <= row.register.high
    assert len(keys) <= row.most + (one.bass is None)
    assert all(0 < after - before <= row.widest for before, after in pairwise(keys))
    assert keys[-1] - keys[0] <= row.span
    assert all(low >= LOW_LIMITS.get(high - low, 0) for low, high in combinations(one.midi, 2))
    # leading tones once
    sounding = [(midi - symbol.root.pitch_class) % 12 for midi in one.midi]
    assert all(sounding.count(step) <= 1 for step in leading_steps(quality)), (symbol.text, style)


def root_positions(symbols: list[ChordSymbol], style: Style, with_bass: bool) -> list[tuple[int, ...]]:
    """The first stack of each chord at its lowest place from C3 on."""
    return [
        min(
            one.keys for one in placements(symbol, [stacks(symbol, style, "plain", with_bass)[0]], Register(48, 90, 48))
        )
        for symbol in symbols
    ]


def check_all(rng: random.Random, count: int, capsys: pytest.CaptureFixture[str]) -> None:
    """Check a number of progressions in every style, and tell how far voices move."""
    moved: dict[Style, list[int]] = {style: [0, 0, 0] for style in STYLES}
    for symbols, aims, with_bass in progressions(rng, count):
        for style in STYLES:
            voiced = voice(symbols, style, with_bass, aims)
            for one, aim in zip(voiced, aims, strict=True):
                check_chord(one, aim, style)
            keys = [tuple(pitch.midi for pitch in one.keys) for one in voiced]
            fixed = root_positions(symbols, style, with_bass)
            row = moved[style]
            row[0] += sum(motion(before, after) for before, after in pairwise(keys))
            row[1] += sum(motion(before, after) for before, after in pairwise(fixed))
            row[2] += len(symbols) - 1
    rows = (f"  {style:12} {led / n:5.2f} ({plain / n:5.2f})" for style, (led, plain, n) in moved.items())
    tell(capsys, f"half steps that all voices move in a chord change, {count} progressions (root position):", *rows)
    for style, (led, plain, _) in moved.items():
        assert led < MOST_OF_ROOT_POSITION[style] * plain, style


def test_random_progressions_in_every_style(rng: random.Random, capsys: pytest.CaptureFixture[str]) -> None:
    """Two hundred progressions in each style keep every rule, and move less than root positions."""
    check_all(rng, 200, capsys)


@pytest.mark.long
def test_a_thousand_random_progressions_in_every_style(capsys: pytest.CaptureFixture[str]) -> None:
    """The same of a thousand."""
    check_all(random.Random(2026), 1000, capsys)


def test_every_quality_is_asked() -> None:
    """A thousand progressions have every quality with every function."""
    asked = {
        (symbol.quality.id, aim)
        for symbols, aims, _ in progressions(random.Random(2026), 1000)
        for symbol, aim in zip(symbols, aims, strict=True)
    }
    assert len(QUALITY) * len(AIMS) == len(asked)
