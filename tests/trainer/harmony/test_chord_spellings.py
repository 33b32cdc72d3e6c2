"""Chord suffixes against MusicXML 4.0's kinds and against what other programs hear in them.

Sources: W3C, MusicXML 4.0 (2021), data type kind-value; music21, pychord and mir_eval as independent
readers (mir_eval reads the shorthand of Harte et al., ISMIR 2005).
"""

import pytest
from music21 import harmony
from pychord import Chord

from trainer.harmony.interval import between, transposed
from trainer.harmony.pitch import parse_note_name
from trainer.harmony.quality import QUALITIES, SPELLINGS, semitones_of
from trainer.harmony.symbol import parse_chord

ROOTS = ("C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B", "Cb")

XML_KINDS = frozenset(
    """
    major minor augmented diminished dominant major-seventh minor-seventh diminished-seventh
    augmented-seventh half-diminished major-minor major-sixth minor-sixth dominant-ninth major-ninth
    minor-ninth dominant-11th major-11th minor-11th dominant-13th major-13th minor-13th suspended-second
    suspended-fourth power
    """.split()
)
"""kind-value of MusicXML 4.0, without Neapolitan, Italian, French, German, pedal, Tristan, other and none."""

MUSIC21_DISAGREES = {
    **dict.fromkeys([text for text in SPELLINGS if text.startswith("-")], "it takes a minus after the root for a flat"),
    **dict.fromkeys(("13#11", "13#9", "13#9#11", "13b9", "13b9#11", "M13#11"), "it drops alterations after a 13"),
    "2": "it reads two notes, a player a suspended second",
    "4": "it reads two notes, a player a suspended fourth",
    "69": "it reads the kind `69` without the third and the fifth",
    "69#11": "it reads the kind `69` without the third and the fifth",
    "7b5#5": "it keeps one altered fifth of two",
}
"""Suffixes that music21 reads otherwise, with the reason; any other disagreement fails."""

PYCHORD_DISAGREES = {
    "2": "it keeps the third beside the second",
    "4": "it keeps the third beside the fourth",
    "6/9": "it takes the 9 for a bass",
    "m6/9": "it takes the 9 for a bass",
    "7b9b13": "it adds the eleventh of its stack",
}
"""Suffixes that pychord reads otherwise, with the reason."""


def music21_chord(root: str, kind: str, degrees: tuple[object, ...]) -> frozenset[int]:
    """The pitch classes of music21's ChordSymbol of a MusicXML kind with degrees."""
    symbol = harmony.ChordSymbol(root=root.replace("b", "-"), kind=kind)
    for degree in degrees:
        change = harmony.ChordStepModification(degree.type, degree.value, degree.alter)  # type: ignore[attr-defined]
        symbol.addChordStepModification(change, updatePitches=False)
    symbol._updatePitches()
    return frozenset(pitch.pitchClass for pitch in symbol.pitches)


def test_there_are_more_than_150_suffixes() -> None:
    """Players' spellings of chords are many: at least 150 distinct ones are read."""
    assert len(SPELLINGS) >= 150
    assert len({parse_chord("C" + text).quality.id for text in SPELLINGS}) >= 80


def test_every_suffix_is_read_on_every_root() -> None:
    """Each spelling on each root has that root and the same quality as on C."""
    for text in SPELLINGS:
        on_c = parse_chord("C" + text)
        for root in ROOTS:
            chord = parse_chord(root + text)
            assert parse_note_name(root) == chord.root, root + text
            assert on_c.quality == chord.quality, root + text


@pytest.mark.parametrize("root", ["C", "Eb", "F#", "Bb"])
def test_every_quality_sounds_as_its_musicxml_kind_does(root: str) -> None:
    """Each quality has a kind of MusicXML 4.0, and music21 hears the same notes in that kind and its degrees."""
    for quality in QUALITIES:
        assert quality.xml_kind in XML_KINDS, quality.id
        expected = music21_chord(root, quality.xml_kind, quality.xml_degrees)
        assert expected == parse_chord(root + quality.spelling).pitch_classes, (root, quality.id)


def test_other_roots_are_transpositions() -> None:
    """On every root a quality's tones lie as on C, spelled by letter."""
    for quality in QUALITIES:
        on_c = parse_chord("C" + quality.spelling)
        for root in ROOTS:
            chord = parse_chord(root + quality.spelling)
            up = between(parse_note_name("C"), parse_note_name(root))
            assert frozenset((pc + up.semitones) % 12 for pc in on_c.pitch_classes) == chord.pitch_classes
            for tone, moved in zip(on_c.tones, chord.tones, strict=True):
                letter = transposed(tone, up).letter
                assert letter == moved.letter or abs(transposed(tone, up).alteration) > 2, (root, quality.id)


def music21_hears(text: str) -> frozenset[int] | None:
    """What music21 hears in a symbol; None where it doesn't accept it."""
    try:
        return frozenset(pitch.pitchClass for pitch in harmony.ChordSymbol("C" + text).pitches)
    except Exception:
        return None


def pychord_hears(text: str) -> frozenset[int] | None:
    """What pychord hears in a symbol; None where it doesn't accept it."""
    try:
        return frozenset(parse_note_name(name).pitch_class for name in Chord("C" + text).components())
    except Exception:
        return None


@pytest.mark.parametrize(
    ("hears", "listed", "least"),
    [(music21_hears, MUSIC21_DISAGREES, 180), (pychord_hears, PYCHORD_DISAGREES, 80)],
)
def test_other_readers_agree_or_the_reason_is_listed(hears: object, listed: dict[str, str], least: int) -> None:
    """Where another program accepts a spelling it hears the same notes, listed reasons apart; these still hold."""
    assert callable(hears)
    accepted = agreed = 0
    surprising, mended = [], []
    for text in SPELLINGS:
        theirs = hears(text)
        if theirs is None:
            continue
        accepted += 1
        same = theirs == parse_chord("C" + text).pitch_classes
        agreed += same
        if not same and text not in listed:
            surprising.append(text)
        if same and text in listed:
            mended.append(text)
    assert ([], []) == (surprising, mended)
    assert accepted >= least


def test_harte_shorthand_that_is_also_a_suffix_means_the_same() -> None:
    """What mir_eval reads as Harte's shorthand has the same tones within the octave, which is all it keeps."""
    import mir_eval.chord

    # Suffixes with brackets are left out: in Harte's syntax these add tones, in a chart they alter the chord's own.

    compared = set()
    for text in SPELLINGS:
        if not text or "(" in text:
            continue
        try:
            _, bitmap, _ = mir_eval.chord.encode("C:" + text, reduce_extended_chords=False)
        except mir_eval.chord.InvalidChordException:
            continue
        compared.add(text)
        theirs = {n for n, on in enumerate(bitmap) if on > 0}
        quality = parse_chord("C" + text).quality
        mine = {semitones_of(tone) % 12 for tone in quality.tones if tone[0] <= 7 or text.endswith("6/9")}
        assert theirs == mine, text
    assert {"maj7", "min7", "7", "dim7", "sus4", "min6", "maj9", "11", "13"} <= compared
