"""Wrong answers worth offering: what players take a cadence for, as long, and never the same to the ear."""

from collections.abc import Iterator, Sequence
from random import Random

from trainer.drills.ambiguity import Sounding, fits, table_rows
from trainer.drills.question import Row
from trainer.harmony.cadence import CADENCE, CADENCES
from trainer.harmony.key import Key
from trainer.harmony.numeral import chord_of_any, parse_any, parse_numeral
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.heard import heard

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
_ANYTHING = ("IVmaj7", "V7", "vi7", "iii7", "bVII7")


def _alike(chord: ChordSymbol) -> tuple[int, int, int]:
    """What two chords share that nobody could tell apart: bass, sounding root and class."""
    known = heard(chord)
    return chord.bass_name.pitch_class, known.root, int(known.kind)


def _chords(row: Row, key: Key) -> tuple[ChordSymbol, ...]:
    return tuple(chord_of_any(parse_any(text), key) for text in row)


def offered(
    unit: str, right: Row, key: Key, sounds: Sequence[Sounding], count: int, rng: Random
) -> tuple[Row, ...]:
    """The right row among wrong ones, in random order."""
    rows = [right]
    known = {tuple(map(_alike, _chords(right, key)))}
    for row in _candidates(unit, right, rng):
        if len(rows) == count:
            break
        chords = _chords(row, key)
        signature = tuple(map(_alike, chords))
        if signature in known or all(fits(one, chord) for one, chord in zip(sounds, chords, strict=True)):
            continue
        known.add(signature)
        rows.append(row)
    rng.shuffle(rows)
    return tuple(rows)


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
    rest = [
        max(rows, key=lambda row: _shared(row, right)) for other, rows in by_unit.items() if other != unit
    ]
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
