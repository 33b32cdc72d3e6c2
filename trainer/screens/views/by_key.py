"""How each type is heard in each key: a digit a key, and a sign where it goes better or worse than elsewhere.

Keys stand down the circle of fifths, as `keyfarer progress TYPE` has them, so that a weak stretch shows as one.
"""

from collections.abc import Mapping

from trainer.harmony.note_names import named
from trainer.memory.share import FEW
from trainer.memory.unit import tonic_place
from trainer.practice.over_time import FIFTHS, TELLING, HeardIn
from trainer.practice.progress_words import TOO_FEW, share_word
from trainer.practice.words import name_of
from trainer.screens.views.types import units
from trainer.screens.views.view import WIDE, Shown, View
from trainer.screens.widgets.sheet import Cell, Head, Table

BETTER, WORSE, FEW_SIGN = "+", "-", "·"
WELL, BADLY = 8, 4
"""From so many tenths on a digit has the color of what is right, up to so many that of what to hear again."""
LEGEND = (
    f"Digits: tenths heard above guessing, 0 to 9. {BETTER} better, {WORSE} worse than elsewhere. Dot: fewer than six "
    "answers. Blank: not asked of late."
)
PLACES: Mapping[str, str] = {tonic_place(key): key for key in FIFTHS}
"""By the place of a tonic, its name."""


def sum_of(shown: Shown) -> str:
    """In how many keys there is something to tell."""
    told = sum(heard.counted.answers >= FEW for keys in shown.keys.values() for heard in keys.values())
    if not told:
        return f"How each type is heard in each key: so far {TOO_FEW}."
    return "How each type is heard in each key."


def table(shown: Shown, width: int) -> Table:
    """A row a type, a column a key."""
    wide = width >= WIDE
    heads = [Head("type", gives=True, most=40), *(Head(f"{named(key, shown.naming):<2}") for key in FIFTHS)]
    heads += [Head("answers", right=True), Head("least in", style="$secondary")] * wide
    rows = []
    for unit in units(shown):
        keys = shown.keys.get(unit, {})
        row: list[Cell] = [name_of(unit), *(cell(keys.get(place)) for place in PLACES)]
        if wide:
            least = least_heard(keys)
            row += [f"{sum(one.counted.answers for one in keys.values())}", key_word(least, shown)]
        rows.append(tuple(row))
    return Table(tuple(heads), tuple(rows))


def cell(heard: HeardIn | None) -> Cell:
    """A digit with its sign; the color says no more than these."""
    if heard is None:
        return ""
    if heard.counted.answers < FEW:
        return FEW_SIGN, "$quiet"
    digit = tenths(heard.counted.above_guessing)
    more = heard.beside
    sign = "" if more is None or abs(more) < TELLING else BETTER if more > 0 else WORSE
    return f"{digit}{sign}", "$success" if digit >= WELL else "$error" if digit <= BADLY else ""


def tenths(share: float) -> int:
    """Whole tenths of a share, 0 to 9."""
    return max(0, min(9, int(10 * share + 1e-9)))


def enough(keys: Mapping[str, HeardIn]) -> list[str]:
    """The places with answers enough to tell, the surest weakness first."""
    told = [place for place, heard in keys.items() if heard.counted.answers >= FEW]
    return sorted(told, key=lambda place: (keys[place].counted.share.high, keys[place].counted.share.heard, place))


def least_heard(keys: Mapping[str, HeardIn]) -> str:
    """The place that is most surely heard least; empty where there are not two to set beside each other."""
    told = enough(keys)
    return told[0] if len(told) > 1 else ""


def about(shown: Shown, at: int) -> str:
    """Where one type is heard least and best, with bounds."""
    unit = units(shown)[at]
    keys = shown.keys.get(unit, {})
    told = enough(keys)
    if not told:
        return f"{name_of(unit)}: fewer than {FEW} answers in each key, {TOO_FEW}."
    if len(told) == 1:
        return f"{name_of(unit)}: {in_words(told[0], keys, shown)}; elsewhere {TOO_FEW}."
    best = max(told, key=lambda place: (keys[place].counted.share.low, keys[place].counted.share.heard, place))
    return f"{name_of(unit)}: heard least in {in_words(told[0], keys, shown)}, best in {in_words(best, keys, shown)}."


def key_word(place: str, shown: Shown) -> str:
    """A key by its place, as the player names it."""
    return named(PLACES.get(place, place), shown.naming)


def in_words(place: str, keys: Mapping[str, HeardIn], shown: Shown) -> str:
    """A key with what is heard of how many answers, and the bounds."""
    counted = keys[place].counted
    share = counted.share
    bounds = f"{share_word(share.low)} to {share_word(share.high)}"
    return f"{key_word(place, shown)}, {share_word(share.heard)} of {counted.answers} answers ({bounds})"


VIEW = View("keys", sum_of, LEGEND, table, about, units)
