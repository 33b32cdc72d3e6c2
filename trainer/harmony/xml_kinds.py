"""The chord kinds of MusicXML 4.0 and what their degrees do to them.

Source: W3C Music Notation Community Group, MusicXML 4.0 (2021), data type kind-value and element
degree: `alter` and `subtract` are relative to the kind's own degree, `add` to a dominant chord
(major and perfect degrees, but a minor seventh). The kinds that name no stack of thirds
(Neapolitan, Italian, French, German, Tristan, pedal, other, none) have no place in a chart.
"""

from collections.abc import Iterable
from functools import cache
from typing import Literal

from trainer.records import dataclass

Tone = tuple[int, int]
"""A degree (1 to 13) and its alteration in half steps against the root's major scale."""

DegreeChange = Literal["add", "alter", "subtract"]


@dataclass(frozen=True, slots=True)
class XmlDegree:
    """One `<degree>` of a MusicXML `<harmony>`."""

    value: int
    alter: int
    """Half steps; 0 for subtract."""
    type: DegreeChange


@cache
def _tone(word: str) -> Tone:
    return int(word.lstrip("b#")), word.count("#") - word.count("b")


def read_tones(text: str) -> tuple[Tone, ...]:
    """Read tones such as `1 b3 5 bb7 #11`."""
    return tuple(map(_tone, text.split()))


KIND_TONES: dict[str, tuple[Tone, ...]] = {
    "major": read_tones("1 3 5"),
    "minor": read_tones("1 b3 5"),
    "augmented": read_tones("1 3 #5"),
    "diminished": read_tones("1 b3 b5"),
    "dominant": read_tones("1 3 5 b7"),
    "major-seventh": read_tones("1 3 5 7"),
    "minor-seventh": read_tones("1 b3 5 b7"),
    "diminished-seventh": read_tones("1 b3 b5 bb7"),
    "augmented-seventh": read_tones("1 3 #5 b7"),
    "half-diminished": read_tones("1 b3 b5 b7"),
    "major-minor": read_tones("1 b3 5 7"),
    "major-sixth": read_tones("1 3 5 6"),
    "minor-sixth": read_tones("1 b3 5 6"),
    "dominant-ninth": read_tones("1 3 5 b7 9"),
    "major-ninth": read_tones("1 3 5 7 9"),
    "minor-ninth": read_tones("1 b3 5 b7 9"),
    "dominant-11th": read_tones("1 3 5 b7 9 11"),
    "major-11th": read_tones("1 3 5 7 9 11"),
    "minor-11th": read_tones("1 b3 5 b7 9 11"),
    "dominant-13th": read_tones("1 3 5 b7 9 11 13"),
    "major-13th": read_tones("1 3 5 7 9 11 13"),
    "minor-13th": read_tones("1 b3 5 b7 9 11 13"),
    "suspended-second": read_tones("1 2 5"),
    "suspended-fourth": read_tones("1 4 5"),
    "power": read_tones("1 5"),
}
"""Each kind with the tones it stands for, from the root up."""

_ADDED_ALTERATION = {7: -1}
"""What an added degree with alter 0 is, against the major scale: a seventh is minor, all others are 0."""


def tones_of(kind: str, degrees: Iterable[XmlDegree]) -> tuple[Tone, ...]:
    """Work out the tones of a kind with its degrees, in order of degree.

    Raises KeyError for a kind outside KIND_TONES and ValueError for a degree that isn't in the chord.
    """
    tones = list(KIND_TONES[kind])
    for degree in degrees:
        if degree.type == "add":
            tones.append((degree.value, _ADDED_ALTERATION.get(degree.value, 0) + degree.alter))
            continue
        held = next((tone for tone in tones if tone[0] == degree.value), None)
        if held is None:
            raise ValueError(f"no degree {degree.value} in {kind}")
        tones.remove(held)
        if degree.type == "alter":
            tones.append((degree.value, held[1] + degree.alter))
    return tuple(sorted(set(tones)))


def kind_for(tones: Iterable[Tone]) -> tuple[str, tuple[XmlDegree, ...]]:
    """Choose the kind that needs the fewest degrees for these tones, the earliest of the list on a tie."""
    wanted = set(tones)
    choices = ((kind, _changes(set(own), wanted)) for kind, own in KIND_TONES.items())
    return min(choices, key=lambda choice: sum(_price(degree) for degree in choice[1]))


def _price(degree: XmlDegree) -> int:
    """What a degree costs the reader of the file; an added seventh is left to the kinds that have one."""
    return 9 if degree.type == "add" and degree.value == 7 else 2 if degree.type == "subtract" else 1


def _changes(own: set[Tone], wanted: set[Tone]) -> tuple[XmlDegree, ...]:
    """The degrees that turn a kind's own tones into the wanted ones: subtracted, altered, added."""
    gone, new = dict(sorted(own - wanted)), sorted(wanted - own)
    altered: list[XmlDegree] = []
    added: list[XmlDegree] = []
    for value, alteration in new:
        if value in gone:
            altered.append(XmlDegree(value, alteration - gone.pop(value), "alter"))
        else:
            added.append(XmlDegree(value, alteration - _ADDED_ALTERATION.get(value, 0), "add"))
    subtracted = [XmlDegree(value, 0, "subtract") for value in gone]
    return (*subtracted, *altered, *added)
