"""Charts built from numerals: keys, how a player colors each chord, phrases, places.

A text such as `<K> ii V | ( <F> ii V | I ) | <K> V | I` names bars apart by `|`; `<K>` says in which of the
given keys the numerals after it stand, and a pair of parentheses marks a foreign cadence.
Pitch classes count from C = 0, bars as played from 1, places as (bar, beat) with beats from 1.
Phrases and colors are common practice, no source.
"""

import random
from dataclasses import dataclass

LETTERS = "CDEFGAB"
NATURAL = (0, 2, 4, 5, 7, 9, 11)
MAJOR_TONICS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
MINOR_TONICS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
SIMPLE = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")


@dataclass(frozen=True, slots=True)
class BuiltKey:
    """A key center by its tonic's pitch class and its mode, major or minor."""

    tonic: int
    mode: str

    @property
    def name(self) -> str:
        """The tonic as a chart writes it."""
        return (MAJOR_TONICS if self.mode == "major" else MINOR_TONICS)[self.tonic]

    def up(self, semitones: int, mode: str) -> "BuiltKey":
        """The key so many half steps higher, in that mode."""
        return BuiltKey((self.tonic + semitones) % 12, mode)


def root_name(key: BuiltKey, steps: int, semitones: int) -> str:
    """The chord root so many letters and half steps above the tonic, plainly spelled where it would need two signs."""
    letter = (LETTERS.index(key.name[0]) + steps) % 7
    pitch = (key.tonic + semitones) % 12
    alteration = (pitch - NATURAL[letter] + 6) % 12 - 6
    if abs(alteration) > 1:
        return SIMPLE[pitch]
    return LETTERS[letter] + ("b" if alteration < 0 else "#") * abs(alteration)


NUMERALS = {
    # both modes: (letters above the tonic, half steps, what the chord is)
    "I": (0, 0, "rest"), "i": (0, 0, "rest"), "ii": (1, 2, "seventh"), "iiø": (1, 2, "half"), "V": (4, 7, "five"),
    "Vs": (4, 7, "sus"), "bII7": (1, 1, "substitute"), "II7": (1, 2, "dominant"), "iv": (3, 5, "seventh"),
    "bVI": (5, 8, "major"), "bIII": (2, 3, "major"), "bVII7": (6, 10, "dominant"), "I7": (0, 0, "dominant"),
    "v": (4, 7, "seventh"), "bII": (1, 1, "major"), "bIII7": (2, 3, "substitute"), "bVI7": (5, 8, "substitute"),
    # major
    "iii": (2, 4, "seventh"), "vi": (5, 9, "seventh"), "IV": (3, 5, "major"), "VI7": (5, 9, "dark"),
    "III7": (2, 4, "dark"), "VII7": (6, 11, "dark"), "viiø": (6, 11, "half"), "iiiø": (2, 4, "half"),
    "#ivø": (3, 6, "half"), "#i°": (0, 1, "dim"), "#ii°": (1, 3, "dim"), "#iv°": (3, 6, "dim"),
    "biii°": (2, 3, "dim"), "IV7": (3, 5, "dominant"), "bvi": (5, 8, "seventh"), "biii": (2, 3, "seventh"),
    "i7": (0, 0, "seventh"), "bii": (1, 1, "seventh"), "bVII": (6, 10, "major"), "I°": (0, 0, "dim"),
    "vø": (4, 7, "half"),
}  # fmt: skip
"""Numerals of the texts; `dark` is a dominant on its way to a minor chord, V takes its color from the mode."""

COLORS: dict[str, dict[str, tuple[str, ...]]] = {
    "sevenths": {
        "rest major": ("maj7", "maj7", "6"), "rest minor": ("m6", "m6", "mMaj7"), "seventh": ("m7",), "half": ("m7b5",),
        "five major": ("7", "7", "7", "9", "7b9"), "five minor": ("7b9", "7", "7b9"), "sus": ("7sus4",),
        "dominant": ("7",), "dark": ("7b9", "7"), "substitute": ("7",), "major": ("maj7",), "dim": ("dim7",),
    },
    "rich": {
        "rest major": ("maj9", "6/9", "maj7"), "rest minor": ("m6/9", "mMaj7", "m6"), "seventh": ("m9", "m7", "m11"),
        "half": ("m7b5",), "five major": ("13", "9", "7b9", "7alt"), "five minor": ("7b9", "7alt", "7#5"),
        "sus": ("9sus4", "13sus4"), "dominant": ("13", "9"), "dark": ("7b9", "7alt"), "substitute": ("7#11", "9"),
        "major": ("maj9", "maj7"), "dim": ("dim7",),
    },
    "triads": {
        "rest major": ("", "", "6"), "rest minor": ("m",), "seventh": ("m", "m7"), "half": ("m7b5",),
        "five major": ("7",), "five minor": ("7",), "sus": ("7sus4",), "dominant": ("7",), "dark": ("7",),
        "substitute": ("7",), "major": ("",), "dim": ("dim7",),
    },
}  # fmt: skip
"""How fully a player spells chords, by what the chord is; dominants always keep their seventh."""


class Hand:
    """One player's way of writing a chart: a style kept through the tune, now and then another color."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.style = rng.choice(("sevenths", "sevenths", "sevenths", "rich", "triads"))
        self.usual: dict[str, str] = {}

    def chord(self, key: BuiltKey, numeral: str) -> str:
        """The chord's symbol in the key."""
        steps, semitones, kind = NUMERALS[numeral]
        if kind in ("rest", "five"):
            kind = f"{kind} {key.mode}"
        choices = COLORS[self.style][kind]
        if kind not in self.usual or self.rng.random() < 0.25:
            self.usual[kind] = self.rng.choice(choices)
        return root_name(key, steps, semitones) + self.usual[kind]


@dataclass(frozen=True, slots=True)
class Mark:
    """A foreign cadence inside bars: where it starts, the first place after it (bars from 0, in slots of a bar)."""

    start: tuple[int, float]
    end: tuple[int, float]
    awaited: str
    heard: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """Bars in a row, each one or two chord symbols, and the foreign cadences in them."""

    bars: tuple[tuple[str, ...], ...] = ()
    marks: tuple[Mark, ...] = ()

    def __add__(self, other: "Stretch") -> "Stretch":
        by = len(self.bars)
        moved = tuple(
            Mark((m.start[0] + by, m.start[1]), (m.end[0] + by, m.end[1]), m.awaited, m.heard) for m in other.marks
        )
        return Stretch(self.bars + other.bars, self.marks + moved)

    def __len__(self) -> int:
        return len(self.bars)


def stretch(hand: Hand, keys: dict[str, BuiltKey], text: str) -> Stretch:
    """The bars that a text of numerals names; the awaited key of a mark is the one before its parenthesis."""
    bars: list[tuple[str, ...]] = []
    marks: list[Mark] = []
    key = awaited = heard = next(iter(keys))
    opened: tuple[int, float] | None = None
    for number, bar in enumerate(part.split() for part in text.split("|")):
        slots = sum(not word.startswith(("<", "(", ")")) for word in bar)
        chords: list[str] = []
        for word in bar:
            if word == "(":
                awaited, opened = key, (number, len(chords) / slots)
            elif word == ")":
                assert opened is not None
                marks.append(Mark(opened, (number, len(chords) / slots), awaited, heard))
            elif word.startswith("<"):
                key = word.strip("<>")
            else:
                chords.append(hand.chord(keys[key], word))
                heard = key
        bars.append(tuple(chords))
    return Stretch(tuple(bars), tuple(marks))


OPENINGS = {
    "major": (
        "I | vi | ii | V", "I | vi | ii V | I", "I | I | ii | V", "I | VI7 | ii | V", "I VI7 | ii V | I vi | ii V",
        "I | IV | iii VI7 | ii V", "I | I7 | IV | iv", "I #i° | ii V | iii VI7 | ii V", "I | III7 | vi | ii V",
        "I | II7 | ii | V", "I | v I7 | IV | IV",
    ),
    "minor": (
        "i | iv | iiø V | i", "i | i | iiø | V", "i | bVI | iiø | V", "i iv | i | iiø | V", "i | i | iv | i",
        "i | iv bVII7 | bIII bVI | iiø V",
    ),
}  # fmt: skip
CLOSES = {
    "major": (
        "I | vi | ii V | I", "ii | V | I | I", "iii VI7 | ii V | I | I", "IV | iv | I | I", "I VI7 | ii V | I | I",
        "II7 | ii V | I | I", "ii | V | I vi | I", "iii VI7 | ii bII7 | I | I", "iii biii° | ii V | I | I",
    ),
    "minor": (
        "iiø | V | i | i", "i bVI | iiø V | i | i", "iv | V | i | i", "bVI | V | i | i", "iiø V | i iv | iiø V | i",
    ),
}  # fmt: skip
"""Four bars each: how a phrase of a plain tune begins, and how it closes at rest."""


def plain(hand: Hand, key: BuiltKey, bars: int = 8) -> Stretch:
    """A phrase of 4, 8 or 16 bars in one key; it begins and ends at rest, 4 bars may begin on ii."""
    texts: list[str] = []
    for _ in range(bars // 8):
        texts += [hand.rng.choice(OPENINGS[key.mode]), hand.rng.choice(CLOSES[key.mode])]
    if bars % 8:
        texts.append(hand.rng.choice(CLOSES[key.mode]))
    return stretch(hand, {"K": key}, " | ".join(texts))


def at_rest(hand: Hand, key: BuiltKey, bars: int) -> Stretch:
    """So many bars, up to four, of the key's chord of rest, with a little movement where they are many."""
    text = {
        "major": ("I", "I | I", "I | IV | I", "I | vi | ii V | I"),
        "minor": ("i", "i | i", "i | iv | i", "i | iv | iiø V | i"),
    }[key.mode][bars - 1]
    return stretch(hand, {"K": key}, text)


@dataclass(frozen=True, slots=True)
class Expected:
    """One interruption as a player hears it; keys as (pitch class, mode), places as (bar, beat)."""

    shape: str
    awaited: tuple[int, str]
    heard: tuple[int, str]
    start: tuple[int, float]
    end: tuple[int, float]


@dataclass(frozen=True, slots=True)
class BuiltCase:
    """A chart and the interruptions in it, none in a look-alike; its kind says how it was built."""

    name: str
    kind: str
    chart: str
    expected: tuple[Expected, ...]


def made_case(
    name: str,
    kind: str,
    hand: Hand,
    sections: dict[str, Stretch],
    keys: dict[str, BuiltKey],
    shape: str = "",
    form: str = "",
    named: bool = True,
    home: BuiltKey | None = None,
) -> BuiltCase:
    """The case's chart text, in 4/4 or 3/4, and its interruptions at their places as played."""
    rng = hand.rng
    meter = 3 if rng.random() < 0.1 else 4
    lines = [f"title: {name}", f"meter: {meter}/4"]
    if home is not None and rng.random() < 0.6:
        lines.append(f"key: {home.name}" + ("" if home.mode == "major" else " minor"))
    if form:
        lines.append(f"form: {form}")
    for section, part in sections.items():
        lines.append("")
        if named:
            lines.append(f"[{section}]")
        written = [
            "%" if number and bar == part.bars[number - 1] and rng.random() < 0.5 else bar_text(bar, meter)
            for number, bar in enumerate(part.bars)
        ]
        lines += ["| " + " | ".join(written[four : four + 4]) + " |" for four in range(0, len(written), 4)]
    expected: list[Expected] = []
    bar = 1
    for section in form.split() or sections:
        for mark in sections[section].marks:
            awaited, heard = keys[mark.awaited], keys[mark.heard]
            expected.append(
                Expected(
                    shape,
                    (awaited.tonic, awaited.mode),
                    (heard.tonic, heard.mode),
                    place(bar, mark.start, meter),
                    place(bar, mark.end, meter),
                )
            )
        bar += len(sections[section])
    return BuiltCase(name, kind, "\n".join(lines) + "\n", tuple(expected))


def bar_text(chords: tuple[str, ...], meter: int) -> str:
    """A bar as the chart writes it; in three beats the first of two chords lasts two."""
    return f"{chords[0]} / {chords[1]}" if meter == 3 and len(chords) == 2 else " ".join(chords)


def place(first_bar: int, where: tuple[int, float], meter: int) -> tuple[int, float]:
    """A mark's place as (bar, beat), a full bar carried over."""
    bar, part = where
    if part >= 1:
        bar, part = bar + 1, 0.0
    beats = part * meter
    return first_bar + bar, 1 + (2.0 if meter == 3 and part == 0.5 else beats)
