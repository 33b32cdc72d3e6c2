"""Textbook progressions read as the textbooks read them.

Written from memory of the jazz chapters of Open Music Theory (2nd ed.), Levine (The Jazz Theory Book),
Nettles & Graf (The Chord Scale Theory and Jazz Harmony), Aldwell & Schachter (Harmony and Voice
Leading) and Kostka & Payne (Tonal Harmony); what names none is common practice, no source.
"""

import pytest

from tests.trainer.reading.charting import reading_of, short

CASES = {
    "two-five-one in major (Open Music Theory)": ("Dm7 | G7 | Cmaj7 | %", "C:P D T"),
    "two-five-one in minor (Open Music Theory)": ("Dm7b5 | G7b9 | Cm6 | %", "c:P D T"),
    "two keys a minor third apart": (
        "Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Fm7 Bb7 | Ebmaj7 | % | Dm7 | G7 | Cmaj7 | %",
        "C:T T P D T Eb:P D T C:P D T",
    ),
    "the tonic turns minor and becomes two": (
        "Gmaj7 | % | Gm7 | C7 | Fmaj7 | % | Fm7 | Bb7 | Ebmaj7 | % | Am7b5 | D7b9 | Gmaj7 | %",
        "G:T F:P D T Eb:P D T G:P D T",
    ),
    "applied dominants around the key (Aldwell & Schachter)": (
        "C | A7 | Dm | B7 | Em | C7 | F | D7 | G7 | E7 | Am | Dm7 G7 | C | %",
        "C:T D/II P D/III T D/IV P D/V D D/VI T P D T",
    ),
    "extended dominants (Nettles & Graf)": (
        "Cmaj7 | % | E7 | % | A7 | % | D7 | % | G7 | % | Cmaj7 | %", "C:T D/VI D/II D/V D T",
    ),
    "two of five, then two (Levine)": ("Cmaj7 | % | D7 | % | Dm7 | G7 | Cmaj7 | %", "C:T D/V P D T"),
    "tritone substitute (Levine)": ("Dm7 | Db7 | Cmaj7 | %", "C:P D T"),
    "substitute of an applied dominant": ("Em7 | Eb7 | Dm7 | Db7 | Cmaj7 | %", "C:P/II D/II P D T"),
    "backdoor (Levine)": ("Cmaj7 | % | Fm7 | Bb7 | Cmaj7 | %", "C:T P L T"),
    "plagal": ("C | F | C | % | G7 | C | % | F | Fm | C | %", "C:T L T D T L L T"),
    "deceptive five to six (Kostka & Payne)": ("C | Dm7 | G7 | Am | Dm7 | G7 | C | %", "C:T P D T P D T"),
    "deceptive five to flat six": ("Cmaj7 | Dm7 | G7 | Abmaj7 | Dm7 G7 | Cmaj7 | %", "C:T P D P P D T"),
    "turnarounds (Levine)": (
        "Cmaj7 A7 | Dm7 G7 | Cmaj7 Am7 | Dm7 G7 | Em7 A7 | Dm7 G7 | C6 | %",
        "C:T D/II P D T T P D P/II D/II P D T",
    ),
    "turnaround by substitutes (Nettles & Graf)": (
        "Cmaj7 Eb7 | Ab7 Db7 | Cmaj7 | %", "C:T D/II D/V D T",
    ),
    "rising diminished (Levine)": (
        "Cmaj7 C#dim7 | Dm7 D#dim7 | Em7 A7 | Dm7 G7 | C6 | %", "C:T x P x P/II D/II P D T",
    ),
    "falling from the sharp four": ("F#m7b5 | Fm7 | Em7 | Ebdim7 | Dm7 | G7 | Cmaj7 | %", "C:P x T x P D T"),
    "common-tone diminished (Aldwell & Schachter)": ("C | Cdim7 | C | Dm7 G7 | C | %", "C:T c T P D T"),
    "minor with its relative major": (
        "Cm6 | Dm7b5 G7 | Cm6 | % | Fm7 | Bb7 | Ebmaj7 | % | Dm7b5 | G7b9 | Cm6 | %",
        "c:T P D T Eb:P D T c:P D T",
    ),
    "the falling tetrachord (Kostka & Payne)": ("Am | G | F | E7 | Am | Dm | E7 | Am", "a:T x P D T P D T"),
    "a line inside a minor chord": ("Am | AmMaj7 | Am7 | Am6 | Dm6 | E7 | Am | %", "a:T c c c P D T"),
    "Picardy third": ("Cm | Fm | G7 | Cm | Fm | G7 | C | %", "c:T P D T P D T"),
    "a blues": (
        "F7 | Bb7 | F7 | % | Bb7 | % | F7 | % | C7 | Bb7 | F7 | C7", "F:T L T L T D L T D",
    ),
    "a blues with two-fives": (
        "F7 | Bb7 | F7 | Cm7 F7 | Bb7 | % | F7 | Am7b5 D7 | Gm7 | C7 | F7 D7 | Gm7 C7",
        "F:T L T P/IV D/IV L T P/II D/II P D T D/II P D",
    ),
    "a minor blues": (
        "Cm7 | Fm7 | Cm7 | % | Fm7 | % | Cm7 | % | Ab7 | G7 | Cm7 | Dm7b5 G7", "c:T L T L T D/V D T P D",
    ),
    "two modal centers": (
        "[A] Dm7 | % | % | % [B] Ebm7 | % | % | % [C] Dm7 | % | % | %", "d:T eb:T d:T",
    ),
    "a cycle of major thirds": (
        "Bmaj7 | Bb7 | Ebmaj7 | D7 | Gmaj7 | F#7 | Bmaj7 | %", "B:T Eb:D T G:D T B:D T",
    ),
    "sus chords as dominants (Levine)": (
        "Dm7/G | Cmaj7 | F/G | Cmaj7 | Bb7sus4 | Ebmaj7 | % | G7sus4 | C6 | %", "C:D T D T Eb:D T C:D T"),
    "triads with a cadential six-four (Aldwell & Schachter)": ("C | F | C/G | G7 | C | %", "C:T P P D T"),
    "an unfinished two-five that slides": (
        "Cmaj7 | % | Ebm7 | Ab7 | Dm7 | G7 | Cmaj7 | %", "C:T Db:P D C:P D T",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_textbook_reading(name: str) -> None:
    """A textbook progression is read as the trade reads it."""
    bars, expected = CASES[name]
    assert expected == short(reading_of(bars))
