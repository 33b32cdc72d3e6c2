"""What the harmony tests draw from: usual roots, keys, chords, numerals, and notes of other libraries."""

from hypothesis import strategies as st

from trainer.harmony.interval import degree_interval
from trainer.harmony.key import Key
from trainer.harmony.numeral import PLAIN_DEGREES, Degree, Numeral
from trainer.harmony.pitch import NATURAL_PITCH_CLASSES, NoteName
from trainer.harmony.quality import QUALITIES
from trainer.harmony.suffix import parse_quality
from trainer.harmony.symbol import ChordSymbol

USUAL_ROOTS = "C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B".split()
"""Every black key by both of its names."""
MAJOR_TONICS = "C G D A E B F# C# F Bb Eb Ab Db Gb Cb".split()
"""The tonics of the fifteen major signatures."""

KEPT_DEGREES = (*PLAIN_DEGREES, Degree(5, -1))
"""Degrees that a chart's spelling decides for any chord."""
RISING_DEGREES = (Degree(1, 1), Degree(2, 1), Degree(5, 1), Degree(6, 1))
"""Degrees that only diminished chords keep, because they rise."""

COMPOSED = "7b5b9b13 maj7b9 m7b9b13 13#5#9 6/9b5 add9no5 9sus4no5 mMaj7b13 7b5#9add13 sus2add11".split()
"""Well-formed combinations that have no row of their own."""

names = st.builds(NoteName, st.sampled_from("CDEFGAB"), st.integers(-2, 2))
plain_names = st.builds(NoteName, st.sampled_from("CDEFGAB"), st.integers(-1, 1))
keys = st.builds(Key, plain_names, st.sampled_from(("major", "minor")))
qualities = st.one_of(st.sampled_from(QUALITIES), st.sampled_from(COMPOSED).map(parse_quality))
chords = st.builds(ChordSymbol, plain_names, qualities, st.one_of(st.none(), plain_names))
degrees = st.sampled_from(KEPT_DEGREES)
diminished = qualities.filter(lambda quality: (3, -1) in quality.tones and quality.fifth == "diminished")
basses = st.one_of(st.none(), degrees)
numerals = st.one_of(
    st.builds(Numeral, degrees, qualities, basses),
    st.builds(Numeral, st.sampled_from(RISING_DEGREES), diminished, basses),
)
intervals = st.one_of(
    st.builds(degree_interval, st.integers(1, 13), st.integers(-1, 1)),
    st.builds(lambda degree: -degree_interval(degree), st.integers(1, 13)),
)


def foreign_class(name: str) -> int:
    """The pitch class of another library's note name, with `#` sharps and `b` or `-` flats."""
    return (NATURAL_PITCH_CLASSES[name[0]] + name.count("#") - name.count("b") - name.count("-")) % 12
