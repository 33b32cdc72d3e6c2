"""A chart as played: one span a chord, in played order, with the written bar kept.

Played bars count from 1; a pickup is bar 0. Beats in a bar count from 1, as players say them.
"""

from fractions import Fraction

from trainer.charts.chart import Meter, Pin
from trainer.harmony.key import Key
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """A bar as played and a beat in it, from 1."""

    bar: int
    beat: Fraction


ONE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Span:
    """One chord (or silence) from its start to the next chord or the barline."""

    index: int
    at: Fraction
    """Beats of its own meter's unit from the start of its bar, from 0."""
    start: Fraction
    """Quarter notes from the start of the first bar."""
    quarters: Fraction
    """Length in quarter notes."""
    bar: int
    beats: Fraction
    """Length in beats of its meter's unit."""
    meter: Meter
    written_bar: int
    section: int
    """Index into Timeline.sections."""
    symbol: ChordSymbol | None
    """None is silence."""
    continues: bool
    """Nothing new is struck: the chord before is held over the barline, or the bar is a `%`."""
    pin: Pin | None = None
    """The pin in force here (a center held from before, or this chord's own)."""
    written: str = ""
    """The chord as the player spelled it (`A-7`), where `symbol.text` has the house spelling (`Am7`)."""

    @property
    def beat(self) -> Fraction:
        """Where it starts in its bar, from 1."""
        return self.at + 1

    @property
    def place(self) -> Place:
        """Bar and beat where it starts."""
        return Place(self.bar, self.beat if self.at else ONE)


@dataclass(frozen=True, slots=True)
class PlayedBar:
    """One bar as played."""

    number: int
    written_bar: int
    section: int
    meter: Meter
    start: Fraction
    """Quarter notes from the start of the first bar."""
    quarters: Fraction


@dataclass(frozen=True, slots=True)
class PlayedSection:
    """One playing of a section: spans first_span to last_span - 1, bars first_bar to until_bar - 1."""

    name: str | None
    first_bar: int
    until_bar: int
    first_span: int
    until_span: int


@dataclass(frozen=True, slots=True)
class Timeline:
    """Everything the reading and the performance need to know of a chart."""

    title: str
    file: str
    key: Key | None
    tempo: Fraction
    """Quarters a minute, dotted quarters where the first meter is compound; 120 where not given."""
    tempo_given: bool
    swing: Fraction
    """Long to short of a pair of eighths; 1 where the chart says none."""
    form: tuple[str, ...]
    """Section names in played order; empty where the chart names none."""
    spans: tuple[Span, ...]
    bars: tuple[PlayedBar, ...]
    sections: tuple[PlayedSection, ...]

    @property
    def quarters(self) -> Fraction:
        """Length of the whole in quarter notes."""
        return self.bars[-1].start + self.bars[-1].quarters if self.bars else Fraction(0)
