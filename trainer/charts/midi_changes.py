"""Where the chord changes in a MIDI file: notes put on the steps of its bars, and steps into stretches.

What is struck within one step is one chord, however it is broken. A stroke off the beat that rings into
a step where nothing is struck is meant for that step (common practice in comping: an anticipation).
A new chord begins where what is struck isn't already there; a bass that walks under the same chord
changes nothing, a new bass on a strong beat does.
"""

from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from fractions import Fraction
from itertools import accumulate

from trainer.charts.midi_bars import EARLY, GridBar, Step
from trainer.charts.midi_file import MidiNote
from trainer.charts.midi_parts import Parts
from trainer.harmony.sounding import chords_sounding
from trainer.records import dataclass

OFF_BEAT = Fraction(2, 5)
"""From here on in a step a stroke may be meant for the next one."""
RINGS_ON = Fraction(1, 4)
"""How much of the next step it then sounds at least."""
HEARD = Fraction(1, 4)
"""How much of a step a note sounds so that the step isn't silent."""
FIRM_BELOW = 48
"""MIDI number, C3: a lowest voice above it needn't be a bass."""
FEW = 3
"""With fewer different notes than this nothing new is said for sure."""
PLAIN_COST = 0.6
"""Up to here a name says all that sounds, without anything missing or foreign (trainer.harmony.sounding)."""


@dataclass(slots=True)
class Stretch:
    """From one chord to the next."""

    first: int
    """An index into the steps."""
    sounding: frozenset[int]
    """Pitch classes; none in silence."""
    bass: int
    """Pitch class."""
    firm: bool = True
    """Its bass lies low, or is somebody's own; otherwise it's only the lowest voice."""


@dataclass(slots=True)
class _Struck:
    """What is struck at one step."""

    chord: list[int] = field(default_factory=list)
    bass: list[int] = field(default_factory=list)
    silent: bool = True


def stretches_of(steps: Sequence[Step], bars: Sequence[GridBar], parts: Parts) -> list[Stretch]:
    """Part the steps into stretches of one chord each."""
    struck = _struck(steps, parts)
    silences = _silences(steps, struck, bars)
    stretches: list[Stretch] = []
    for index, (step, here) in enumerate(zip(steps, struck, strict=True)):
        if index in silences:
            if not stretches or stretches[-1].sounding:
                stretches.append(Stretch(index, frozenset(), 0))
        elif here.chord:
            current = stretches[-1] if stretches and stretches[-1].sounding else None
            _strike(stretches, current, index, step.place == 0, here, _strong(step, bars), bool(parts.bass))
    _find_bass(stretches, struck)
    return stretches


def _strong(step: Step, bars: Sequence[GridBar]) -> bool:
    """Whether a step is a bar's first, or begins its second half."""
    bar = bars[step.bar]
    return step.place == 0 or (step.start - bar.start) * 2 == bar.quarters


def _strike(
    stretches: list[Stretch],
    current: Stretch | None,
    index: int,
    begins_bar: bool,
    here: _Struck,
    strong: bool,
    own_bass: bool,
) -> None:
    """Begin a stretch at a step, or let the present one go on; a chord struck anew in a bar is written anew."""
    tones = frozenset(midi % 12 for midi in here.chord)
    lowest = min(here.bass or here.chord)
    low, firm = lowest % 12, own_bass or lowest < FIRM_BELOW
    if current is None:
        stretches.append(Stretch(index, tones, low, firm))
    elif tones <= current.sounding:
        if _new_bass(current, tones, low, here, strong, own_bass):
            stretches.append(Stretch(index, tones, low, firm))
        elif begins_bar:
            stretches.append(replace(current, first=index))
    elif _goes_on(current, tones, here, begins_bar):
        current.sounding |= tones
    else:
        stretches.append(Stretch(index, tones, low, firm))


def _new_bass(current: Stretch, tones: frozenset[int], low: int, here: _Struck, strong: bool, own_bass: bool) -> bool:
    """Whether known tones over another bass are another chord."""
    if low == current.bass:
        return False
    if own_bass:
        fifth = (current.bass + 7) % 12
        return bool(here.bass) and strong and low not in current.sounding and low != fifth
    return len(tones) >= FEW and tones != current.sounding


def _goes_on(current: Stretch, tones: frozenset[int], here: _Struck, begins_bar: bool) -> bool:
    """Whether tones that are new still belong to the present chord; no chord is broken over a barline."""
    if begins_bar:
        return False
    if len(tones) >= FEW or (len(tones) == FEW - 1 and here.bass):
        return len(current.sounding) < FEW and current.sounding <= tones
    if len(current.sounding) < FEW:
        return True
    together = current.sounding | tones
    return chords_sounding(together, current.bass)[0].cost <= PLAIN_COST


def _silences(steps: Sequence[Step], struck: Sequence[_Struck], bars: Sequence[GridBar]) -> set[int]:
    """The steps within silences that are written: half a bar at least, and something comes after them."""
    found: set[int] = set()
    first = 0
    for index, here in enumerate(struck):
        if here.silent:
            continue
        if first < index:
            first = _written_from(steps, bars, first, index)
            lasting = steps[index].start - steps[first].start
            if first == 0 or (index - first > 1 and lasting * 2 >= bars[steps[first].bar].quarters):
                found.update(range(first, index))
        first = index + 1
    return found


def _written_from(steps: Sequence[Step], bars: Sequence[GridBar], first: int, until: int) -> int:
    """Where a silence over a barline is written from: its bar's middle at the latest, else the barline."""
    bar = bars[steps[first].bar]
    end = bar.start + bar.quarters
    if first and (end - steps[first].start) * 2 < bar.quarters and steps[until].start > end:
        return next(index for index in range(first, until) if steps[index].start >= end)
    return first


def _struck(steps: Sequence[Step], parts: Parts) -> list[_Struck]:
    """Put every note on its step."""
    struck = [_Struck() for _ in steps]
    onsets = [_step_at(steps, note.start) for note in parts.chords]
    opened = {at for note, at in zip(parts.chords, onsets, strict=True) if not _off_beat(steps, note, at)}
    for note, at in zip(parts.chords, onsets, strict=True):
        if _off_beat(steps, note, at) and at + 1 < len(steps) and at + 1 not in opened and _rings_on(steps, note, at):
            at += 1
        struck[at].chord.append(note.midi)
    for note in parts.bass:
        struck[_step_at(steps, note.start)].bass.append(note.midi)
    for index, sounds in enumerate(_sounding(steps, (*parts.chords, *parts.bass))):
        struck[index].silent = not sounds
    return struck


def _sounding(steps: Sequence[Step], notes: Sequence[MidiNote]) -> Iterator[bool]:
    """Whether anything sounds in each step."""
    changes = [0] * (len(steps) + 1)
    for note in notes:
        first, last = _step_at(steps, note.start), _step_at(steps, note.until)
        if last > first and note.until - steps[last].start < steps[last].quarters * HEARD:
            last -= 1
        changes[first] += 1
        changes[last + 1] -= 1
    return (count > 0 for count in accumulate(changes[:-1]))


def _step_at(steps: Sequence[Step], at: Fraction) -> int:
    """The step that an onset is meant for, off the beat or on it."""
    low, high = 0, len(steps) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if steps[middle].start - steps[middle - 1].quarters * EARLY <= at:
            low = middle
        else:
            high = middle - 1
    return low


def _off_beat(steps: Sequence[Step], note: MidiNote, at: int) -> bool:
    return note.start - steps[at].start >= steps[at].quarters * OFF_BEAT


def _rings_on(steps: Sequence[Step], note: MidiNote, at: int) -> bool:
    after = steps[at + 1]
    return note.until >= after.start + after.quarters * RINGS_ON


def _find_bass(stretches: Sequence[Stretch], struck: Sequence[_Struck]) -> None:
    """Give stretches that no bass note begins the first one that follows in them."""
    ends = [stretch.first for stretch in stretches[1:]] + [len(struck)]
    for stretch, end in zip(stretches, ends, strict=True):
        if stretch.sounding and not struck[stretch.first].bass:
            later = next((here.bass for here in struck[stretch.first : end] if here.bass), None)
            if later:
                stretch.bass = min(later) % 12
