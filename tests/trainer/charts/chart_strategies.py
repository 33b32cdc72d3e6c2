"""Random charts for Hypothesis: whatever the text of a chart can say, as values.

They obey the rules of the text (DESIGN.md, "Chart text"), so that each can be written and read back;
their order may be beyond the limit of played bars only by the strategies' own sizes, which are small.
"""

import string
from dataclasses import dataclass, field, replace
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from trainer.charts.bars import slot_counts
from trainer.charts.chart import Chart, Meter, Pin, WrittenBar, WrittenChord, WrittenSection
from trainer.harmony.key import Key
from trainer.harmony.numeral import parse_numeral
from trainer.harmony.pitch import NoteName
from trainer.harmony.quality import QUALITIES
from trainer.harmony.symbol import ChordSymbol

note_names = st.builds(NoteName, st.sampled_from("ABCDEFG"), st.integers(-1, 1))
chord_symbols = st.builds(ChordSymbol, note_names, st.sampled_from(QUALITIES), st.one_of(st.none(), note_names))
keys = st.builds(Key, note_names, st.sampled_from(("major", "minor")))
meters = st.builds(Meter, st.integers(1, 13), st.sampled_from((2, 4, 8)))
numerals = st.sampled_from(("ii7", "V7", "Imaj7", "bVI7", "iiø7", "#iv°7", "I/3", "V7b9")).map(parse_numeral)
pins: SearchStrategy[Pin] = st.one_of(st.just(Pin(None)), st.builds(Pin, keys), st.builds(Pin, keys, numerals))
_CHARACTERS = string.ascii_letters + string.digits + " .,:;'-#&|{}[]/%♭Éø"
free_texts = (
    st.text(_CHARACTERS, min_size=1, max_size=30)
    .map(lambda text: " ".join(text.split()).replace("#", "no."))
    .filter(bool)
)
section_names = st.sampled_from(("A", "B", "C", "Bridge", "Verse 2", "Coda-x", "É"))


@dataclass
class _Before:
    """What the text before a bar has said."""

    meter: Meter
    symbol: ChordSymbol | None = None
    number: int = 1
    any_chord: bool = False
    bars: list[WrittenBar] = field(default_factory=list)
    """Of the present section."""


@st.composite
def bars(draw: DrawFn, before: _Before, beats: Fraction) -> WrittenBar:
    """One bar of some beats without signs; it may hold over from the bar before or be a `%`."""
    last = before.bars[-1] if before.bars else None
    if last and last.meter == before.meter and last.beats == beats and draw(st.integers(0, 9)) == 0:
        copied = tuple(replace(chord, held=True, pin=None) for chord in last.chords)
        first = replace(copied[0], pin=draw(st.one_of(st.none(), pins)))
        return WrittenBar(before.number, before.meter, (first, *copied[1:]), repeated_bar=True)
    slots = draw(st.sampled_from([count for count in slot_counts(beats) if count <= 16]))
    starts = sorted({0, *draw(st.lists(st.integers(0, slots - 1), max_size=4))})
    chords = []
    for at, until in zip(starts, [*starts[1:], slots], strict=True):
        held = at == 0 and before.any_chord and draw(st.integers(0, 7)) == 0
        symbol = before.symbol if held else draw(st.one_of(st.none(), chord_symbols, chord_symbols))
        pin = draw(st.one_of(st.none(), st.none(), st.none(), pins))
        chords.append(WrittenChord(at * beats / slots, (until - at) * beats / slots, symbol, held, pin))
        before.symbol = symbol
    return WrittenBar(before.number, before.meter, tuple(chords))


@st.composite
def passages(draw: DrawFn, before: _Before, length: int) -> list[WrittenBar]:
    """Bars in a row, of which the meter may change on the way."""
    made = []
    for _ in range(length):
        if draw(st.integers(0, 11)) == 0:
            before.meter = draw(meters)
        bar = draw(bars(before, Fraction(before.meter.beats)))
        made.append(bar)
        _count(before, bar)
    return made


def _count(before: _Before, bar: WrittenBar) -> None:
    before.bars.append(bar)
    before.number += 1
    before.symbol = bar.chords[-1].symbol
    before.any_chord = True


@st.composite
def sections(draw: DrawFn, before: _Before, name: str | None, signs: bool) -> WrittenSection:
    """A section of plain passages, repeats, and repeats with endings."""
    before.bars = []
    made: list[WrittenBar] = []
    for _ in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(("plain", "repeat", "endings"))) if signs else "plain"
        passage = draw(passages(before, draw(st.integers(1, 3))))
        if kind == "repeat":
            passage[-1] = replace(passage[-1], repeat_end=draw(st.sampled_from((2, 2, 3, 12))))
        if kind == "endings":
            if draw(st.booleans()):
                numbers: list[tuple[int, ...]] = [(1,), (2,)]
            else:
                numbers = [(1, 3), (2,), (4,)]
            for index, passes in enumerate(numbers):
                ending = draw(passages(before, draw(st.integers(1, 2))))
                ending[0] = replace(ending[0], ending=passes)
                if index < len(numbers) - 1:
                    ending[-1] = replace(ending[-1], repeat_end=2)
                passage += ending
        if kind != "plain" and (made or draw(st.booleans())):
            passage[0] = replace(passage[0], repeat_start=True)
        made += passage
    made = [replace(bar, double_barline=not bar.repeat_end and draw(st.integers(0, 5)) == 0) for bar in made]
    if not made[-1].repeat_end and not made[-1].double_barline:
        made[-1] = replace(made[-1], final_barline=draw(st.booleans()))
    return WrittenSection(name, tuple(made))


def _renumbered(made: list[WrittenSection], first: int) -> list[WrittenSection]:
    number = first
    result = []
    for section in made:
        numbered = []
        for bar in section.bars:
            numbered.append(replace(bar, number=number))
            number += 1
        result.append(replace(section, bars=tuple(numbered)))
    return result


def _with_jump(made: list[WrittenSection], jump: str) -> list[WrittenSection]:
    """The sections with a jump in their very last bar, and what it needs in their very first."""
    first, last = made[0], made[-1]
    opening = ("segno",) if "D.S." in jump else ()
    closing = ("fine",) if "fine" in jump else ()
    made = [
        replace(first, bars=(replace(first.bars[0], signs=opening + closing), *first.bars[1:])),
        *made[1:],
    ]
    last = made[-1]
    end = replace(last.bars[-1], signs=(*last.bars[-1].signs, jump))
    return [*made[:-1], replace(last, bars=(*last.bars[:-1], end))]


@st.composite
def charts(draw: DrawFn) -> Chart:
    """A whole chart that its text can say."""
    meter = draw(meters)
    before = _Before(meter=meter)
    pickup = None
    made: list[WrittenSection] = []
    if draw(st.booleans()):
        made.append(draw(sections(before, None, signs=True)))
    names = draw(st.lists(section_names, min_size=0 if made else 1, max_size=4))
    for name in names:
        again = any(section.name == name for section in made) and draw(st.booleans())
        made.append(WrittenSection(name, ()) if again else draw(sections(before, name, signs=True)))
    if made[0].name is None:
        meter = made[0].bars[0].meter
    form: tuple[str, ...] = ()
    if made[0].name is not None and draw(st.booleans()):
        form = tuple(draw(st.permutations([section.name or "" for section in made])))
        opening = next(section for section in made if section.name == form[0])
        if opening.bars[0].chords[0].held:
            form = ()  # nothing would sound yet that it could hold
    if not form and made[-1].bars and draw(st.booleans()):
        made = _with_jump(made, draw(st.sampled_from(("D.C.", "D.S.", "D.C. al fine", "D.S. al fine"))))
    first = made[0].bars[0]
    whole = first.meter.beats > 1 and not (len(made[0].bars) > 1 and made[0].bars[1].repeated_bar)
    whole = whole and not first.signs  # a pickup is not played again, so no sign in it is met a second time
    if whole and len(first.chords) == 1 and draw(st.booleans()):
        pickup = Fraction(draw(st.integers(1, first.meter.beats - 1)))
        chord = replace(first.chords[0], beats=pickup)
        first = replace(first, chords=(chord,))
        made[0] = replace(made[0], bars=(first, *made[0].bars[1:]))
    return Chart(
        title=draw(free_texts),
        sections=tuple(_renumbered(made, 0 if pickup else 1)),
        meter=meter,
        composer=draw(st.one_of(st.none(), free_texts)),
        key=draw(st.one_of(st.none(), keys)),
        tempo=draw(st.one_of(st.none(), st.fractions(10, 600, max_denominator=1000))),
        swing=draw(st.one_of(st.none(), st.fractions(1, 4, max_denominator=20))),
        form=form,
        pickup=pickup,
        trains=draw(st.one_of(st.none(), free_texts)),
        source=draw(st.one_of(st.none(), free_texts)),
        extra=tuple(draw(st.lists(st.tuples(st.sampled_from(("mood", "key of x", "Tafel")), free_texts), max_size=2))),
    )
