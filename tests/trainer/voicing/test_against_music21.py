"""What sounds, held against music21's chord symbols (music21, an independent library of musicology)."""

import pytest

from tests.trainer.voicing.passages import chords
from trainer.voicing.leading import voice

harmony = pytest.importorskip("music21.harmony")

FIGURES = {
    "C": "C", "Fm": "Fm", "Bb7": "B-7", "Ebmaj7": "E-maj7", "F#m7": "F#m7", "Bm7b5": "Bm7b5",
    "G#dim7": "G#o7", "Ab6": "A-6", "Cm6": "Cm6", "Db9": "D-9", "CmMaj7": "CmM7", "Eaug": "E+",
    "D7sus4": "D7sus4", "C/E": "C/E", "Dm7/G": "Dm7/G", "Ddim": "Ddim",
}  # fmt: skip
"""Our spelling, and music21's for the same chord."""


@pytest.mark.parametrize("text", FIGURES)
def test_a_close_voicing_over_its_bass_has_the_chords_tones(text: str) -> None:
    """Keys and bass together sound the pitch classes that music21 has for the symbol."""
    (voiced,) = voice(chords(text), "close")
    expected = {pitch.pitchClass for pitch in harmony.ChordSymbol(FIGURES[text]).pitches}
    assert expected == {midi % 12 for midi in voiced.midi}


@pytest.mark.parametrize("text", ["Ebmaj7", "F#m7", "Bb7", "Cm6", "CmMaj7", "Ab6"])
def test_a_shell_and_its_guide_tones_are_among_the_chords_tones(text: str) -> None:
    """Root, third and seventh are music21's chord steps 1, 3 and 7 (or the 6th above its root)."""
    symbol = harmony.ChordSymbol(FIGURES[text])
    steps = {symbol.root().pitchClass, symbol.third.pitchClass}
    seventh = symbol.seventh.pitchClass if symbol.seventh else (symbol.root().pitchClass + 9) % 12
    (shell,) = voice(chords(text), "shells")
    (guides,) = voice(chords(text), "guide-tones", with_bass=False)
    assert steps | {seventh} == {midi % 12 for midi in shell.midi}
    assert {symbol.third.pitchClass, seventh} == {midi % 12 for midi in guides.midi}
