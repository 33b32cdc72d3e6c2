"""One `<harmony>` of MusicXML to a chord symbol, and back.

What the element means comes from its kind and degrees (trainer.harmony.xml_kinds). Files in the wild
bend the standard in a few ways that leave no doubt, and these are understood: kinds named for a chord
that the standard builds with degrees, `add` where a tone of the kind is to be altered, `alter` where
there is none to alter, seconds and fourths for ninths and elevenths, an added seventh counted from the
major scale. How the player spelled the kind (`text`) is kept where it says the same.
Source: W3C Music Notation Community Group, MusicXML 4.0 (2021), element harmony; from memory.
"""

from collections.abc import Iterable, Iterator
from functools import cache
from typing import TYPE_CHECKING

from trainer.charts.lexer import shortened
from trainer.harmony.interval import degree_interval, practical, transposed
from trainer.harmony.key import Key
from trainer.harmony.pitch import FURTHEST_ALTERATION, LETTERS, HarmonyError, NoteName
from trainer.harmony.quality import Quality
from trainer.harmony.suffix import parse_quality, quality_of
from trainer.harmony.symbol import ChordSymbol, parse_chord
from trainer.harmony.xml_kinds import KIND_TONES, DegreeChange, Tone, XmlDegree, read_tones, tones_of
from trainer.records import dataclass

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

OTHER_KINDS: dict[str, tuple[Tone, ...]] = {
    "dominant-seventh": read_tones("1 3 5 b7"),
    "minor-major-seventh": read_tones("1 b3 5 7"),
    "half-diminished-seventh": read_tones("1 b3 b5 b7"),
    "seventh-flat-five": read_tones("1 3 b5 b7"),
    "augmented-major-seventh": read_tones("1 3 #5 7"),
    "suspended-fourth-seventh": read_tones("1 4 5 b7"),
    "minor-major-ninth": read_tones("1 b3 5 7 9"),
    "augmented-ninth": read_tones("1 3 #5 b7 9"),
    "augmented-dominant-ninth": read_tones("1 3 #5 b7 9"),
    "augmented-major-ninth": read_tones("1 3 #5 7 9"),
    "half-diminished-ninth": read_tones("1 b3 b5 b7 9"),
    "half-diminished-minor-ninth": read_tones("1 b3 b5 b7 b9"),
    "diminished-ninth": read_tones("1 b3 b5 bb7 9"),
    "diminished-minor-ninth": read_tones("1 b3 b5 bb7 b9"),
    "minor-major-11th": read_tones("1 b3 5 7 9 11"),
    "augmented-11th": read_tones("1 3 #5 b7 9 11"),
    "augmented-major-11th": read_tones("1 3 #5 7 9 11"),
    "half-diminished-11th": read_tones("1 b3 b5 b7 9 11"),
    "diminished-11th": read_tones("1 b3 b5 bb7 9 11"),
    "minor-major-13th": read_tones("1 b3 5 7 9 11 13"),
    "augmented-major-13th": read_tones("1 3 #5 7 9 11 13"),
    "augmented-dominant-13th": read_tones("1 3 #5 b7 9 11 13"),
    "half-diminished-13th": read_tones("1 b3 b5 b7 9 11 13"),
}
"""Kinds outside the standard that files hold, with what their names say."""

_CHANGES: dict[str, DegreeChange] = {"add": "add", "alter": "alter", "subtract": "subtract"}
_COMPOUND = {2: 9, 4: 11, 6: 13}


class HarmonyFaultError(Exception):
    """A `<harmony>` that isn't well formed: what was found, in words."""


class _UnknownError(Exception):
    """A well-formed `<harmony>` that no chord symbol can say."""


@dataclass(frozen=True, slots=True)
class ReadHarmony:
    """What one `<harmony>` says."""

    symbol: ChordSymbol | None
    """None is `N.C.`."""
    text: str = ""
    """The chord as the file spells it; empty where the file doesn't, or says something else."""
    remark: str = ""
    """What had to be left out or bent, in words; mostly empty."""


def read_harmony(harmony: "Element", key: Key | None) -> ReadHarmony:
    """Read one `<harmony>`; the key is what a numeral counts from. Raises HarmonyFaultError."""
    try:
        return _read(harmony, key)
    except _UnknownError as error:
        return ReadHarmony(None, "", f"{error}; `N.C.` stands in its place")


def _read(harmony: "Element", key: Key | None) -> ReadHarmony:
    kinds = harmony.findall("kind")
    if not kinds:
        raise _UnknownError("a chord symbol without a kind")
    kind = kinds[0]
    name = (kind.text or "").strip()
    if name == "none" or (name in ("", "other") and kind.get("text", "").upper() in ("N.C.", "NC")):
        return ReadHarmony(None)
    root = _root(harmony, key)
    remark = "a chord over a chord; only the first of them is kept" if len(kinds) > 1 else ""
    quality, bent = _quality(name, kind.get("text", ""), list(_degrees(harmony)))
    bass = _bass(harmony, root, quality)
    symbol = ChordSymbol(root, quality, bass)
    return ReadHarmony(symbol, _spelled(symbol, kind.get("text", "")), remark or bent)


def _root(harmony: "Element", key: Key | None) -> NoteName:
    """The root: a note, or a degree of the key."""
    root = harmony.find("root")
    if root is not None:
        return _note(root, "root")
    numeral = harmony.find("numeral")
    if numeral is None:
        raise _UnknownError("a chord symbol without a root")
    own = numeral.find("numeral-key")
    if own is not None:
        key = key_of(_number(own, "numeral-fifths"), "minor" if "minor" in _word(own, "numeral-mode") else "major")
    degree = _number(numeral, "numeral-root")
    if key is None or not 1 <= degree <= len(LETTERS):
        raise _UnknownError("a chord symbol as a degree of no key")
    name = key.scale[degree - 1]
    return practical(NoteName(name.letter, name.alteration + _number(numeral, "numeral-alter", 0)))


def _note(element: "Element", what: str) -> NoteName:
    letter = _word(element, f"{what}-step").upper()
    if letter not in tuple(LETTERS):
        raise HarmonyFaultError(f"a chord symbol whose {what} is `{shortened(letter)}`")
    name = NoteName(letter, _number(element, f"{what}-alter", 0))
    return name if abs(name.alteration) <= FURTHEST_ALTERATION else practical(name)


def _bass(harmony: "Element", root: NoteName, quality: Quality) -> NoteName | None:
    bass = harmony.find("bass")
    if bass is not None:
        return _note(bass, "bass")
    inversion = _number(harmony, "inversion", 0)
    if not 0 < inversion < len(quality.tones):
        return None
    return practical(transposed(root, degree_interval(*quality.tones[inversion])))


def _word(element: "Element", name: str) -> str:
    return (element.findtext(name) or "").strip()


def _number(element: "Element", name: str, missing: int | None = None) -> int:
    """A whole number within an element; some files write it as a decimal."""
    text = _word(element, name)
    if not text and missing is not None:
        return missing
    try:
        number = float(text)
        if number == int(number) and abs(number) < 100:
            return int(number)
    except (ValueError, OverflowError):
        pass
    raise HarmonyFaultError(f"`{shortened(text)}` as {name}")


def _degrees(harmony: "Element") -> Iterator[XmlDegree]:
    for degree in harmony.findall("degree"):
        value, change = _number(degree, "degree-value"), _CHANGES.get(_word(degree, "degree-type"))
        alter = _number(degree, "degree-alter", 0)
        if change is None or not 1 <= value <= 13 or abs(alter) > FURTHEST_ALTERATION:
            raise HarmonyFaultError(f"a degree of a chord that says {value}, {alter}, {_word(degree, 'degree-type')}")
        yield XmlDegree(value, alter, change)


def _quality(kind: str, text: str, degrees: list[XmlDegree]) -> tuple[Quality, str]:
    """The quality of a kind with its degrees, and what had to be bent for it."""
    own = KIND_TONES.get(kind) or OTHER_KINDS.get(kind)
    if own is None:
        try:
            if text:
                return parse_quality(text), ""
        except HarmonyError:
            pass
        told = f"{kind}, {text}" if text else kind
        raise _UnknownError(f"a chord of the kind `{shortened(told)}`, which no symbol names")
    try:
        exact = quality_of(tones_of(kind, degrees)) if kind in KIND_TONES else None
    except ValueError:
        exact = None
    if exact is not None:
        return exact, ""
    for tones in _meant(own, degrees):
        if (quality := quality_of(tones)) is not None:
            return quality, ""
    plain = quality_of(own)
    if plain is None:
        raise _UnknownError(f"a chord of the kind `{shortened(kind)}`, which no symbol names")
    return plain, "a chord with degrees that no symbol holds; they are left out"


def _meant(own: tuple[Tone, ...], degrees: Iterable[XmlDegree]) -> Iterator[tuple[Tone, ...]]:
    """What a kind with degrees may be meant to be, the likeliest first."""
    degrees = list(degrees)
    for added_seventh in (-1, 0):
        for replacing in (False, True):
            yield _changed(own, degrees, replacing, added_seventh)


def _changed(
    own: tuple[Tone, ...], degrees: Iterable[XmlDegree], replacing: bool, added_seventh: int
) -> tuple[Tone, ...]:
    """Apply degrees as they are meant; `replacing` lets an added changed tone take the natural one's place."""
    tones = set(own)
    for degree in degrees:
        value = degree.value
        held = [tone for tone in tones if tone[0] == value]
        if degree.type == "subtract":
            tones.difference_update(held)
        elif degree.type == "alter" and held:
            tones.difference_update(held)
            tones.add((value, held[0][1] + degree.alter))
        else:
            third = any(number == 3 for number, _ in tones)
            if (value in (2, 4) and third) or (value == 6 and any(number == 7 for number, _ in tones)):
                value = _COMPOUND[value]
            alteration = degree.alter + (added_seventh if value == 7 else 0)
            if value == 7 and alteration < -1 and (5, -1) not in tones:
                alteration = -1
            if replacing and alteration:
                tones.discard((value, 0))
            tones.add((value, alteration))
    return tuple(sorted(tones))


def _spelled(symbol: ChordSymbol, text: str) -> str:
    """The symbol with the file's own spelling of its quality, where that reads as the same."""
    spelled = f"{symbol.root}{text}" + (f"/{symbol.bass}" if symbol.bass else "")
    try:
        return spelled if text and not text.isspace() and parse_chord(spelled) == symbol else ""
    except HarmonyError:
        return ""


@cache
def key_of(fifths: int, mode: str) -> Key:
    """The key of a signature: sharps positive, flats negative."""
    if mode == "minor":
        return Key(transposed(key_of(fifths, "major").tonic, degree_interval(6)), "minor")
    place = fifths + 1
    return Key(NoteName("FCGDAEB"[place % 7], place // 7), "major")


@dataclass(frozen=True, slots=True)
class WrittenKind:
    """A chord's quality as MusicXML writes it."""

    kind: str
    text: str
    """How it is shown, degrees included."""
    degrees: tuple[XmlDegree, ...]


def kind_of(symbol: ChordSymbol, text: str) -> WrittenKind:
    """The kind and degrees of a chord, and its spelling: the player's where it says the same."""
    suffix = symbol.quality.spelling
    if text:
        own = text.removeprefix(str(symbol.root)).removesuffix(f"/{symbol.bass}" if symbol.bass else "")
        if _spelled(symbol, own) == text:
            suffix = own
    return WrittenKind(symbol.quality.xml_kind, suffix, symbol.quality.xml_degrees)
