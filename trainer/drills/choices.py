"""Wrong answers worth offering: what players take a cadence for, as long, and never the same to the ear."""

from collections.abc import Iterable, Iterator, Sequence
from random import Random

from trainer.drills.ambiguity import Sounding, alike, fits, table_rows
from trainer.drills.question import Row
from trainer.harmony.cadence import CADENCE, CADENCES
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of_any, parse_any, parse_numeral
from trainer.harmony.symbol import ChordSymbol

NEIGHBOURS: dict[str, tuple[str, ...]] = {
    "Imaj7": ("vi7", "iii7", "I7"),
    "I6": ("vi7", "iii7", "I7"),
    "I": ("vi", "IV", "i"),
    "i": ("bVI", "iv", "I"),
    "i6": ("bVImaj7", "iv6", "I6"),
    "ii7": ("IVmaj7", "iiø7", "II7"),
    "iiø7": ("iv7", "ii7", "bVI7"),
    "iii7": ("Imaj7", "III7", "vi7"),
    "IV": ("ii", "iv", "bVII"),
    "IVmaj7": ("ii7", "iv7", "bVII7"),
    "iv7": ("IVmaj7", "iiø7", "bVImaj7"),
    "iv6": ("IVmaj7", "bVII7", "ii7"),
    "V": ("IV", "bVII", "ii"),
    "V7": ("bII7", "bVII7", "IVmaj7"),
    "V7b9": ("bII7", "bVII7", "iv7"),
    "vi7": ("VI7", "Imaj7", "IVmaj7"),
    "VI7": ("vi7", "#i°7", "bIII7"),
    "bII7": ("V7", "bVII7", "iv6"),
    "bVII7": ("V7", "iv6", "bII7"),
    "bVImaj7": ("IVmaj7", "vi7", "iv7"),
}
"""What one chord of a row may be changed for where the table has no other row as long."""
BETWEEN = 0.5
"""How often the row that the others lie around lies between each two of them: always would make the right one odd,
never would make it the middle too often (counted over all types, `test_fair_questions.py`)."""
_ANYTHING = ("IVmaj7", "V7", "vi7", "iii7", "bVII7")


def _chords(row: Row, key: Key) -> tuple[ChordSymbol, ...]:
    return tuple(chord_of_any(parse_any(text), key) for text in row)


def offered(unit: str, right: Row, key: Key, sounds: Sequence[Sounding], count: int, rng: Random) -> tuple[Row, ...]:
    """The right row among wrong ones, in random order.

    The rows lie around one of them, which is the right one no oftener than any other: who only looks for the row
    that is most like the others, or least, is right by luck alone.
    """
    rows = [right]
    known = {_heard(right, key)}

    def fill(candidates: Iterable[Row], until: int) -> None:
        for row in candidates:
            if len(rows) == until:
                return
            heard = _heard(row, key)
            same = all(fits(one, chord) for one, chord in zip(sounds, _chords(row, key), strict=True))
            if heard not in known and not same:
                known.add(heard)
                rows.append(row)

    near = list(_candidates(unit, right, rng))
    if rng.randrange(count):
        fill(near, 2)
        around = [*near, *_changed_as_far(right, rows[-1])]
        rng.shuffle(around)
        between = rng.random() < BETWEEN
        while len(rows) < count:
            before = len(rows)
            fill(sorted(around, key=lambda row: _unevenness(row, rows, between)), before + 1)
            if len(rows) == before:
                break
    fill(near, count)
    rng.shuffle(rows)
    return tuple(rows)


def _changed_as_far(right: Row, middle: Row) -> list[Row]:
    """The middle row with one chord changed; with two where it is farther from the right one."""
    once = list(_changed(middle))
    return once if _apart(right, middle) == 1 else [*once, *(row for one in once for row in _changed(one))]


def _unevenness(row: Row, rows: Sequence[Row], between: bool) -> int:
    """How far a row is from standing to those chosen as the first one does: as far from the second, and from each.

    between: the second is to lie between the two.
    """
    right, middle, *others = rows
    uneven = abs(_apart(row, middle) - _apart(right, middle))
    if between:
        uneven += _apart(row, right) <= _apart(right, middle)
    for other in others:
        far = _apart(right, other)
        uneven += abs(_apart(right, row) - far) + abs(_apart(other, row) - far)
    return uneven


def _apart(row: Row, other: Row) -> int:
    return len(row) - _shared(row, other)


def _heard(row: Row, key: Key) -> tuple[tuple[int, int, int], ...]:
    return tuple(map(alike, _chords(row, key)))


def _candidates(unit: str, right: Row, rng: Random) -> Iterator[Row]:
    """Rows as long as the right one: what the type is taken for, what is taken for it, its neighbours."""
    by_unit: dict[str, list[Row]] = {}
    for other, _, row in table_rows(len(right)):
        by_unit.setdefault(other, []).append(row)
    near = [*CADENCE[unit].taken_for]
    near += [row.id for row in CADENCES if unit in row.taken_for and row.id not in near]
    for other in near:
        if other != unit and other in by_unit:
            yield max(by_unit[other], key=lambda row: (_shared(row, right), rng.random()))
    changed = list(_changed(right))
    rng.shuffle(changed)
    rest = [max(rows, key=lambda row: _shared(row, right)) for other, rows in by_unit.items() if other != unit]
    rest = [row for row in rest if _shared(row, right) >= len(right) / 2]
    rng.shuffle(rest)
    yield from rest
    yield from changed


def _shared(row: Row, right: Row) -> int:
    return sum(one == other for one, other in zip(row, right, strict=True))


def _changed(right: Row) -> Iterator[Row]:
    """The right row with one chord changed for a neighbour."""
    for index, text in enumerate(right):
        for other in NEIGHBOURS.get(text, _ANYTHING):
            if parse_numeral(other) != parse_any(text):
                yield (*right[:index], other, *right[index + 1 :])
