"""Reads what stands after a chord's root: a base, then alterations, additions and omissions.

Conventions: right after the root `-` means minor and `+` augmented, after a number they are a flat
and a sharp; a circle alone is a triad; a triangle alone is a major seventh; a crossed circle is
half-diminished; `9` follows a slash only after 6. Brackets and commas around tensions may stand or
be left out; a bare number inside them is an added tone.
"""

import re
from collections.abc import Iterator
from functools import cache, lru_cache

from trainer.harmony.pitch import HarmonyError
from trainer.harmony.quality import QUALITIES, SPELLINGS, TONES, Quality
from trainer.harmony.xml_kinds import Tone, kind_for

_PLAIN = str.maketrans(
    dict(zip("♭♯−–△∆º˚Ø⌀[]", "b#--ΔΔ°°øø()", strict=True)),
)
"""Other signs for the same thing, one character for one, so that columns stay right."""

_FAMILY = (
    r"(?P<half>ø)"
    r"|(?P<dominant>dom|Dom|DOM)"
    r"|(?P<diminished>dim|Dim|DIM|°|o(?!mit))"
    r"|(?P<augmented>aug|Aug|AUG|\+)"
    r"|(?P<major>maj|Maj|MAJ|ma(?!dd|lt|ug|j)|Ma(?!dd|j)|MA(?!DD|J)|M(?![IiAa])|M(?=add)|Δ|j(?=\d))"
    r"|(?P<minor>min|Min|MIN|mi|Mi|MI|m|-)"
)
_MAJOR_WORD = r"(?:maj|Maj|MAJ|ma|Ma|MA|M|j)"
_MAJOR_SEVENTH = rf"(?:{_MAJOR_WORD}|Δ)(?P<number>7|9|11|13)|\((?:{_MAJOR_WORD}|Δ)(?P<bracketed>7|9|11|13)\)|Δ|\(Δ\)"
_SHARP_SEVENTH = r"[#+]7|\([#+]7\)"
_NUMBER = r"13|11|9|7(?:M|maj)?|6/9|69|6|5(?!\d)|4|2"
_SUSPENSION = r"(?:sus|Sus|SUS)(?:(?P<tones>24|42|2|4)|\((?P<bracketed>24|42|2|4)\))?(?P<number>13|9|7)?"
_ALTERATION = r"(?P<sign>[b#+-])(?P<degree>13|11|9|6|5|4)(?!\d)"
_ADDITION = (
    r"(?:add|Add|ADD)"
    r"(?:(?P<sign>[b#]?)(?P<degree>13|11|9|6|4|2)(?!\d)|\((?P<bracketed_sign>[b#]?)(?P<bracketed>13|11|9|6|4|2)\))"
)
_OMISSION = r"(?:no|No|omit|Omit)(?P<degree>3|5|9|11)(?!\d)"
_LONE_PLUS = r"\+(?=$|\))"
_BARE_TENSION = r"(?P<degree>13|11|9|6)(?!\d)"

_NUMBERS = {
    "": "5, 6, 6/9, 7, 9, 11 or 13",
    "major": "7, 9, 11 or 13 after a major sign, or 6",
    "minor": "6, 6/9, 7, 9, 11 or 13 after a minor sign",
    "diminished": "7, 9 or 11 after a diminished sign",
    "augmented": "7, 9, 11 or 13 after an augmented sign",
    "half": "7, 9, 11 or 13 after a half-diminished sign",
    "dominant": "7, 9, 11 or 13",
}
"""What may follow each kind of triad."""
_STACK: dict[str, tuple[int, ...]] = {"7": (7,), "9": (7, 9), "11": (7, 9, 11), "13": (7, 9, 11, 13)}
_COMPOUND = {2: 9, 4: 11}
_STEP = {"b": -1, "-": -1, "#": 1, "+": 1, "": 0}


class ChordError(HarmonyError):
    """A chord symbol that can't be read."""

    what = "chord"


class _Reading:
    """One reading of a suffix: the text, the place, and the tones so far by degree."""

    def __init__(self, text: str, offset: int, whole: str) -> None:
        self.text = text
        self.at = 0
        self._offset = offset
        self._whole = whole
        self.tones: dict[int, list[int]] = {1: [0], 3: [0], 5: [0]}
        self.family = ""
        self.number = ""
        self.changed: set[Tone] = set()

    def fail(self, expected: str, at: int | None = None, found: str | None = None) -> ChordError:
        """The error at a place of the suffix, told against the whole symbol."""
        place = self.at if at is None else at
        rest = self._whole[self._offset + place :]
        found = found or (repr(rest) if rest else "the end")
        return ChordError(self._whole, self._offset + place + 1, found, expected)

    def take(self, pattern: str) -> re.Match[str] | None:
        """Match at the place and step over it; patterns are compiled on first use, so that starting is cheap."""
        match = re.compile(pattern).match(self.text, self.at)
        if match is not None:
            self.at = match.end()
        return match

    def stack(self, number: str, seventh: int) -> None:
        """Add the thirds up to a number over the triad."""
        self.number = number
        for degree in _STACK[number]:
            self.tones[degree] = [seventh if degree == 7 else 0]

    def result(self) -> tuple[Tone, ...]:
        """The tones in order."""
        return tuple(sorted((degree, step) for degree, steps in self.tones.items() for step in set(steps)))


def _read(text: str, offset: int, whole: str) -> tuple[Tone, ...]:
    """Read a suffix into its tones."""
    reading = _Reading(text, offset, whole)
    _read_base(reading)
    _read_changes(reading)
    return reading.result()


def _read_base(reading: _Reading) -> None:
    """Read the triad's word and the number after it."""
    family = reading.take(_FAMILY)
    reading.family = (family.lastgroup or "") if family else ""
    word = family.group() if family else ""
    match reading.family:
        case "minor":
            reading.tones[3] = [-1]
        case "diminished" | "half":
            reading.tones[3], reading.tones[5] = [-1], [-1]
        case "augmented":
            reading.tones[5] = [1]
    if reading.family in ("minor", "diminished", "augmented", "half"):
        # `madd9` must not lose its m-a-d-d to a major sign, nor `m(b6)` its bracket
        major = None if reading.family == "half" else reading.take(_MAJOR_SEVENTH)
        if major is not None:
            reading.stack(major["number"] or major["bracketed"] or "7", 0)
            return
        if reading.family == "minor" and reading.take(_SHARP_SEVENTH):
            reading.stack("7", 0)
            return
    _read_number(reading, word)


def _read_number(reading: _Reading, word: str) -> None:
    """Read the number that says how far the thirds are stacked."""
    start = reading.at
    number = reading.take(_NUMBER)
    text = number.group() if number else ""
    match reading.family, text:
        case _, "7M" | "7maj" if reading.family in ("", "minor"):
            reading.stack("7", 0)
        case "half", "" | "7" | "9" | "11" | "13":
            reading.stack(text or "7", -1)
        case "major", "7" | "9" | "11" | "13":
            reading.stack(text, 0)
        case "major", "" if word == "Δ":
            reading.stack("7", 0)
        case "diminished", "7" | "9" | "11":
            reading.stack(text, -2)
        case "minor" | "augmented" | "dominant" | "", "7" | "9" | "11" | "13":
            reading.stack(text, -1)
        case "major" | "minor" | "", "6" | "69" | "6/9" if word != "Δ":
            reading.number = text
            reading.tones[6] = [0]
            if text != "6":
                reading.tones[9] = [0]
        case "", "5":
            reading.number = text
            del reading.tones[3]
        case "augmented", "5":
            reading.number = text
        case "", "2" | "4":
            _suspend(reading, text, start)
        case "dominant", _:
            raise reading.fail("7, 9, 11 or 13", start)
        case _, "":
            return
        case _:
            raise reading.fail(_NUMBERS[reading.family], start, repr(text))


def _read_changes(reading: _Reading) -> None:
    """Read suspensions, alterations, additions and omissions to the end."""
    inside, opened, after_separator = False, 0, False
    while reading.at < len(reading.text):
        start = reading.at
        sign = reading.text[start]
        if sign == "(" and not inside:
            inside, opened, after_separator = True, start, True
        elif sign == ")" and inside and not after_separator:
            inside, after_separator = False, False
        elif sign in ",/" and inside and not after_separator:
            after_separator = True
        elif sign == " " and inside:
            pass
        elif _read_change(reading, inside):
            after_separator = False
            continue
        else:
            raise reading.fail(_expected_here(reading, inside), start)
        reading.at += 1
    if inside:
        raise reading.fail("`)` for this bracket", opened, "`(`")


def _read_change(reading: _Reading, inside: bool) -> bool:
    """Read one change at the place; False where there is none."""
    start = reading.at
    if match := reading.take(_SUSPENSION):
        tones = match["tones"] or match["bracketed"]
        if match["number"]:
            if reading.number or tones:
                raise reading.fail("no number after the suspension", match.start("number"))
            reading.stack(match["number"], -1)
        _suspend(reading, tones or "4", start)
    elif match := reading.take(_OMISSION):
        degree = int(match["degree"])
        if degree not in reading.tones:
            raise reading.fail("a tone of the chord to leave out", start, repr(match.group()))
        del reading.tones[degree]
    elif match := reading.take(_ADDITION):
        degree = int(match["degree"] or match["bracketed"])
        _add(reading, degree, _STEP[match["sign"] or match["bracketed_sign"] or ""], start)
    elif match := reading.take(_ALTERATION):
        _alter(reading, int(match["degree"]), _STEP[match["sign"]], start)
    elif inside and (match := reading.take(_BARE_TENSION)):
        _add(reading, int(match["degree"]), 0, start)
    elif reading.text.startswith(("alt", "Alt", "ALT"), start):
        if reading.family or reading.number not in ("", "7") or reading.changed:
            raise reading.fail("`alt` right after the root or after 7", start)
        reading.at += 3
        reading.tones = {1: [0], 3: [0], 7: [-1], 9: [-1, 1], 11: [1], 13: [-1]}
        reading.changed.update({(9, -1), (9, 1), (11, 1), (13, -1)})
    elif reading.number in _STACK and reading.take(_LONE_PLUS):
        _alter(reading, 5, 1, start)
    else:
        return False
    return True


def _suspend(reading: _Reading, tones: str, start: int) -> None:
    """Put the second or the fourth (or both) in place of the third."""
    if reading.family in ("diminished", "half") or reading.number == "5":
        raise reading.fail("a chord with a third to suspend", start)
    reading.tones.pop(3, None)
    for degree in sorted(int(tone) for tone in tones):
        if degree in reading.tones:
            raise reading.fail("each tone once", start)
        reading.tones[degree] = [0]
        # the suspended tone is the 11th or the 9th that the number stacked
        above = _COMPOUND[degree]
        if reading.tones.get(above) == [0] and (above, 0) not in reading.changed:
            del reading.tones[above]
    if reading.number == "13":
        reading.tones.pop(11, None)


def _add(reading: _Reading, degree: int, step: int, start: int) -> None:
    """Add a tone beside those that are there."""
    if degree == 6 and 7 in reading.tones:
        degree = 13
    degree = _COMPOUND.get(degree, degree)
    _check(reading, degree, step, start)
    reading.changed.add((degree, step))
    reading.tones.setdefault(degree, []).append(step)


def _alter(reading: _Reading, degree: int, step: int, start: int) -> None:
    """Change the fifth or a tension; a natural one that the number stacked gives way."""
    if degree == 6:
        degree = 13 if 7 in reading.tones else 6
    degree = _COMPOUND.get(degree, degree)
    _check(reading, degree, step, start)
    if degree == 5 and reading.family in ("diminished", "half", "augmented"):
        raise reading.fail("no second word on a fifth that the triad has changed", start)
    if reading.tones.get(degree) == [0] and (degree, 0) not in reading.changed:
        if degree == 13:
            raise reading.fail("one thirteenth: natural or flat", start)
        reading.tones[degree] = []
    reading.changed.add((degree, step))
    reading.tones.setdefault(degree, []).append(step)


def _check(reading: _Reading, degree: int, step: int, start: int) -> None:
    """Refuse a tone that is there already or that no player would mean."""
    if step in reading.tones.get(degree, []):
        raise reading.fail("each tone once", start)
    if (degree, step) in {(11, -1), (13, 1), (6, 1)}:
        raise reading.fail("b5 #5 b9 #9 #11 or b13", start)
    if (degree, step) == (9, 1) and reading.tones.get(3) == [-1]:
        raise reading.fail("no #9 beside a minor third, which is the same key", start)
    if degree == 5 and 5 not in reading.tones:
        raise reading.fail("a chord with a fifth", start)


def _expected_here(reading: _Reading, inside: bool) -> str:
    """What could have stood at the place."""
    if not reading.family and not reading.number and not reading.changed:
        return "a chord's quality (m 6 7 maj7 m7 m7b5 dim7 sus4 alt …), `/` and a bass note, or the end"
    if reading.text[reading.at] == "/":
        return "`/` only before a bass note, or before 9 after a 6"
    if reading.text[reading.at] in "()":
        return "brackets that open, hold a tension and close"
    tensions = "b5 #5 b9 9 #9 11 #11 b13 13" if inside else "b5 #5 b9 #9 #11 b13, sus4, add9"
    return f"{tensions} or the end"


@lru_cache(maxsize=4096)
def quality_of(tones: tuple[Tone, ...]) -> Quality | None:
    """The table's quality with these tones in order, or one composed of a base and changes; else None."""
    if (row := TONES.get(tones)) is not None:
        return row
    for spelling in sorted(_compositions(tones), key=lambda text: (len(text), text)):
        try:
            read = _read(spelling, 0, spelling)
        except ChordError:
            continue
        if read == tones:
            kind, degrees = kind_for(tones)
            return Quality(spelling, spelling, (), tones, kind, degrees)
    return None


@cache
def _plain_bases() -> tuple[Quality, ...]:
    """The rows that changes are written after."""
    changed = re.compile(r"[b#]|add|no|alt")
    return tuple(row for row in QUALITIES if row.id == "m7b5" or not changed.search(row.spelling))


def _compositions(tones: tuple[Tone, ...]) -> Iterator[str]:
    """Ways to write tones as a plain base of the table and changes."""
    wanted = set(tones)
    for base in _plain_bases():
        own = set(base.tones)
        new, gone = sorted(wanted - own), {degree for degree, _ in own - wanted}
        words = []
        for degree, step in new:
            sign = {-1: "b", 0: "", 1: "#"}.get(step)
            if sign is None:
                break
            adds = not step or (degree > 7 and base.seventh is None) or (degree in gone and not step)
            words.append(("add" if adds else "") + sign + str(degree))
        else:
            words.extend(f"no{degree}" for degree in sorted(gone - {degree for degree, _ in new}))
            text = "".join(words)
            bare = base.spelling == "" and text[:1] in ("b", "#")
            yield f"{base.spelling}({text})" if bare else base.spelling + text


@lru_cache(maxsize=4096)
def parse_quality(text: str, offset: int = 0, whole: str | None = None) -> Quality:
    """Read a suffix such as `m7b5` or `7(b9, #11)`; nothing at all is a major triad. Raises ChordError.

    `whole` and `offset` say what symbol it stands in and how many characters come before it.
    """
    plain = text.translate(_PLAIN)
    if (row := SPELLINGS.get(plain)) is not None:
        return row
    whole = text if whole is None else whole
    quality = quality_of(_read(plain, offset, whole))
    if quality is None:
        raise ChordError(whole, offset + 1, repr(text), "fewer changes: no name holds all of these tones")
    return quality
