"""Kinds and degrees of MusicXML 4.0: the table's own, those of composed qualities, and choosing them."""

from functools import cache

import pytest
from music21 import harmony

from tests.trainer.harmony.vocabulary import COMPOSED, USUAL_ROOTS
from trainer.harmony.quality import QUALITIES, Quality
from trainer.harmony.suffix import parse_quality
from trainer.harmony.symbol import parse_chord
from trainer.harmony.xml_kinds import KIND_TONES, kind_for, tones_of

MUSICXML_KINDS = frozenset(
    """major minor augmented diminished dominant major-seventh minor-seventh diminished-seventh
    augmented-seventh half-diminished major-minor major-sixth minor-sixth dominant-ninth major-ninth
    minor-ninth dominant-11th major-11th minor-11th dominant-13th major-13th minor-13th suspended-second
    suspended-fourth Neapolitan Italian French German pedal power Tristan other none""".split()
)
"""W3C Music Notation Community Group, MusicXML 4.0 (2021), data type kind-value; from memory."""

HEARD_ROOTS = ("C", "Eb", "F#")
"""Roots on which music21 builds composed qualities; the others follow by transposition."""


@cache
def sounding(root: str, quality: Quality) -> frozenset[int]:
    """What music21 sounds for a root with a quality's kind and degrees."""
    symbol = harmony.ChordSymbol(root=root.replace("b", "-"), kind=quality.xml_kind)
    for degree in quality.xml_degrees:
        change = harmony.ChordStepModification(degree.type, degree.value, degree.alter)
        symbol.addChordStepModification(change, updatePitches=False)
    symbol._updatePitches()
    return frozenset(pitch.pitchClass for pitch in symbol.pitches)


def test_there_are_spellings_enough() -> None:
    """The table reads at least 200 spellings, and no spelling belongs to two qualities."""
    listed = [text for quality in QUALITIES for text in (quality.spelling, *quality.other_spellings)]
    assert 200 <= len(listed)
    assert len(set(listed)) == len(listed)


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_each_row_is_musicxml(quality: Quality) -> None:
    """Each row's kind is one of MusicXML 4.0, its degrees are well formed, and both give its tones."""
    assert quality.xml_kind in MUSICXML_KINDS
    assert {degree.type for degree in quality.xml_degrees} <= {"add", "alter", "subtract"}
    assert all(degree.value in range(1, 14) for degree in quality.xml_degrees)
    assert quality.tones == tones_of(quality.xml_kind, quality.xml_degrees)


@pytest.mark.parametrize("suffix", COMPOSED)
def test_each_composed_spelling_sounds_as_music21_builds_it(suffix: str) -> None:
    """A combination without a row of its own gets a kind and degrees that music21 sounds alike."""
    quality = parse_quality(suffix)
    assert quality not in QUALITIES
    assert quality.xml_kind in MUSICXML_KINDS
    for root in HEARD_ROOTS:
        assert sounding(root, quality) == parse_chord(root + suffix).pitch_classes


@pytest.mark.parametrize("root", USUAL_ROOTS)
def test_each_kind_sounds_as_music21_builds_it_on_each_root(root: str) -> None:
    """On all 17 usual roots each kind alone sounds as music21 has it."""
    for kind, tones in KIND_TONES.items():
        quality = next(quality for quality in QUALITIES if quality.tones == tones)
        symbol = harmony.ChordSymbol(root=root.replace("b", "-"), kind=kind)
        ours = parse_chord(root + quality.spelling).pitch_classes
        assert {pitch.pitchClass for pitch in symbol.pitches} == ours


def test_a_kind_alone_needs_no_degrees() -> None:
    """Choosing a kind for a kind's own tones gives that kind, so that writing then reading is the identity."""
    for kind, tones in KIND_TONES.items():
        assert (kind, ()) == kind_for(tones)


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_a_chosen_kind_gives_back_the_tones(quality: Quality) -> None:
    """The kind and degrees chosen for any tones give those tones back."""
    assert quality.tones == tones_of(*kind_for(quality.tones))


def test_a_degree_that_is_not_there_is_refused() -> None:
    """Subtracting a seventh from a triad is refused."""
    sevenths = next(quality for quality in QUALITIES if quality.id == "7no3").xml_degrees
    with pytest.raises(ValueError, match="no degree 3 in power"):
        tones_of("power", sevenths)
