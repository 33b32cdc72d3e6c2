"""The glossary: the words of the trade and a word for each cadence type, found by any name, spelled in any key."""

import difflib
import re
from collections.abc import Mapping
from types import MappingProxyType

from trainer.errors import KeyfarerError
from trainer.harmony.cadence import CADENCES, CadenceType, foreign_key
from trainer.harmony.key import Key, parse_key, simplest_key
from trainer.harmony.numeral import chord_of_any, parse_any
from trainer.harmony.symbol import ChordSymbol
from trainer.harmony.terms import GROUPS, TERMS_OF_THE_TRADE, Example, Term
from trainer.records import dataclass


class TermError(KeyfarerError):
    """A word that isn't in the table."""


_AROUND: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "flat-six-seven-one": ("Imaj7", "V7 Imaj7"),
        "half": ("ii7 V7 Imaj7", ""),
        "deceptive-six": ("Imaj7", "ii7 V7 Imaj7"),
        "deceptive-flat-six": ("Imaj7", "ii7 V7 Imaj7"),
        "applied-five": ("Imaj7", "V7 Imaj7"),
        "applied-two-five": ("Imaj7", "V7 Imaj7"),
        "applied-tritone": ("Imaj7", "V7 Imaj7"),
        "falling-from-sharp-four": ("Imaj7", ""),
        "blues-last-four": ("", "I7"),
    }
)
"""What stands before and after a type's formula in its example, where it isn't heard as itself alone."""

_OTHER_NAMES: Mapping[str, str] = MappingProxyType(
    {
        "plagal": "amen; amen cadence",
        "half": "half close; open cadence",
        "picardy": "major ending in minor; picardy third",
        "backdoor": "back door; backdoor two–five–one",
        "descending-tetrachord": "walk-down; andalusian",
    }
)
"""Names beside those of the table."""


def _of_type(row: CadenceType) -> Term:
    """The word for a row of the cadence table."""
    before, after = _AROUND.get(row.id, ("", ""))
    chords = (*before.split(), *_chords_of(row), *after.split())
    near = tuple(dict.fromkeys((*_family(row), *row.taken_for, *row.after)))
    also = tuple(name.strip() for name in _OTHER_NAMES.get(row.id, "").split(";") if name.strip())
    return Term(row.id, row.name, "cadences", row.about, near, also, Example(chords, row.mode), row.id)


def _chords_of(row: CadenceType) -> tuple[str, ...]:
    """A type's formula, with the moves to another key and back where one breaks in."""
    shape = row.interruption
    if shape is None:
        return row.formula
    return (*shape.before, f"@{shape.distances[0]}", *shape.foreign, "@0", *shape.resumed)


def _family(row: CadenceType) -> tuple[str, ...]:
    """The wider words that a type belongs to."""
    families = {
        "interruption": bool(row.shapes),
        "applied-dominant": bool(row.degrees),
        "deceptive": row.id.startswith("deceptive"),
        "turnaround": "turnaround" in row.id or row.id in ("one-six-two-five", "three-six-two-five"),
        "tritone-substitute": "tritone" in row.id,
        "diminished": "diminished" in row.id,
        "blues": "blues" in row.id,
        "two-five-one": row.id in ("major-two-five-one", "minor-two-five-one"),
        "plagal": row.functions[-2:] == ("plagal", "tonic") and row.id != "plagal",
    }
    return tuple(word for word, belongs in families.items() if belongs)


_WITH_TYPES = (*TERMS_OF_THE_TRADE, *map(_of_type, CADENCES))
TERMS: tuple[Term, ...] = tuple(sorted(_WITH_TYPES, key=lambda term: GROUPS.index(term.group)))
"""The words group by group; the types of the cadence table stand behind the other words of cadences."""

TERM: Mapping[str, Term] = MappingProxyType({term.id: term for term in TERMS})
"""By id."""

_MOVE = re.compile(r"@(?P<up>[0-9]+)(?P<minor>m?)")


@dataclass(frozen=True, slots=True)
class Stated:
    """One chord of an example."""

    symbol: ChordSymbol
    numeral: str
    key: Key
    """The key that the numeral counts from."""


def example_key(example: Example, key: Key | None = None) -> Key:
    """The key of an example: one with the tonic asked for, C where none is; the mode is the example's own."""
    if key is None:
        return Key(parse_key("C").tonic, example.mode)
    return key if key.mode == example.mode else simplest_key(key.tonic.pitch_class, example.mode, key.fifths < 0)


def stated(example: Example, key: Key | None = None) -> tuple[Stated, ...]:
    """The chords of an example in a key, by default in C, each with its numeral and the key that this counts from."""
    home = now = example_key(example, key)
    found: list[Stated] = []
    for text in example.numerals:
        if (move := _MOVE.fullmatch(text)) is not None:
            now = _moved(home, int(move["up"]), bool(move["minor"]))
        else:
            found.append(Stated(chord_of_any(parse_any(text), now).practical(), text, now))
    return tuple(found)


def _moved(home: Key, up: int, minor: bool) -> Key:
    if not up and minor == (home.mode == "minor"):
        return home
    if not minor:
        return foreign_key(home, up)
    return simplest_key(home.tonic.pitch_class + up, "minor", prefer_flats=home.fifths < 0)


def plain(text: str) -> str:
    """A word without what nobody types alike: case, spaces, dashes, quotes."""
    return "".join(letter for letter in text.casefold() if letter.isalnum() or letter in "#/°ø")


_NAMES: Mapping[str, str] = MappingProxyType(
    {plain(name): term.id for term in reversed(TERMS) for name in (*term.also, term.name)}
    | {plain(id): id for id in TERM}
)
"""Every name of every word; where two share one, the first of the table has it, and an id goes before all."""

NEAR_ONES = 4


def find_term(text: str) -> Term:
    """Find a word by its id or any of its names. Raises TermError, which tells near ones."""
    wanted = plain(text)
    for form in (wanted, wanted.removesuffix("s"), f"{wanted}s"):
        if form in _NAMES:
            return TERM[_NAMES[form]]
    raise TermError(f"there is no word {text!r} here; {_hint(text)}")


def _hint(text: str) -> str:
    near = [term.id for term in matching(text)[:NEAR_ONES]]
    for name in difflib.get_close_matches(plain(text), _NAMES, NEAR_ONES, 0.6):
        near.append(_NAMES[name])
    told = list(dict.fromkeys(near))[:NEAR_ONES]
    return f"near it: {', '.join(told)}" if told else "`keyfarer words` lists them"


def matching(text: str) -> tuple[Term, ...]:
    """The words with a name that holds a text, those first whose name begins so; all for an empty text."""
    wanted = plain(text)
    ranked: list[tuple[int, Term]] = []
    for term in TERMS:
        names = [plain(name) for name in (term.id, term.name, *term.also)]
        if any(name.startswith(wanted) for name in names):
            ranked.append((0, term))
        elif any(wanted in name for name in names):
            ranked.append((1, term))
    return tuple(term for _, term in sorted(ranked, key=lambda one: one[0]))


__all__ = [
    "TERM", "TERMS", "Example", "Stated", "Term", "TermError", "example_key", "find_term", "matching", "plain",
    "stated",
]  # fmt: skip
