"""The scale of a chord by its function: what a bass line may pass through.

Common practice, no source: major and Dorian at rest and before a dominant, Phrygian on the third degree
of a major key, Mixolydian toward major, its darker form with b9 and b13 toward minor, with #11 on
substitutes; half-diminished Locrian, diminished whole step and half step. Written tensions go before.
"""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from trainer.harmony.quality import Quality, semitones_of
from trainer.harmony.xml_kinds import read_tones
from trainer.voicing.chord_tones import Aim, Tone, family

SCALES: Mapping[str, tuple[Tone, ...]] = MappingProxyType(
    {
        name: read_tones(tones)
        for name, tones in {
            "major": "1 2 3 4 5 6 7",
            "minor": "1 2 b3 4 5 6 b7",
            "minor with a 6th or major 7th": "1 2 b3 4 5 6 7",
            "minor on the third degree": "1 b2 b3 4 5 b6 b7",
            "dominant to major": "1 2 3 4 5 6 b7",
            "dominant to minor": "1 b2 3 4 5 b6 b7",
            "substitute": "1 2 3 #4 5 6 b7",
            "suspended": "1 2 4 5 6 b7",
            "suspended to minor": "1 b2 4 5 b6 b7",
            "half-diminished": "1 b2 b3 4 b5 b6 b7",
            "diminished": "1 2 b3 4 b5 b6 bb7 7",
        }.items()
    }
)
"""By name, from the root up."""

_STEP_OF = {9: 2, 11: 4, 13: 6}


@lru_cache(maxsize=4096)
def scale_of(quality: Quality, aim: Aim | None) -> tuple[Tone, ...]:
    """The scale of a chord, rising from 1, its own tones and tensions in place of the scale's on their degrees."""
    own: dict[int, set[int]] = {}
    for degree, alteration in quality.played_tones:
        own.setdefault(_STEP_OF.get(degree, degree), set()).add(alteration)
    if quality.sixth:
        own.setdefault(6, {0})
    name = _name(quality, aim)
    scale = {tone for tone in SCALES[name] if tone[0] not in own or (name == "diminished" and tone == (7, 0))}
    scale |= {(degree, alteration) for degree, alterations in own.items() for alteration in alterations}
    if quality.suspended:
        scale = {tone for tone in scale if tone[0] != 3}
    if {(11, 1), (13, -1)} <= set(quality.tones) and 5 not in own:
        scale.discard((5, 0))  # an altered dominant has no fifth
    return tuple(sorted(scale, key=lambda tone: (semitones_of(tone), tone)))


def _name(quality: Quality, aim: Aim | None) -> str:
    if quality.third == "minor" and quality.fifth == "diminished":
        return "half-diminished" if quality.seventh == "minor" else "diminished"
    if quality.third == "minor":
        if aim == "plain":
            return "minor on the third degree"
        return "minor with a 6th or major 7th" if quality.sixth or quality.seventh == "major" else "minor"
    dark = aim == "minor" or (aim is None and bool({(9, -1), (13, -1), (5, 1)} & set(quality.tones)))
    kind = family(quality)
    if kind == "suspended":
        return "suspended to minor" if dark else "suspended"
    if kind != "dominant":
        return "major"
    return "substitute" if aim == "substitute" else "dominant to minor" if dark else "dominant to major"


@lru_cache(maxsize=4096)
def steps_of(quality: Quality, aim: Aim | None) -> frozenset[int]:
    """The scale as half steps above the root, 0 to 11."""
    return frozenset(semitones_of(tone) % 12 for tone in scale_of(quality, aim))


@lru_cache(maxsize=1024)
def chord_steps(quality: Quality) -> frozenset[int]:
    """Root, third, fifth, and seventh or sixth as half steps above the root."""
    return frozenset(semitones_of(tone) % 12 for tone in quality.played_tones if tone[0] <= 7 and tone[0] != 2)
