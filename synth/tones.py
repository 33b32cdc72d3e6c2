"""The tones: what partials a note of each part has.

A tone is a sum of damped sinusoids.  Partial n of a stiff string lies at n·f0·sqrt(1 + B·n²)
(H. Fletcher, "Normal vibration frequencies of a stiff piano string", 1964); striking or plucking
it at a fraction of its length leaves out the partials that have a node there, internal friction
lets upper partials die sooner, and long low strings ring longer (N. Fletcher and Rossing,
"The Physics of Musical Instruments", 1998).  The numbers are chosen by ear for a warm tone.

Conventions: frequencies in hertz, decay rates per second (amplitude falls by e^(-rate·t)),
amplitudes of full scale, phases in radians; position in the panorama from -1 (left) to 1 (right).
"""

import math
from dataclasses import dataclass
from functools import cache
from random import Random
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.score import Part

Vector = NDArray[np.float64]

HIGHEST_OF_RATE: Final = 0.48
"""No partial lies above this part of the sample rate, so all stay below half of it."""

CLICK_RATIOS: Final = (1.0, 2.756, 5.404, 8.933, 13.34, 18.64)
"""Modes of a bar free at both ends over its lowest (Euler-Bernoulli; Fletcher and Rossing, ch. 2)."""


@dataclass(frozen=True, slots=True)
class Timbre:
    """The numbers that make one part's sound."""

    level: float
    """Amplitude of the fundamental at velocity 100."""
    higher_louder: float
    """The level grows as the fundamental's frequency to this power, so that the top voice sings."""
    tilt: float
    """Amplitudes fall as n to the power -tilt."""
    struck_at: float
    """Where the string is struck or plucked, as a part of its length; 0 leaves no partial out."""
    softest_hz: float
    """How far above the fundamental the spectrum reaches (1/e) at velocity 0."""
    brighter_hz: float
    """How much further it reaches for each step of velocity."""
    stiffness: float
    """Fletcher's B at middle C; it grows with the square of the frequency, so that octaves don't beat."""
    highest_hz: float
    """Partials above this are left out, if 16 remain."""
    decay: float
    """Decay rate of middle C's fundamental."""
    decay_by_pitch: float
    """Decay rates grow as the fundamental's frequency to this power."""
    decay_by_number: float
    """How much faster each further partial dies, as a part of the fundamental's rate."""
    decay_by_khz: float
    """What friction adds to the rate at 1 kHz; it grows with the square of the frequency."""
    attack_s: float
    release_s: float
    spread: float
    """How far from the middle of the panorama a note three octaves from middle C stands."""


TIMBRES: Final[dict[Part, Timbre]] = {
    "keys": Timbre(
        level=0.16, higher_louder=0.15, tilt=0.95, struck_at=0.13, softest_hz=250.0, brighter_hz=18.0, stiffness=1.6e-5,
        highest_hz=4400.0, decay=0.95, decay_by_pitch=0.55, decay_by_number=0.22, decay_by_khz=0.12,
        attack_s=0.003, release_s=0.12, spread=0.4,
    ),
    "bass": Timbre(
        level=0.24, higher_louder=0.0, tilt=1.0, struck_at=0.22, softest_hz=140.0, brighter_hz=6.0, stiffness=1.6e-5,
        highest_hz=1500.0, decay=2.4, decay_by_pitch=0.5, decay_by_number=0.3, decay_by_khz=0.8,
        attack_s=0.003, release_s=0.07, spread=0.0,
    ),
    "drone": Timbre(
        level=0.14, higher_louder=0.0, tilt=1.5, struck_at=0.0, softest_hz=350.0, brighter_hz=4.0, stiffness=0.0,
        highest_hz=4000.0, decay=0.0, decay_by_pitch=0.0, decay_by_number=0.0, decay_by_khz=0.0,
        attack_s=0.03, release_s=0.15, spread=0.0,
    ),
    "click": Timbre(
        level=0.2, higher_louder=0.0, tilt=1.0, struck_at=0.0, softest_hz=1500.0, brighter_hz=20.0, stiffness=0.0,
        highest_hz=20000.0, decay=55.0, decay_by_pitch=0.0, decay_by_number=0.5, decay_by_khz=0.0,
        attack_s=0.0015, release_s=0.01, spread=0.0,
    ),
    "brush": Timbre(
        level=0.25, higher_louder=0.0, tilt=0.0, struck_at=0.0, softest_hz=1500.0, brighter_hz=60.0, stiffness=0.0,
        highest_hz=9000.0, decay=0.0, decay_by_pitch=0.0, decay_by_number=0.0, decay_by_khz=0.0,
        attack_s=0.003, release_s=0.06, spread=0.0,
    ),
}  # fmt: skip

CLICK_HZ: Final = {76: 1100.0, 77: 830.0}
"""Pitches of General MIDI's high and low wood block; another key clicks at its own pitch."""

CLICK_RINGS_S: Final = 0.09
"""A click sounds this long whatever its note says."""


CREST: Final = np.array((-1.98, 2.6, -2.9, 1.23, 2.69, -0.5, -0.56, -0.16))
CREST_S: Final = 0.0021
"""Phases of the first partials this long after the stroke.

Found by a search among random ones: the note is loudest as soon as it begins, at any pitch, and then as even
as can be, so that a chord peaks 1.5 dB lower than with phases that are merely strewn.
"""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One way to stroke a drum with brushes: a band of sound that dies away."""

    lowest_hz: float
    highest_hz: float
    decay: float
    """Decay rate of its lowest partial; the highest dies twice as fast."""
    swell: float
    """Rate at which it rises, for a sweep over the head; infinite for a blow."""
    partials: int
    """So many at random places don't sound like a pitch within the time that a brush sounds."""
    level: float
    """Amplitude of all partials together over the part's level."""


BRUSHES: Final = {
    38: Stroke(1800.0, 8000.0, 55.0, math.inf, 64, 1.0),
    39: Stroke(1100.0, 9000.0, 28.0, math.inf, 64, 1.3),
    40: Stroke(2600.0, 9000.0, 3.0, 25.0, 48, 0.4),
}
"""By key: tap, slap and swirl, where the brush set of General MIDI Level 2 has them (from memory); others tap."""


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """The partials of one key of one part, however hard it is played."""

    part: Part
    midi: int
    frequencies_hz: Vector
    decays_per_s: Vector
    phases: Vector
    shape: Vector
    """Amplitudes over that of middle C's fundamental, before the stroke's brightness."""


def fundamental_hz(midi: int, a4_hz: float = 440.0) -> float:
    """Return the frequency of a MIDI key in equal temperament (ISO 16 for the 440)."""
    return float(a4_hz * 2.0 ** ((midi - 69) / 12))


def modes(part: Part, midi: int, sample_rate_hz: int, a4_hz: float = 440.0) -> Modes:
    """Return the partials of a key: 16 to 64 of them (a click has 6) where the rate has room for them."""
    if part == "brush":
        return _brush(midi, sample_rate_hz)
    timbre = TIMBRES[part]
    f0 = fundamental_hz(midi, a4_hz)
    if part == "click":
        f0 = CLICK_HZ.get(midi, f0)
    series = _series(part, min(max(int(timbre.highest_hz // f0), 16), 64))
    above = f0 / 261.6
    if part == "click":
        frequencies = f0 * np.array(CLICK_RATIOS)
    else:
        frequencies = f0 * series.number * np.sqrt(1.0 + timbre.stiffness * above**2 * series.square)
    decays = timbre.decay * above**timbre.decay_by_pitch * series.sooner
    decays += timbre.decay_by_khz * 1e-6 * (frequencies * frequencies - f0**2)
    phases = series.phases - 2.0 * np.pi * CREST_S * frequencies
    shape = series.shape * above**timbre.higher_louder
    if frequencies[-1] > HIGHEST_OF_RATE * sample_rate_hz:
        room = int(np.searchsorted(frequencies, HIGHEST_OF_RATE * sample_rate_hz))
        frequencies, decays, phases, shape = frequencies[:room], decays[:room], phases[:room], shape[:room]
    return Modes(part, midi, frequencies, decays, phases, shape)


@dataclass(frozen=True, slots=True, eq=False)
class _Series:
    """What a part's keys of as many partials share, (partials,) each."""

    number: Vector
    square: Vector
    shape: Vector
    """Amplitudes over the fundamental's."""
    phases: Vector
    """Where they crest: those of CREST when it comes, the others strewn by the golden section."""
    sooner: Vector
    """How much faster each dies than the fundamental, friction left out."""


@cache
def _series(part: Part, count: int) -> _Series:
    """Return what a part's keys of so many partials share; a click has its own number."""
    timbre = TIMBRES[part]
    number = np.arange(1.0, (len(CLICK_RATIOS) if part == "click" else count) + 1.0)
    shape = number**-timbre.tilt
    if timbre.struck_at:
        comb = 0.2 + 0.8 * np.abs(np.sin(np.pi * timbre.struck_at * number))
        shape *= comb / comb[:1]
    phases = np.pi * (math.sqrt(5.0) - 1.0) * number**2
    phases[: len(CREST)] = CREST[: len(phases)]
    return _Series(number, number**2, shape, phases, 1.0 + timbre.decay_by_number * (number - 1.0))


def _brush(midi: int, sample_rate_hz: int) -> Modes:
    """Return the partials of a brush stroke: strewn over its band by chance but evenly, the same each time.

    What swells is a slow decay less a fast one of the same phase.
    """
    band = BRUSHES.get(midi, BRUSHES[38])
    chance = Random(midi)
    places = np.array([(step + chance.random()) / band.partials for step in range(band.partials)])
    turns = np.array([chance.random() for _ in range(band.partials)])
    frequencies = band.lowest_hz * (band.highest_hz / band.lowest_hz) ** places
    decays = band.decay * (1.0 + places)
    room = frequencies < HIGHEST_OF_RATE * sample_rate_hz
    frequencies, decays, phases = frequencies[room], decays[room], 2.0 * np.pi * turns[room]
    if math.isfinite(band.swell):
        frequencies = np.tile(frequencies, 2)
        decays = np.concatenate([decays, decays + band.swell])
        phases = np.concatenate([phases, phases + np.pi])
    shape = np.full(len(frequencies), band.level / math.sqrt(band.partials))
    return Modes("brush", midi, frequencies, decays, phases, shape)


def stroke(part: Part, velocity: int) -> tuple[float, float]:
    """Return what a stroke gives: the fundamental's amplitude, and how far above it the spectrum reaches in hertz."""
    timbre = TIMBRES[part]
    return timbre.level * (velocity / 100.0) ** 1.4, timbre.softest_hz + timbre.brighter_hz * velocity


def amplitudes(found: Modes, velocity: int) -> Vector:
    """Return the partials' amplitudes at the start; a harder stroke is louder and brighter."""
    level, reach_hz = stroke(found.part, velocity)
    above_hz = found.frequencies_hz - found.frequencies_hz[:1]
    strengths: Vector = level * found.shape * np.exp(above_hz / -reach_hz)
    return strengths


def panorama(part: Part, midi: int) -> tuple[float, float]:
    """Return the gains left and right of a key: low keys a little left, high ones a little right.

    Their squares sum to 1, and both channels stay in phase, so that a mono sum keeps the balance.
    """
    angle = math.pi / 4 * (1.0 + TIMBRES[part].spread * min(max((midi - 60) / 36, -1.0), 1.0))
    return math.cos(angle), math.sin(angle)
