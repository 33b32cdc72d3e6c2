"""Cadence types by the words that players use for them.

A type goes by its name in the table, by its id, and by the wordings below: degrees as words, numbers or
numerals (`two five one`, `2 5 1`, `251`, `ii V I`), the mode before or after them. Case, commas and dashes
say nothing. Some words that stand in only one type's wordings are enough (`backd`, `thirds`); what
fits several types or none is told with the nearest names. The wordings are common practice, no source.
"""

import re
from collections.abc import Mapping
from difflib import SequenceMatcher
from functools import lru_cache
from types import MappingProxyType

from trainer.harmony.cadence import CADENCE, CADENCES

WORDINGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "major-five-one": ("5 1", "major 5 1", "authentic", "perfect"),
        "major-two-five-one": ("2 5 1", "major 2 5 1"),
        "major-four-five-one": ("4 5 1", "major 4 5 1"),
        "sus-five-one": ("sus", "sus 5 1", "5 sus 1", "suspended 5 1", "suspended"),
        "plagal": ("plagal", "amen", "4 1", "major 4 1", "major plagal"),
        "minor-plagal": ("minor 4 1", "4 minor 1", "minor plagal", "4 minor to 1 major", "minor 4 to major 1"),
        "backdoor": ("backdoor", "back door", "backdoor 2 5", "back door 2 5", "backdoor 2 5 1", "4 b7 1", "b7 7 1",
                     "4 minor b7 1"),
        "tritone-five-one": ("tritone sub", "tritone substitute", "tritone substitution", "tritone", "b2 1",
                             "major b2 1", "tritone sub to 1"),
        "tritone-two-five-one": ("2 b2 1", "2 5 1 with tritone sub", "tritone 2 5 1", "tritone sub 2 5 1",
                                 "2 tritone sub 1"),
        "minor-two-to-major-one": ("minor 2 5 to major", "minor 2 5 to major 1", "minor 2 5 major 1",
                                   "2 5 minor to major 1"),
        "flat-seven-one": ("b7 1", "major b7 1"),
        "flat-six-seven-one": ("b6 b7 1", "b6 7 1"),
        "minor-five-one": ("minor 5 1",),
        "minor-two-five-one": ("minor 2 5 1", "2 ø 5 1"),
        "minor-four-five-one": ("minor 4 5 1",),
        "minor-tritone-five-one": ("minor tritone sub", "minor tritone", "tritone sub to minor", "minor b2 1",
                                   "tritone substitute to minor"),
        "descending-tetrachord": ("tetrachord", "minor walk down", "walk down", "minor 1 b7 b6 5 1", "1 b7 b6 5 1",
                                  "descending tetrachord", "lament"),
        "picardy": ("picardy", "picardy third"),
        "half": ("half", "half cadence", "open", "1 2 5", "half close"),
        "deceptive-six": ("deceptive 6", "5 6", "2 5 6", "deceptive to 6", "interrupted to 6"),
        "deceptive-flat-six": ("deceptive b6", "5 b6", "2 5 b6", "deceptive to b6"),
        "deceptive-three": ("deceptive 3", "5 3", "2 5 3", "deceptive to 3"),
        "unfinished-two-five": ("2 5", "unfinished 2 5", "open 2 5", "2 5 no 1", "2 5 without 1"),
        "dominant-retreats": ("5 4 1", "dominant retreats", "retreat"),
        "applied-five": ("applied 5", "applied dominant", "secondary dominant", "secondary 5", "5 of"),
        "applied-two-five": ("applied 2 5", "secondary 2 5", "2 5 of"),
        "applied-tritone": ("applied tritone", "applied tritone sub", "secondary tritone sub", "tritone sub of"),
        "extended-dominants": ("extended dominants", "dominant chain", "chain of dominants", "dominants",
                               "dominants down", "circle of dominants"),
        "one-six-two-five": ("1 6 2 5", "major 1 6 2 5", "1 6 2 5 1", "major turnaround"),
        "three-six-two-five": ("3 6 2 5", "major 3 6 2 5", "3 6 2 5 1"),
        "minor-turnaround": ("minor turnaround", "minor 1 6 2 5", "minor 1 6 2 5 1"),
        "chromatic-turnaround": ("chromatic turnaround", "1 b3 b6 b2", "tritone turnaround"),
        "rising-diminished": ("rising diminished", "1 #1 2 5", "1 #1 diminished 2 5", "1 sharp 1 2 5"),
        "falling-from-sharp-four": ("falling from #4", "down from #4", "from #4", "#4 down", "#4 walk down"),
        "passing-diminished": ("passing diminished", "passing"),
        "common-tone-diminished": ("common tone diminished", "common tone", "same root diminished"),
        "line-cliche": ("line cliche", "cliche", "minor line", "line"),
        "two-five-chain": ("2 5 chain", "chain of 2 5", "chain of 2 5s", "chain"),
        "tonic-turns-minor": ("tonic turns minor", "1 turns minor", "1 becomes 2", "1 minor becomes 2"),
        "major-third-cycle": ("major third cycle", "major thirds", "cycle of thirds", "third cycle", "thirds"),
        "blues-four": ("blues 4", "blues 1 4 1", "4 of a blues", "1 4 1"),
        "blues-last-four": ("blues last 4", "last 4 of a blues", "blues 5 4 1", "blues ending"),
        "minor-blues-last-four": ("minor blues", "minor blues last 4", "last 4 of a minor blues", "b6 5 1",
                                  "minor blues ending", "minor b6 5 1"),
        "interrupted-after-two": ("interrupted after 2",),
        "interrupted-after-two-and-again": ("interrupted after 2 and again",),
        "interrupted-after-two-five": ("interrupted after 2 5",),
        "interrupted-after-two-five-and-again": ("interrupted after 2 5 and again",),
        "interrupted-after-five": ("interrupted after 5",),
    }
)  # fmt: skip
"""What players call each type, beside its name and its id."""

MOST_TOLD = 4
"""Names that are told where a word fits several types or none."""
ALIKE = 0.6
"""How like a name a text must be to be told as the nearest, 0 to 1."""

_SAME: Mapping[str, str] = MappingProxyType(
    {
        "one": "1", "two": "2", "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7",
        "fives": "5", "min": "minor", "mi": "minor", "m": "minor", "maj": "major", "dim": "diminished",
        "substitute": "sub", "substitution": "sub", "subst": "sub", "suspended": "sus", "sus4": "sus",
        "cliché": "cliche", "dominants": "dominant", "thirds": "third", "2s": "2", "5s": "5",
    }
)  # fmt: skip
_FILLERS = frozenset(
    {"a", "an", "the", "in", "into", "cadence", "progression", "it", "is", "was", "that", "then", "and", "s"}
)
_SIGNS = {"flat": "b", "♭": "b", "b": "b", "sharp": "#", "♯": "#", "#": "#"}
_ROMAN: Mapping[str, str] = MappingProxyType(
    {"i": "1", "ii": "2", "iii": "3", "iv": "4", "v": "5", "vi": "6", "vii": "7"}
)
_NUMERAL = re.compile(r"(?P<roman>vii|vi|v|iv|iii|ii|i)(?:maj7|maj|7|6|9|13)?")
_WORD = re.compile(r"[b♭#♯](?=[1-7]|(?:vii|vi|v|iv|iii|ii|i)(?![a-z])|(?:v|ii?i?|iv|vii?)(?:maj)?[679])"
                   r"|[a-zé]+[0-9]*|[0-9]+s?|[^\s,.;:|/()'`’>→_–—-]")  # fmt: skip


@lru_cache(maxsize=2048)
def words_of(text: str) -> tuple[str, ...]:
    """A text as the words that count: degrees as numbers with their signs, minor or major first."""
    out: list[str] = []
    sign = ""
    for part in _WORD.findall(text.casefold()):
        if part in _SIGNS:
            sign = _SIGNS[part]
            continue
        for word in part if part.isdigit() else (part,):
            numeral = _NUMERAL.fullmatch(word)
            known = _SAME.get(word, word) if numeral is None else _ROMAN[numeral["roman"]]
            if known not in _FILLERS:
                out.append(sign + known)
            sign = ""
    modes = [word for word in out if word in ("minor", "major")]
    rest = [word for word in out if word not in ("minor", "major")]
    return tuple(modes + rest if len(modes) == 1 else out)


@lru_cache(maxsize=1)
def _known() -> Mapping[tuple[str, ...], str]:
    """Types by their wordings; a wording that two types could claim would be a fault of the table."""
    found: dict[tuple[str, ...], str] = {}
    for row in CADENCES:
        for wording in (row.name, row.id, row.id.replace("-", " "), *WORDINGS[row.id]):
            words = words_of(wording)
            if found.setdefault(words, row.id) != row.id:
                raise AssertionError(f"{wording!r} is {row.id} and {found[words]}")
    return MappingProxyType(found)


@lru_cache(maxsize=2048)
def types_named(text: str) -> tuple[str, ...]:
    """The types that a text may name, in the table's order: one where it is clear, several, or none."""
    words = words_of(text)
    if not words:
        return ()
    exact = _known().get(words)
    if exact is not None:
        return (exact,)
    fitting = {unit for wording, unit in _known().items() if _is_in(words, wording)}
    return tuple(row.id for row in CADENCES if row.id in fitting)


def _is_in(words: tuple[str, ...], wording: tuple[str, ...]) -> bool:
    """Whether some words stand in a wording, side by side, the last one perhaps cut short."""
    return any(_stand(words, wording[at : at + len(words)]) for at in range(len(wording) - len(words) + 1))


def _stand(words: tuple[str, ...], there: tuple[str, ...]) -> bool:
    last, whole = words[-1], there[-1]
    return words[:-1] == there[:-1] and (whole == last or (len(last) > 2 and whole.startswith(last)))


def nearest(text: str) -> tuple[str, ...]:
    """The types whose names are most like a text that names none, the nearest first; perhaps none."""
    typed = " ".join(words_of(text))
    likeness: dict[str, float] = {}
    for wording, unit in _known().items():
        ratio = SequenceMatcher(None, typed, " ".join(wording)).ratio()
        likeness[unit] = max(ratio, likeness.get(unit, 0.0))
    ranked = sorted(likeness, key=lambda unit: -likeness[unit])
    return tuple(unit for unit in ranked[:MOST_TOLD] if likeness[unit] >= ALIKE)


def told_names(units: tuple[str, ...]) -> str:
    """Some types by their names, a few at most."""
    named = [f"`{CADENCE[unit].name}`" for unit in units[:MOST_TOLD]]
    more = len(units) - len(named)
    if more > 0:
        return f"{', '.join(named)} and {more} more"
    return named[0] if len(named) == 1 else f"{', '.join(named[:-1])} or {named[-1]}"
