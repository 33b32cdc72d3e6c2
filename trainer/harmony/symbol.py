"""Chord symbols: a spelled root, a quality, and a bass where it isn't the root.

A root transposed beyond a double flat or double sharp is respelled with the fewest accidentals;
everything else keeps its spelling. Tones are spelled from the root by letters, so Db7 is Db F Ab Cb;
they may need a triple accidental over a root that has a double one.
"""

from functools import lru_cache

from trainer.harmony.interval import Interval, degree_interval, practical, readable, transposed
from trainer.harmony.pitch import NATURAL_PITCH_CLASSES, NoteName, read_letter_and_signs
from trainer.harmony.quality import Quality
from trainer.harmony.suffix import ChordError, parse_quality
from trainer.records import dataclass

__all__ = ["ChordError", "ChordSymbol", "parse_chord"]


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord as a chart names it."""

    root: NoteName
    quality: Quality
    bass: NoteName | None = None
    """None is the root."""

    def __post_init__(self) -> None:
        if self.bass == self.root:
            object.__setattr__(self, "bass", None)

    @property
    def text(self) -> str:
        """The symbol in house spelling: `Ebmaj7/G`."""
        symbol = f"{self.root}{self.quality.spelling}"
        return symbol if self.bass is None else f"{symbol}/{self.bass}"

    @property
    def bass_name(self) -> NoteName:
        """The lowest note."""
        return self.root if self.bass is None else self.bass

    @property
    def tones(self) -> tuple[NoteName, ...]:
        """The chord's tones spelled from its root, in order of degree, without a foreign bass."""
        return tuple(transposed(self.root, degree_interval(*tone)) for tone in self.quality.tones)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """What sounds, 0 to 11, the bass included."""
        root = self.root.pitch_class
        sounding = {(root + semitones) % 12 for semitones in self.quality.intervals}
        return frozenset(sounding | {self.bass_name.pitch_class})

    def transposed(self, by: Interval) -> "ChordSymbol":
        """The chord an interval away, in the interval's own spelling."""
        bass = None if self.bass is None else readable(transposed(self.bass, by))
        return ChordSymbol(readable(transposed(self.root, by)), self.quality, bass)

    def practical(self) -> "ChordSymbol":
        """The chord with double flats and double sharps of root and bass respelled: Ebb7 becomes D7."""
        bass = None if self.bass is None else practical(self.bass)
        return ChordSymbol(practical(self.root), self.quality, bass)

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=8192)
def parse_chord(text: str) -> ChordSymbol:
    """Read a chord symbol in any spelling that players write. Raises ChordError."""
    read = read_letter_and_signs(text)
    if read is None:
        raise ChordError(text, 1, repr(text[0]) if text else "nothing", "a root: a letter from A to G")
    root, start = read
    slash = _bass_slash(text, start)
    if slash is None:
        return ChordSymbol(root, parse_quality(text[start:], start, text))
    return ChordSymbol(root, parse_quality(text[start:slash], start, text), _read_bass(text, slash + 1))


def _bass_slash(text: str, start: int) -> int | None:
    """Where the slash before the bass stands: the first one outside brackets that isn't that of 6/9."""
    depth = 0
    for index in range(start, len(text)):
        depth += {"(": 1, "[": 1, ")": -1, "]": -1}.get(text[index], 0)
        if text[index] == "/" and not depth and not text[index + 1 : index + 2].isdigit():
            return index
    return None


def _read_bass(text: str, start: int) -> NoteName:
    """Read the note after the slash; a whole chord there is refused."""
    read = read_letter_and_signs(text, start)
    if read is None:
        found = repr(text[start:]) if start < len(text) else "the end"
        hint = ""
        if text[start : start + 1].upper() in NATURAL_PITCH_CLASSES and not text[-1].isdigit():
            hint = f" (a capital: {text[start].upper()})"
        raise ChordError(text, start + 1, found, "a bass note: a letter from A to G" + hint)
    bass, end = read
    if end < len(text):
        raise ChordError(
            text,
            end + 1,
            repr(text[end:]),
            f"one bass note after the slash, `/{bass}`; a chord over a chord can't be written here:"
            " write the lower chord with the upper one's notes as tensions",
        )
    return bass
