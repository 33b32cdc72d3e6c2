"""Standard MIDI files read as charts: what chords sound, where they change, and how sure that is.

Block chords and comping, over a bass or without one, are put on the beats of their bars and named by
trainer.harmony.sounding. Percussion and tunes of single notes are left out; meters, the first tempo, the
key signature, a pickup by silence, the title, and the markers that name sections are taken over.
Each chord comes with a confidence; those that may well be another are remarked on.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from trainer.charts.chart import Chart, Remark, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.header import FASTEST_BPM, SLOWEST_BPM
from trainer.charts.lexer import shortened
from trainer.charts.midi_bars import Grid, Step, TooLongError, grid_of
from trainer.charts.midi_changes import Stretch, stretches_of
from trainer.charts.midi_file import MidiTune, read_midi_file
from trainer.charts.midi_parts import parts_of
from trainer.charts.order import MAX_PLAYED_BARS
from trainer.charts.section_names import section_name
from trainer.errors import Fault, TextError
from trainer.harmony.interval import degree_interval, practical, transposed
from trainer.harmony.key import Key, parse_key
from trainer.harmony.pitch import HarmonyError, NoteName, simplest_name
from trainer.harmony.quality import semitones_of
from trainer.harmony.sounding import SoundingChord, chords_sounding
from trainer.harmony.symbol import ChordSymbol
from trainer.records import dataclass

UNSURE = 0.5
"""A chord with less confidence than this is remarked on."""
NAMES_TOLD = 2
ODD_NAMES = ("Cb", "Fb", "E#", "B#")
"""Roots that are written so in their own keys only."""
_FIFTHS_BELOW = 5
"""How many fifths below the tonic of the signature roots are spelled with flats; the other six are above it."""


@dataclass(frozen=True, slots=True)
class HeardChord:
    """One chord that was found."""

    bar: int
    """The number of its written bar; 0 is a pickup."""
    at: Fraction
    """Beats from the start of the bar."""
    symbol: ChordSymbol | None
    """None is silence."""
    confidence: float
    """From 0 to 1: the share of this root and family among all that the sounding notes may be."""
    instead: tuple[ChordSymbol, ...] = ()
    """What else it may be, the likeliest first."""


@dataclass(frozen=True, slots=True)
class ReadMidi:
    """A chart made of a MIDI file, and how sure its chords are."""

    chart: Chart
    chords: tuple[HeardChord, ...]
    """In order; one for each place in the chart where a symbol stands."""

    @property
    def confidence(self) -> float:
        """The mean over all chords that sound, from 0 to 1."""
        found = [chord.confidence for chord in self.chords if chord.symbol is not None]
        return sum(found) / len(found) if found else 0.0


def read_midi(data: bytes, file: str = "-") -> ReadMidi:
    """Read the bytes of a MIDI file. Raises TextError."""
    tune = read_midi_file(data, file)
    if not tune.notes:
        told = "nothing but percussion" if tune.drums else "a MIDI file without notes"
        raise TextError(file, (Fault(0, 0, told, "chords that sound"),))
    try:
        grid = grid_of(tune)
    except TooLongError:
        told = f"more than {MAX_PLAYED_BARS} bars"
        raise TextError(file, (Fault(0, 0, told, "the length of a tune"),)) from None
    parts = parts_of(tune.notes)
    steps = grid.steps()
    remarks = list(grid.remarks)
    if parts.left_out:
        parts_told = "a part" if parts.left_out == 1 else f"{parts.left_out} parts"
        remarks.append(f"{parts_told} of single notes left out: chords are read from those that play several at once")
    key = _key(tune, remarks)
    named = _named(stretches_of(steps, grid.bars, parts), key)
    bars, heard = _bars(grid, steps, named)
    remarks += [_unsure(chord) for chord in heard if chord.confidence < UNSURE]
    sections = _sections(bars, grid, tune)
    chart = Chart(
        title=tune.title,
        sections=sections,
        meter=bars[0].meter,
        key=key,
        tempo=_tempo(tune, bars[0], remarks),
        pickup=grid.bars[0].beats if grid.pickup else None,
        file=file,
        remarks=tuple(Remark(0, 0, text) for text in dict.fromkeys(remarks)),
    )
    return ReadMidi(chart, tuple(heard))


@dataclass(frozen=True, slots=True)
class _Named:
    """A stretch with its chord."""

    first: int
    symbol: ChordSymbol | None
    confidence: float
    instead: tuple[ChordSymbol, ...]


def _named(stretches: Sequence[Stretch], key: Key | None) -> Iterator[_Named]:
    for stretch in stretches:
        if not stretch.sounding:
            yield _Named(stretch.first, None, 1.0, ())
            continue
        best, *others = chords_sounding(stretch.sounding, stretch.bass, stretch.firm)
        symbol = _symbol(best, key)
        instead = tuple(_symbol(other, key) for other in others[:NAMES_TOLD])
        yield _Named(stretch.first, symbol, best.share, instead)


def _symbol(chord: SoundingChord, key: Key | None) -> ChordSymbol:
    """A chord spelled in the key of the signature, or with the roots that players write most."""
    root = _spelled(chord.root, key)
    bass: NoteName | None = None
    if chord.bass != chord.root:
        above = (chord.bass - chord.root) % 12
        tone = next((tone for tone in chord.quality.tones if semitones_of(tone) % 12 == above), None)
        bass = _spelled(chord.bass, key) if tone is None else practical(transposed(root, degree_interval(*tone)))
    return ChordSymbol(root, chord.quality, bass)


def _spelled(pitch_class: int, key: Key | None) -> NoteName:
    fifths = key.fifths if key is not None else 0
    for place in range(fifths - _FIFTHS_BELOW, fifths - _FIFTHS_BELOW + 12):
        name = NoteName("FCGDAEB"[(place + 1) % 7], (place + 1) // 7)
        if name.pitch_class == pitch_class:
            odd = str(name) in ODD_NAMES and (key is None or name not in key.scale)
            return simplest_name(pitch_class, prefer_flats=False) if odd else practical(name)
    raise AssertionError("twelve fifths in a row are all pitch classes")


def _bars(grid: Grid, steps: Sequence[Step], named: Iterator[_Named]) -> tuple[list[WrittenBar], list[HeardChord]]:
    """Write the chords into their bars."""
    by_bar: dict[int, list[tuple[Fraction, _Named]]] = {}
    for found in named:
        step = steps[found.first]
        at = (step.start - grid.bars[step.bar].start) / grid.bars[step.bar].meter.quarters_of_beat
        by_bar.setdefault(step.bar, []).append((at, found))
    bars: list[WrittenBar] = []
    heard: list[HeardChord] = []
    symbol: ChordSymbol | None = None
    for index, bar in enumerate(grid.bars):
        number = index if grid.pickup else index + 1
        starts: list[tuple[Fraction, ChordSymbol | None, bool]] = []
        for at, found in by_bar.get(index, []):
            if at and starts and found.symbol == starts[-1][1]:
                continue
            if at and not starts:
                starts.append((Fraction(0), symbol, index > 0))
                if found.symbol == symbol and index > 0:
                    continue
            starts.append((at, found.symbol, False))
            heard.append(HeardChord(number, at, found.symbol, found.confidence, found.instead))
            symbol = found.symbol
        starts = starts or [(Fraction(0), symbol, index > 0)]
        symbol = starts[-1][1]
        untils = [*(at for at, *_ in starts[1:]), bar.beats]
        chords = tuple(
            WrittenChord(at, until - at, chord, held)
            for (at, chord, held), until in zip(starts, untils, strict=True)
        )
        bars.append(WrittenBar(number, bar.meter, chords, final_barline=index + 1 == len(grid.bars)))
    return bars, heard


def _unsure(chord: HeardChord) -> str:
    others = " or ".join(str(symbol) for symbol in chord.instead)
    told = f"bar {chord.bar}, beat {_number(chord.at + 1)}: {chord.symbol} with a confidence of {chord.confidence:.2f}"
    return f"{told}; it may be {others}" if others else told


def _number(number: Fraction) -> str:
    return f"{float(number):g}"


def _key(tune: MidiTune, remarks: list[str]) -> Key | None:
    if not tune.keys:
        return None
    first = tune.keys[0][1]
    if any(name != first for _, name in tune.keys):
        remarks.append("the key signature changes; a chart keeps the first one")
    return parse_key(first)


def _tempo(tune: MidiTune, bar: WrittenBar, remarks: list[str]) -> Fraction | None:
    lengths = [length for _, length in tune.tempos if length > 0]
    if not lengths:
        return None
    if any(length != lengths[0] for length in lengths):
        remarks.append("the tempo changes; a chart keeps the first one")
    exact = Fraction(60_000_000, lengths[0]) * (Fraction(2, 3) if bar.meter.compound else 1)
    tempo = Fraction(round(exact * 100), 100)
    if abs(tempo - round(tempo)) <= Fraction(1, 100):
        tempo = Fraction(round(tempo))
    if SLOWEST_BPM <= tempo <= FASTEST_BPM:
        return tempo
    remarks.append(f"a tempo of {float(tempo):g} beats a minute; it is left out")
    return None


def _sections(bars: Sequence[WrittenBar], grid: Grid, tune: MidiTune) -> tuple[WrittenSection, ...]:
    """Part the bars where a marker names a section; one that names a key is none."""
    names: dict[int, str] = {}
    starts = {bar.start: index for index, bar in enumerate(grid.bars)}
    for at, text in tune.markers:
        index = starts.get(at)
        if index is not None and _names_section(text):
            names[index] = text
    if 1 in names and 0 not in names and grid.pickup:
        names[0] = names.pop(1)
    sections: list[WrittenSection] = []
    for index, bar in enumerate(bars):
        if index in names or not sections:
            sections.append(WrittenSection(names.get(index), ()))
        sections[-1] = WrittenSection(sections[-1].name, (*sections[-1].bars, bar))
    return tuple(sections)


def _names_section(text: str) -> bool:
    if shortened(text) != text or section_name(text, 0, 0)[1] is not None:
        return False
    try:
        parse_key(text)
    except HarmonyError:
        return True
    return " " not in text
