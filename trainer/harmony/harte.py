"""Chord symbols in the plain-text shorthand of the research on chords: `C:maj7`, `A:min7/b3`, `G:7(b9)`, `N`.

A root, a shorthand or nothing (a major triad), in brackets what is added to it or, behind a star,
left out of it, and the bass as a degree above the root. Degrees count against the root's major scale.
What is written uses only the shorthands of the paper; what is read may also use those that data sets
have taken up since (`sus2 5 1 11 13` and the like, as far as they name stacks of thirds).

Source: Harte, Sandler, Abdallah & Gómez, "Symbolic Representation of Musical Chords: A Proposed Syntax
for Text Annotations", ISMIR 2005; from memory.
"""

import re
from functools import lru_cache

from trainer.harmony.interval import between, degree_interval, readable, transposed
from trainer.harmony.pitch import HarmonyError, NoteName, accidental_text
from trainer.harmony.quality import Quality
from trainer.harmony.suffix import quality_of
from trainer.harmony.symbol import ChordSymbol
from trainer.harmony.xml_kinds import Tone, read_tones

SILENCE = "N"

SHORTHANDS: dict[str, tuple[Tone, ...]] = {
    "maj": read_tones("1 3 5"),
    "min": read_tones("1 b3 5"),
    "dim": read_tones("1 b3 b5"),
    "aug": read_tones("1 3 #5"),
    "maj7": read_tones("1 3 5 7"),
    "min7": read_tones("1 b3 5 b7"),
    "7": read_tones("1 3 5 b7"),
    "dim7": read_tones("1 b3 b5 bb7"),
    "hdim7": read_tones("1 b3 b5 b7"),
    "minmaj7": read_tones("1 b3 5 7"),
    "maj6": read_tones("1 3 5 6"),
    "min6": read_tones("1 b3 5 6"),
    "9": read_tones("1 3 5 b7 9"),
    "maj9": read_tones("1 3 5 7 9"),
    "min9": read_tones("1 b3 5 b7 9"),
    "sus4": read_tones("1 4 5"),
}
"""The shorthands of the paper with the tones that each stands for."""

LATER_SHORTHANDS: dict[str, tuple[Tone, ...]] = {
    "sus2": read_tones("1 2 5"),
    "1": read_tones("1"),
    "5": read_tones("1 5"),
    "6": read_tones("1 3 5 6"),
    "11": read_tones("1 3 5 b7 9 11"),
    "maj11": read_tones("1 3 5 7 9 11"),
    "min11": read_tones("1 b3 5 b7 9 11"),
    "13": read_tones("1 3 5 b7 9 11 13"),
    "maj13": read_tones("1 3 5 7 9 11 13"),
    "min13": read_tones("1 b3 5 b7 9 11 13"),
}
"""Shorthands that came up later (common practice of chord data sets, no source); read, never written."""

MOST_SIGNS = 5
"""Flats or sharps before a degree: from a double sharp up to a double flat there are as many."""
LONGEST = 80
"""Characters of a symbol; with every tone of a 13th chord named it takes about forty."""
_SYMBOL = re.compile(
    r"(?P<root>[A-G][b#]{0,4})(?::(?P<shorthand>[a-z]*\d*)(?:\((?P<degrees>[^()]*)\))?)?(?:/(?P<bass>.+))?", re.ASCII
)
_DEGREE = re.compile(r"(?P<sign>b*|#*)(?P<degree>1[0-3]|[1-9])", re.ASCII)
_WITHIN = {8: 1, 10: 3, 12: 5}
"""Degrees beyond the octave that are no tensions."""
_ABOVE = {2: 9, 4: 11}


class HarteError(HarmonyError):
    """A symbol of the shorthand that can't be read."""

    what = "chord"


def harte_of(symbol: ChordSymbol | None) -> str:
    """Write a chord in the shorthand; None is silence, `N`."""
    if symbol is None:
        return SILENCE
    text = f"{symbol.root}:{_quality_text(symbol.quality)}"
    if symbol.bass is None:
        return text
    interval = between(symbol.root, symbol.bass)
    natural = degree_interval(interval.steps + 1).semitones
    return f"{text}/{accidental_text(interval.semitones - natural)}{interval.steps + 1}"


@lru_cache(maxsize=512)
def _quality_text(quality: Quality) -> str:
    """The shorthand that needs the fewest degrees beside it; the earliest in the table on a tie."""
    wanted = set(quality.tones)
    choices = []
    for order, (shorthand, tones) in enumerate((*SHORTHANDS.items(), ("", ((1, 0),)))):
        left_out, added = sorted(set(tones) - wanted), sorted(wanted - set(tones))
        altered = sum(abs(step) for _, step in left_out)
        choices.append((len(left_out) + len(added), len(left_out), altered, order, shorthand, left_out, added))
    *_, shorthand, left_out, added = min(choices)
    degrees = [*(f"*{_degree_text(tone)}" for tone in left_out), *map(_degree_text, added)]
    return shorthand + (f"({','.join(degrees)})" if degrees else "")


def _degree_text(tone: Tone) -> str:
    return f"{accidental_text(tone[1])}{tone[0]}"


@lru_cache(maxsize=4096)
def symbol_of_harte(text: str) -> ChordSymbol | None:
    """Read a chord in the shorthand; None is silence, `N`. Raises HarteError."""
    plain = text.strip()
    if plain == SILENCE:
        return None
    match = _SYMBOL.fullmatch(plain) if len(plain) <= LONGEST else None
    if match is None:
        found = repr(plain[:LONGEST]) if plain else "nothing"
        raise HarteError(text[:LONGEST], 1, found, "`N`, or a root and a shorthand, as in `C:maj7` or `A:min7/b3`")
    root = readable(_note(match["root"]))
    quality = quality_of(_tones(match, plain))
    if quality is None:
        at = match.end("root") + 2
        raise HarteError(plain, at, repr(plain[at - 1 :]), "tones that a chord symbol holds")
    bass = None if match["bass"] is None else _bass(root, match["bass"], match.start("bass") + 1, plain)
    return ChordSymbol(root, quality, bass)


def _note(text: str) -> NoteName:
    return NoteName(text[0], text.count("#") - text.count("b"))


def _bass(root: NoteName, text: str, column: int, whole: str) -> NoteName:
    degree, step = _degree(text, column, whole)
    return readable(transposed(root, degree_interval(degree, step)))


def _degree(text: str, column: int, whole: str) -> Tone:
    match = _DEGREE.fullmatch(text.strip())
    if match is None or len(match["sign"]) > MOST_SIGNS:
        raise HarteError(whole, column, repr(text), "a degree from 1 to 13, as in `b3` or `#11`")
    return int(match["degree"]), match["sign"].count("#") - match["sign"].count("b")


def _tones(match: re.Match[str], whole: str) -> tuple[Tone, ...]:
    """The tones of a shorthand with what its brackets add and leave out, in order."""
    shorthand, listed = match["shorthand"], match["degrees"]
    if not shorthand and listed is None:
        if match["root"] and whole[match.end("root") : match.end("root") + 1] == ":":
            raise HarteError(whole, match.end("root") + 2, "nothing after `:`", f"one of {', '.join(SHORTHANDS)}")
        shorthand = "maj"
    own = SHORTHANDS.get(shorthand) or LATER_SHORTHANDS.get(shorthand) if shorthand else ((1, 0),)
    if own is None:
        expected = f"one of {', '.join(SHORTHANDS)}"
        raise HarteError(whole, match.start("shorthand") + 1, repr(shorthand), expected)
    tones = set(own)
    column = match.start("degrees") + 1
    added: list[Tone] = []
    for word in listed.split(",") if listed is not None else ():
        tone = _degree(word.strip().removeprefix("*"), column, whole)
        if not word.strip().startswith("*"):
            added.append(tone)
        elif tone in tones:
            tones.remove(tone)
        else:
            raise HarteError(whole, column, repr(word), "a tone of the shorthand behind `*`")
        column += len(word) + 1
    return tuple(sorted(_placed(tones, added)))


def _placed(tones: set[Tone], added: list[Tone]) -> set[Tone]:
    """Tones with added ones where theory stacks them: a second beside a third is a ninth."""
    together = tones | {(_WITHIN.get(degree, degree), step) for degree, step in added}
    third = any(degree == 3 for degree, _ in together)
    seventh = any(degree == 7 for degree, _ in together)
    placed = set()
    for degree, step in together:
        if degree == 6 and seventh:
            degree = 13
        elif third and degree in _ABOVE:
            degree = _ABOVE[degree]
        placed.add((degree, step))
    return placed
