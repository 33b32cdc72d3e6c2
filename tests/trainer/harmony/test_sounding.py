"""Names for what sounds, held against pychord's table of chords and against our own table of qualities."""

import pytest
from pychord import Chord, QualityManager

from trainer.harmony.quality import QUALITIES, Quality
from trainer.harmony.sounding import chords_sounding
from trainer.harmony.symbol import parse_chord

FOREIGN_TABLE = {
    quality: frozenset(step % 12 for step in Chord("C" + quality).components(visible=False))
    for quality in QualityManager().get_qualities()
}
ELSEWHERE = {"7b9b13": "pychord stacks a natural 11th into it, which a dominant with a third avoids"}
"""Chords that pychord makes of other tones, with the reason."""

SOUND_AS_ANOTHER = {
    "m#5": "the same tones as a major triad over its third",
    "maj11": "without its third it is a suspended major ninth",
    "11": "without its third it is a suspended ninth",
    "6/9sus4": "a rarer name than a suspended chord on another root",
    "m6add11": "a rarer name than a chord on another root",
    "7sus4#9": "the same tones as a minor eleventh",
}
"""Our own qualities whose played tones are better known by another name."""


@pytest.mark.parametrize("quality", sorted(FOREIGN_TABLE))
def test_chords_of_another_table_get_their_root(quality: str) -> None:
    """Each chord of three notes or more in root position is named from its root, with all that sounds in the name."""
    sounding = FOREIGN_TABLE[quality]
    best = chords_sounding(sounding, 0)[0]
    assert 0 == best.root
    if len(sounding) > 2 and quality not in ELSEWHERE:
        assert sounding <= set(best.quality.intervals)


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.id)
def test_what_players_play_gets_its_family(quality: Quality) -> None:
    """Each quality's played tones over its root are named with its third, seventh and sixth, but for those listed."""
    sounding = frozenset(parse_chord(f"C{quality.spelling}").pitch_classes & played(quality))
    best = chords_sounding(sounding | {0}, 0)[0]
    same = (0, quality.third, quality.seventh, quality.sixth) == (
        best.root,
        best.quality.third,
        best.quality.seventh,
        best.quality.sixth,
    )
    assert same == (quality.id not in SOUND_AS_ANOTHER)


def played(quality: Quality) -> frozenset[int]:
    """The played tones of a quality over C."""
    degrees = {1: 0, 2: 2, 3: 4, 4: 5, 5: 7, 6: 9, 7: 11, 9: 2, 11: 5, 13: 9}
    return frozenset((degrees[number] + step) % 12 for number, step in quality.played_tones)


@pytest.mark.parametrize(
    ("notes", "expected"),
    [
        ("D F A C E", "Dm9"), ("G F A B E", "G13"), ("G F B E Ab", "G13b9"), ("C E G A", "C6"), ("A C E G", "Am7"),
        ("E G C", "C/E"), ("G C E", "C/G"), ("Bb C E G", "C7/Bb"), ("B D F A", "Bm7b5"), ("C F G Bb", "C7sus4"),
        ("G F A C D", "G9sus4"), ("C E G D", "Cadd9"), ("C E G D A", "C6/9"), ("C G", "C5"), ("C E", "C"),
        ("C E Gb Bb", "C7b5"), ("G B D F C", "G11"), ("F A C E G", "Fmaj9"), ("D F A C", "Dm7"), ("C D F A", "Dm7/C"),
    ],
)  # fmt: skip
def test_the_lowest_note_decides_between_names(notes: str, expected: str) -> None:
    """What a player would call these notes over the first of them (common practice, no source)."""
    low, *_ = sounding = [parse_chord(note).root.pitch_class for note in notes.split()]
    best = chords_sounding(frozenset(sounding), low)[0]
    symbol = parse_chord(expected)
    assert (symbol.root.pitch_class, symbol.quality, symbol.bass_name.pitch_class) == (best.root, best.quality, low)


def test_a_lowest_voice_that_is_no_bass_says_little() -> None:
    """A minor seventh in any position is one where no bass plays; over a bass of its third it's a sixth chord."""
    sounding = frozenset({9, 0, 4, 7})
    lightly, firmly = chords_sounding(sounding, 4, firm=False)[0], chords_sounding(sounding, 0)[0]
    assert (9, "m7") == (lightly.root, lightly.quality.id)
    assert (0, "6") == (firmly.root, firmly.quality.id)


def test_shares_say_how_sure_a_name_is() -> None:
    """Shares fall from the first name on and leave room for others; symmetric chords are less sure than plain ones."""
    for sounding in (frozenset({0, 4, 7}), frozenset({0, 3, 6, 9}), frozenset({0, 1, 2})):
        shares = [chord.share for chord in chords_sounding(sounding, 0)]
        assert shares == sorted(shares, reverse=True)
        assert 0 < sum(shares) <= 1 + 1e-9
    plain, symmetric = (chords_sounding(frozenset(notes), 0)[0].share for notes in ({0, 4, 7}, {0, 3, 6, 9}))
    assert plain > 0.7 > symmetric


def test_nothing_has_no_name() -> None:
    """Silence is named nothing."""
    assert () == chords_sounding(frozenset(), 0)
