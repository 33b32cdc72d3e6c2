"""The bass line: which beats are played, what may stand on each, and the cheapest line through them.

A walking line has the root (or the written bass) where a chord begins, tones of the chord and of its
scale on the other beats, and on the last beat before another root an approach: a half or whole step
from it, or the fifth above it. A bass that is no tone of its chord, or that several chords share, is a
pedal and stays. Of all lines the one that costs least is played. Common practice, no source.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from functools import lru_cache

from trainer.harmony.quality import Quality, semitones_of
from trainer.records import dataclass
from trainer.voicing.bass_search import PLACE_COSTS, BassKind, Choice, least_line
from trainer.voicing.layout import Layout, Row, Stretch
from trainer.voicing.leading import VoicedChord, muddy
from trainer.voicing.patterns import BassFeel, accent, bass_places, group_starts, pulses
from trainer.voicing.scales import chord_steps, steps_of
from trainer.voicing.shapes import Aim
from trainer.voicing.styles import BASS_REGISTER, Register

WALKING_REGISTER = Register(28, 52, 38)
"""E1, the lowest string of a double bass, to E3: where a walking line lies well under the keys."""


@dataclass(frozen=True, slots=True)
class BassSlot:
    """One place of the line."""

    when: Fraction
    """Quarters from the start of everything."""
    chord: int | None
    harder: int
    kind: BassKind


def bass_slots(layout: Layout, feel: BassFeel, chords: Sequence[VoicedChord], fifths: bool) -> list[BassSlot]:
    """The places of the line, silences as rests."""
    slots: list[BassSlot] = []
    for row in layout.rows:
        for stretch in row.stretches:
            if stretch.chord is None:
                slots.append(BassSlot(row.when(stretch.at), None, 0, "rest"))
            elif feel == "walking":
                slots += _walked(row, stretch)
            else:
                slots += _patterned(row, stretch, feel, fifths)
    return _leading_on(slots, chords) if feel == "walking" else slots


def _patterned(row: Row, stretch: Stretch, feel: BassFeel, fifths: bool) -> Iterable[BassSlot]:
    meter = row.bar.meter
    least = Fraction(1, 2) if feel == "bossa" else Fraction(1)
    places = [stretch.at] if stretch.struck else []
    places += [
        place
        for place in bass_places(meter, feel)
        if stretch.at <= place and place + least <= stretch.until and place not in places
    ]
    for index, place in enumerate(places):
        second = place > stretch.at
        if feel == "bossa":
            second = index % 4 in (1, 2)
        kind: BassKind = "fifth" if second and fifths and feel in ("halves", "bossa") else "voiced"
        yield BassSlot(row.when(place), stretch.chord, accent(place, meter), kind)


def _walked(row: Row, stretch: Stretch) -> Iterable[BassSlot]:
    meter = row.bar.meter
    places = sorted({stretch.at, *(pulse for pulse in pulses(meter) if stretch.at <= pulse < stretch.until)})
    if stretch.at not in pulses(meter) and not stretch.struck:
        places.remove(stretch.at)
    for place in places:
        kind: BassKind = "weak" if place not in group_starts(meter) else "strong" if place else "again"
        if place == stretch.at and stretch.struck:
            kind = "root"
        yield BassSlot(row.when(place), stretch.chord, accent(place, meter), kind)


def _leading_on(slots: list[BassSlot], chords: Sequence[VoicedChord]) -> list[BassSlot]:
    """Pedals where the bass stays, and an approach before each root that is another one."""
    found = []
    for slot, after in zip(slots, [*slots[1:], None], strict=True):
        kind = slot.kind
        if slot.chord is not None:
            here = _bass_class(chords[slot.chord])
            if _stays(slot.chord, chords):
                kind = "pedal"
            elif after is not None and after.chord is not None and after.chord != slot.chord and kind != "root":
                kind = "approach" if _bass_class(chords[after.chord]) != here else kind
        found.append(BassSlot(slot.when, slot.chord, slot.harder, kind))
    return found


def _bass_class(chord: VoicedChord) -> int:
    return chord.symbol.bass_name.pitch_class


def _stays(index: int, chords: Sequence[VoicedChord]) -> bool:
    """Whether the written bass is foreign to its chord, or is one that a neighbour with another root has too."""
    symbol = chords[index].symbol
    bass = symbol.bass_name.pitch_class
    if symbol.bass is not None and (bass - symbol.root.pitch_class) % 12 not in chord_steps(symbol.quality):
        return True
    beside = chords[max(0, index - 1) : index + 2]
    return any(
        other.symbol.root.pitch_class != symbol.root.pitch_class and _bass_class(other) == bass for other in beside
    )


def bass_line(slots: Sequence[BassSlot], chords: Sequence[VoicedChord], aims: Sequence[Aim | None]) -> list[int | None]:
    """The MIDI number of each place, None for rests; every stretch between rests costs least in all."""
    line: list[int | None] = []
    layers: list[tuple[Choice, ...]] = []
    known: dict[tuple[BassKind, int, bool], tuple[Choice, ...]] = {}
    stays: list[bool] = []
    for index, slot in enumerate([*slots, None]):
        if slot is None or slot.kind == "rest" or slot.chord is None:
            line += least_line(layers, stays)
            layers, stays = [], []
            line += [] if slot is None else [None]
            continue
        after = slots[index + 1] if index + 1 < len(slots) else None
        to = None if after is None or after.chord == slot.chord or after.chord is None else chords[after.chord]
        asked = (slot.kind, slot.chord, to is not None)
        if asked not in known:
            known[asked] = choices(slot.kind, chords[slot.chord], aims[slot.chord], to)
        layers.append(known[asked])
        stays.append(slot.kind == "pedal")
    return line


def choices(kind: BassKind, chord: VoicedChord, aim: Aim | None, to: VoicedChord | None) -> tuple[Choice, ...]:
    """What may stand at a place, with its cost: in the register, under the keys and clear of them.

    `to` is the chord that begins next, which an approach leads to and whose keys may come ahead of their
    beat. The voiced bass stands where nothing else may.
    """
    voiced = None if chord.bass is None else chord.bass.midi
    if voiced is None:
        return ()
    if kind == "voiced":
        return ((voiced, 0),)
    keys = tuple(key.midi for key in chord.keys)
    if kind == "fifth":
        return tuple((midi, 0) for midi in _fifths(chord) if _clear(midi, keys)) or ((voiced, 0),)
    symbol, goal = chord.symbol, None if to is None else _bass_class(to)
    found = _walking_choices(
        kind, symbol.root.pitch_class, symbol.bass_name.pitch_class, symbol.quality, aim,
        goal if kind == "approach" else None,
    )  # fmt: skip
    clear = tuple(choice for choice in found if _clear(choice[0], keys))
    ahead = () if to is None else tuple(key.midi for key in to.keys)
    return tuple(choice for choice in clear if _clear(choice[0], ahead)) or clear or ((voiced, 0),)


@lru_cache(maxsize=8192)
def _walking_choices(
    kind: BassKind, root: int, bass: int, quality: Quality, aim: Aim | None, goal: int | None
) -> tuple[Choice, ...]:
    tones, scale = chord_steps(quality), steps_of(quality, aim)
    found = []
    for midi in range(WALKING_REGISTER.low, WALKING_REGISTER.high + 1):
        role = _role(kind, midi, bass, (midi - root) % 12, tones, scale, goal)
        cost = PLACE_COSTS.get((kind, role)) if role else None
        if cost is not None:
            found.append((midi, cost + abs(midi - WALKING_REGISTER.middle) // 4))
    return tuple(found)


def _role(
    kind: BassKind, midi: int, bass: int, step: int, tones: frozenset[int], scale: frozenset[int], goal: int | None
) -> str | None:
    """What a note is at a place; None where it may not stand there."""
    if kind == "approach" and goal is not None:
        away = (midi - goal) % 12
        if away in (1, 11):
            return "half step"
        if away in (2, 10):
            return "scale step" if step in scale else "whole step"
        return "fifth above" if away == 7 else None
    if midi % 12 == bass:
        return "root"
    if step in tones:
        return "fifth" if step == 7 else "chord"
    return "scale" if step in scale else None


def _fifths(chord: VoicedChord) -> list[int]:
    """The chord's own fifth in the bass's register, where the bass is the root."""
    fifth = next((tone for tone in chord.symbol.quality.tones if tone[0] == 5), None)
    if fifth is None or chord.symbol.bass is not None:
        return []
    wanted = (chord.symbol.root.pitch_class + semitones_of(fifth)) % 12
    return [midi for midi in range(BASS_REGISTER.low, BASS_REGISTER.high + 1) if midi % 12 == wanted]


def _clear(midi: int, keys: tuple[int, ...]) -> bool:
    """Whether a note lies below the keys and above every low-interval limit with them."""
    return not any(midi >= key or muddy(midi, key) for key in keys)
