"""What a reading says: for each chord a center, a function and its reasons; cadences, interruptions, route, home.

Chords are counted from 0 in played order, one for each span of the timeline. Spans of time are
half-open: `until` is the first beat after. Bars and beats count as in `trainer.charts.timeline`.
"""

from typing import Literal

from trainer.charts.timeline import Place, Span
from trainer.harmony.function import Function
from trainer.harmony.key import Key
from trainer.harmony.numeral import Degree, Numeral
from trainer.harmony.pitch import NoteName
from trainer.records import dataclass

InterruptionShape = Literal[
    "after-two", "after-two-and-again", "after-two-five", "after-two-five-and-again", "after-five"
]
EnteredBy = Literal[
    "own-two",
    "own-five",
    "tonic-turns-minor",
    "shared-chord",
    "half-step-slide",
    "dominant-chain",
    "direct",
]


@dataclass(frozen=True, slots=True)
class Rival:
    """Another reading of one chord."""

    center: Key | None
    """None: all readings that are not named one by one."""
    numeral: Numeral | None
    function: Function | Literal["other"]
    share: float
    """Its weight against all readings of this chord, 0 to 1."""


@dataclass(frozen=True, slots=True)
class ChordReading:
    """How one chord is read."""

    span: Span
    center: Key | None
    """None for silence."""
    numeral: Numeral | None
    function: Function
    applied_to: Degree | None
    """The degree of the center that an applied dominant, its ii or its substitute points to."""
    leads_to: NoteName | None
    """The tonic that this chord by itself awaits; None where it awaits none."""
    confidence: float
    """The share of this reading; with the rivals' shares it sums to 1."""
    why: tuple[str, ...]
    rivals: tuple[Rival, ...]


@dataclass(frozen=True, slots=True)
class FoundCadence:
    """A cadence of the table, found in the tune."""

    type: str
    center: Key
    from_: Place
    until: Place
    chords: tuple[int, ...]
    complete: bool
    """False where the tune breaks it off."""
    within: int | None
    """The cadence in this list that contains it, the smallest; None where none does."""
    wraps: bool
    """True where its end is the first chord of the tune played again."""
    degree: Degree | None = None
    """For the types toward a degree: which."""


@dataclass(frozen=True, slots=True)
class Interruption:
    """A cadence of another key that stands between a prepared cadence and its end."""

    shape: InterruptionShape
    awaited: Key
    heard: Key
    from_: Place
    until: Place
    chords: tuple[int, ...]
    prepared: tuple[int, ...]
    resumed: tuple[int, ...]
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Move:
    """The step from one key center to the next."""

    semitones: int
    """The short way round, -5 to 6; 6 is the tritone, 0 is parallel."""
    mode_from: Literal["major", "minor"]
    mode_to: Literal["major", "minor"]
    entered_by: EnteredBy
    name: str


@dataclass(frozen=True, slots=True)
class RouteStep:
    """One stretch of the route of key centers."""

    center: Key
    from_: Place
    until: Place
    first_chord: int
    until_chord: int
    move: Move | None
    """None for the first."""


@dataclass(frozen=True, slots=True)
class SectionReading:
    """One playing of a section."""

    name: str | None
    from_: Place
    until: Place
    same_as: int | None
    """The first earlier section (by its place in the list) that has the same chords, from its start on."""
    differs_from_bar: int | None
    """The first of its bars (as played) where it leaves that earlier section; None where it never does."""
    found: str | None = None
    """The letter of a section that was found, in a chart that names none."""
    like: int | None = None
    """The earlier section of this name and length that it is most like, bar by bar."""
    differing_bars: tuple[int, ...] = ()
    """Its bars (as played) that are others than in that section."""


@dataclass(frozen=True, slots=True)
class Home:
    """The key that the tune comes from and goes home to."""

    key: Key
    confidence: float
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Analysis:
    """The whole reading of one tune."""

    title: str
    file: str
    printed_key: Key | None
    tempo: float
    form: tuple[str, ...]
    home: Home | None
    """None where nothing sounds."""
    chords: tuple[ChordReading, ...]
    cadences: tuple[FoundCadence, ...]
    interruptions: tuple[Interruption, ...]
    route: tuple[RouteStep, ...]
    sections: tuple[SectionReading, ...]
