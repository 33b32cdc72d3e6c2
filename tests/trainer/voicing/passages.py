"""Passages to voice: strategies over symbols, and the ii-V-I of every key."""

from hypothesis import strategies as st

from trainer.harmony.key import Mode
from trainer.harmony.pitch import NoteName, simplest_name
from trainer.harmony.quality import QUALITIES, QUALITY
from trainer.harmony.symbol import ChordSymbol, parse_chord
from trainer.voicing.shapes import STYLES, Aim

ROOTS = [simplest_name(pitch_class, prefer_flats=True) for pitch_class in range(12)]
AIMS: list[Aim | None] = ["major", "minor", "substitute", "plain", None]
COMMON = [
    QUALITY[name]
    for name in (
        "maj",
        "m",
        "6",
        "m6",
        "maj7",
        "m7",
        "7",
        "m7b5",
        "dim7",
        "7sus4",
        "7b9",
        "mMaj7",
        "9",
        "7alt",
    )
]

roots = st.sampled_from(ROOTS)
styles = st.sampled_from(STYLES)
aims = st.sampled_from(AIMS)
plain_symbols = st.builds(ChordSymbol, roots, st.sampled_from(COMMON))
any_symbols = st.builds(ChordSymbol, roots, st.sampled_from(QUALITIES), st.none() | roots)
passages = st.lists(any_symbols, min_size=1, max_size=12)
plain_passages = st.lists(plain_symbols, min_size=1, max_size=12)


def chords(text: str) -> list[ChordSymbol]:
    """The chords of a line of symbols."""
    return [parse_chord(word) for word in text.split()]


def two_five_one(tonic: NoteName, mode: Mode) -> list[ChordSymbol]:
    """ii-V-I on a tonic, spelled by pitch class."""
    qualities = ("m7", "7", "maj7") if mode == "major" else ("m7b5", "7b9", "m6")
    places = (tonic.pitch_class + 2, tonic.pitch_class + 7, tonic.pitch_class)
    return [
        ChordSymbol(simplest_name(place, prefer_flats=True), QUALITY[quality])
        for place, quality in zip(places, qualities, strict=True)
    ]
