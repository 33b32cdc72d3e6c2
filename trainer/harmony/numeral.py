"""Roman numerals: a chord as a degree of a key, and back.

Degrees are counted against the MAJOR scale of the tonic in both modes, so in C minor Eb is bIII and
Bb is bVII (a convention of the jazz books, Nettles & Graf, The Chord Scale Theory and Jazz Harmony,
1997; from memory). The numeral is small where the chord's third is minor, and then the quality is
written without its `m`. After a slash an arabic degree is the bass in the key (`I/3`, `IV/5`),
a roman one the degree that the chord is applied to (`V7/ii`), small where that degree is minor.
"""

import re
from functools import lru_cache

from trainer.harmony.interval import between, degree_interval, readable, transposed
from trainer.harmony.key import Key, Mode
from trainer.harmony.pitch import HarmonyError, NoteName, accidental_text
from trainer.harmony.quality import QUALITY, Quality
from trainer.harmony.suffix import ChordError, parse_quality
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")
_PLAIN_DEGREES = ("I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII")
"""The name of each half step above the tonic."""
_SPELLED_DEGREES = frozenset(["I", "bII", "II", "bIII", "III", "IV", "#IV", "bV", "V", "bVI", "VI", "bVII", "VII"])
"""Degrees that keep the spelling of the chart; any other is named as the one that sounds the same."""
_RISING_DEGREES = frozenset({"#I", "#II", "#V", "#VI"})
"""So do these for diminished chords, which rise; E7 in Eb major is bII7 all the same."""

_SHORT = {"m7b5": "ø7", "m9b5": "ø9", "m11b5": "ø11", "dim7": "°7", "dim": "°", "aug": "+"}
"""Qualities that a numeral writes with the trade's signs."""

_DEGREE = r"(?P<signs>[b#♭♯]*)(?P<roman>VII|III|VI|IV|II|V|I|vii|iii|vi|iv|ii|v|i)"
_BASS = r"(?P<signs>[b#♭♯]*)(?P<number>[1-7])"


class NumeralError(HarmonyError):
    """A roman numeral that can't be read."""

    what = "numeral"


@dataclass(frozen=True, slots=True, order=True)
class Degree:
    """A step of a key's major scale, altered in half steps."""

    number: int
    """1 to 7."""
    alteration: int = 0

    @property
    def semitones(self) -> int:
        """Half steps above the tonic, 0 to 11."""
        return degree_interval(self.number, self.alteration).semitones % 12

    @property
    def arabic(self) -> str:
        """As a bass is written: `b7`."""
        return f"{accidental_text(self.alteration)}{self.number}"

    def roman(self, minor: bool) -> str:
        """As a chord's root is written: `bVI`, small for minor."""
        roman = _ROMAN[self.number - 1]
        return accidental_text(self.alteration) + (roman.lower() if minor else roman)

    def __str__(self) -> str:
        return self.roman(minor=False)


_DEGREES_BY_TEXT = {
    str(degree): degree for degree in (Degree(number, step) for number in range(1, 8) for step in (-1, 0, 1))
}
PLAIN_DEGREES: tuple[Degree, ...] = tuple(_DEGREES_BY_TEXT[text] for text in _PLAIN_DEGREES)
"""By half steps above the tonic: I bII II bIII III IV #IV V bVI VI bVII VII."""


@dataclass(frozen=True, slots=True)
class Numeral:
    """A chord as a degree of a key, with its quality and, where it isn't the root, its bass."""

    degree: Degree
    quality: Quality
    bass: Degree | None = None

    def __post_init__(self) -> None:
        if self.bass == self.degree:
            object.__setattr__(self, "bass", None)

    @property
    def text(self) -> str:
        """As written: `ii7`, `iiø7`, `bII7`, `I/3`."""
        return _numeral_text(self)

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class AppliedNumeral:
    """A numeral read in the key of another degree, such as V7/ii."""

    numeral: Numeral
    """Its degree counts from the target, not from the key."""
    target: Degree
    target_minor: bool
    """The degree it is applied to bears a minor chord."""

    @property
    def text(self) -> str:
        """As written: `V7/ii`."""
        return f"{self.numeral.text}/{self.target.roman(self.target_minor)}"

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=8192)
def _numeral_text(numeral: Numeral) -> str:
    quality = numeral.quality
    minor = quality.third == "minor"
    suffix = _SHORT.get(quality.id)
    if suffix is None:
        suffix = quality.spelling.replace("Maj", "maj")
        if suffix.startswith("dim"):
            suffix = "°" + suffix.removeprefix("dim")
        elif minor:
            suffix = suffix.removeprefix("m")
    text = numeral.degree.roman(minor) + suffix
    return text if numeral.bass is None else f"{text}/{numeral.bass.arabic}"


def degree_of(name: NoteName, key: Key, rising: bool = False) -> Degree:
    """The degree a note is in a key: as spelled where that is a usual degree, else the one that sounds the same.

    rising: it bears a diminished chord, which may stand on #I, #II, #V or #VI.
    """
    interval = between(key.tonic, name)
    alteration = interval.semitones - degree_interval(interval.steps + 1).semitones
    spelled = Degree(interval.steps + 1, alteration)
    usual = _SPELLED_DEGREES | _RISING_DEGREES if rising else _SPELLED_DEGREES
    if abs(alteration) <= 1 and str(spelled) in usual:
        return spelled
    return PLAIN_DEGREES[(name.pitch_class - key.tonic.pitch_class) % 12]


def note_of(degree: Degree, key: Key) -> NoteName:
    """The note a degree is in a key, spelled from the tonic."""
    return readable(transposed(key.tonic, degree_interval(degree.number, degree.alteration)))


@lru_cache(maxsize=16384)
def numeral_of(chord: ChordSymbol, key: Key) -> Numeral:
    """Name a chord in a key."""
    bass = None if chord.bass is None else degree_of(chord.bass, key)
    rising = chord.quality.fifth == "diminished" and chord.quality.third == "minor"
    return Numeral(degree_of(chord.root, key, rising), chord.quality, bass)


@lru_cache(maxsize=16384)
def chord_of(numeral: Numeral, key: Key) -> ChordSymbol:
    """Spell a numeral's chord in a key, from the key's tonic."""
    bass = None if numeral.bass is None else note_of(numeral.bass, key)
    return ChordSymbol(note_of(numeral.degree, key), numeral.quality, bass)


def target_key(applied: AppliedNumeral, key: Key) -> Key:
    """The key of the degree that an applied chord points to."""
    return Key(note_of(applied.target, key), "minor" if applied.target_minor else "major")


def applied_chord(applied: AppliedNumeral, key: Key) -> ChordSymbol:
    """Spell an applied chord in a key."""
    return chord_of(applied.numeral, target_key(applied, key))


def target_is_minor(degree: Degree, mode: Mode) -> bool:
    """Whether a degree's own chord in a key is minor or diminished; V of a minor key counts as its dominant.

    Degrees outside the scale count as major.
    """
    minor_degrees = {"I", "II", "IV"} if mode == "minor" else {"II", "III", "VI", "VII"}
    return str(degree) in minor_degrees


def applied_to(numeral: Numeral, target: Degree, mode: Mode) -> AppliedNumeral:
    """Apply a numeral to a degree of a key, in the mode that the degree has there."""
    return AppliedNumeral(numeral, target, target_is_minor(target, mode))


def _alteration(signs: str) -> int:
    return sum(-1 if sign in "b♭" else 1 for sign in signs)


def _read_degree(text: str, start: int) -> tuple[Degree, bool, int]:
    """Read a roman degree from an index; whether it's small, and where it ends."""
    match = re.compile(_DEGREE).match(text, start)
    if match is None or len(match["signs"]) > 1:
        found = repr(text[start:]) if start < len(text) else "the end"
        raise NumeralError(text, start + 1, found, "a degree from I to VII, with one flat or sharp at most")
    number = _ROMAN.index(match["roman"].upper()) + 1
    return Degree(number, _alteration(match["signs"])), match["roman"].islower(), match.end()


def read_degree(text: str) -> tuple[Degree, bool]:
    """Read a roman degree such as `bVI` or `ii`, and whether it's written small. Raises NumeralError."""
    degree, minor, end = _read_degree(text, 0)
    if end < len(text):
        raise NumeralError(text, end + 1, repr(text[end:]), "the end")
    return degree, minor


def _split(text: str) -> tuple[str, Degree | None, int | None]:
    """Split a numeral at its slashes: the text before them, an arabic bass, where a roman target begins."""
    head, bass, target = text, None, None
    match = re.search(r"/(?=[b#♭♯]*[IViv])", text)
    if match is not None:
        head, target = text[: match.start()], match.end()
    slash = head.rfind("/")
    if slash > 0 and (found := re.compile(_BASS).fullmatch(head, slash + 1)) is not None:
        bass = Degree(int(found["number"]), _alteration(found["signs"]))
        head = head[:slash]
    return head, bass, target


def _read_quality(text: str, small: bool, start: int, end: int) -> Quality:
    """Read a numeral's quality; under a small numeral the third is minor though no `m` is written."""
    suffix = text[start:end]
    try:
        quality = parse_quality(suffix, start, text)
    except ChordError as error:
        if not small:
            raise NumeralError(text, error.column, error.found, error.expected) from None
        quality = None
    if not small or (quality is not None and quality.third == "minor"):
        return quality or QUALITY["maj"]
    try:
        lowered = parse_quality("m" + suffix, start - 1, text)
    except ChordError as error:
        raise NumeralError(text, max(error.column, start + 1), error.found, error.expected) from None
    if lowered.third != "minor":
        raise NumeralError(text, start + 1, repr(suffix), "a large numeral: this chord has no minor third")
    return lowered


def _numeral(text: str) -> tuple[Numeral, int | None]:
    """Read the numeral at the front of a text, and say where a roman target begins."""
    degree, small, start = _read_degree(text, 0)
    head, bass, target = _split(text)
    return Numeral(degree, _read_quality(text, small, start, len(head)), bass), target


@lru_cache(maxsize=4096)
def parse_numeral(text: str) -> Numeral:
    """Read a numeral such as `ii7`, `V7b9` or `I/3`. Raises NumeralError, for an applied one too."""
    numeral, target = _numeral(text)
    if target is not None:
        raise NumeralError(text, target + 1, repr(text[target:]), "an arabic degree for the bass, or the end")
    return numeral


@lru_cache(maxsize=4096)
def parse_applied(text: str) -> AppliedNumeral:
    """Read an applied numeral such as `V7/ii`; a small target is minor. Raises NumeralError."""
    numeral, target = _numeral(text)
    if target is None:
        raise NumeralError(text, len(text) + 1, "the end", "a slash and a degree, as in `V7/ii`")
    degree, minor, end = _read_degree(text, target)
    if end < len(text):
        raise NumeralError(text, end + 1, repr(text[end:]), "the end")
    return AppliedNumeral(numeral, degree, minor)


def parse_any(text: str) -> Numeral | AppliedNumeral:
    """Read a numeral, applied or not. Raises NumeralError."""
    return parse_applied(text) if _split(text)[2] is not None else parse_numeral(text)


def chord_of_any(numeral: Numeral | AppliedNumeral, key: Key) -> ChordSymbol:
    """Spell a numeral's chord in a key, applied or not."""
    return applied_chord(numeral, key) if isinstance(numeral, AppliedNumeral) else chord_of(numeral, key)
