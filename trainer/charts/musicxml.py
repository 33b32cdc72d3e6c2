"""MusicXML lead sheets read as charts: `.musicxml`, `.xml` and compressed `.mxl`.

The part with the most chord symbols gives the bars; signs, marks and tempo count wherever they stand.
A chord holds until the next one, over barlines too, as players read it. Rehearsal marks begin sections.
What a chart can't say (a second key or tempo, a chord that no symbol names) is remarked with its
measure; what can't be read at all is told as a fault, all of them at once.

Source: W3C Music Notation Community Group, MusicXML 4.0 (2021); from memory.
"""

import copy
from dataclasses import replace
from fractions import Fraction
from os import PathLike, fspath
from pathlib import Path
from typing import TYPE_CHECKING

from trainer.charts.chart import Chart, Pin, Remark, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.header import FASTEST_BPM, NAMES, SLOWEST_BPM, WIDEST_SWING, header_line
from trainer.charts.lexer import shortened
from trainer.charts.musicxml_bars import Bar, Bars, bars_of
from trainer.charts.musicxml_file import MAX_PACKED_BYTES, MAX_XML_BYTES, score_of
from trainer.charts.musicxml_measures import MAX_MEASURES, MeasureFault, ReadPart, read_part, words_of
from trainer.charts.musicxml_repeats import settle
from trainer.charts.musicxml_signs import resolved
from trainer.charts.order import order_of
from trainer.charts.section_names import LONGEST_NAME, section_name
from trainer.charts.text_file import read_bytes_file
from trainer.errors import Fault, TextError
from trainer.harmony.interval import Interval, practical, transposed
from trainer.harmony.key import Key

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

OWN_FIELD = "keyfarer:"
"""What the names of our own miscellaneous fields begin with."""
LONGEST_TEXT = 200


def read_musicxml(data: bytes, file: str = "-") -> Chart:
    """Read a score, compressed or not. Raises TextError with all its faults."""
    root = score_of(data, file)
    parts = _parts(root)
    if not parts:
        told = f"`<{shortened(root.tag)}>` in place of a score" if "score" not in root.tag else "a score without parts"
        raise TextError(file, (Fault(0, 0, told, "`<score-partwise>` with at least one part"),))
    return _Score(root, parts, file).chart()


def read_musicxml_file(path: str | PathLike[str]) -> Chart:
    """Read a MusicXML file. Raises TextError with all its faults, or with why it can't be read."""
    return read_musicxml(read_bytes_file(Path(path), max(MAX_XML_BYTES, MAX_PACKED_BYTES)), fspath(path))


def _parts(root: "Element") -> list["Element"]:
    """The parts with their measures, whichever of both the score is ordered by."""
    if root.tag != "score-timewise":
        return root.findall("part") if root.tag == "score-partwise" else []
    parts: dict[str, Element] = {}
    for measure in root.findall("measure"):
        for part in measure.findall("part"):
            of_part = copy.copy(measure)
            of_part[:] = list(part)
            if (name := part.get("id", "")) not in parts:
                parts[name] = copy.copy(part)
                parts[name][:] = []
            parts[name].append(of_part)
    return list(parts.values())


class _Score:
    """Makes the chart of what the parts of a score say."""

    def __init__(self, root: "Element", parts: list["Element"], file: str) -> None:
        self.root = root
        self.file = file
        self.remarks: list[tuple[str, str]] = []
        """With the number of their measure."""
        main = max(range(len(parts)), key=lambda at: len(parts[at].findall("measure/harmony")))
        read = [read_part(part) for part in parts]
        self.part = read[main]
        self.measures = self.part.measures
        faults: list[Fault] = [*self.part.faults]
        if not self.measures:
            faults.append(Fault(0, 0, "a part without measures", "measures with chord symbols"))
        elif not parts[main].findall("measure/harmony"):
            faults.append(Fault(0, 0, "a score without chord symbols", "at least one `<harmony>`"))
        if any(len(part.findall("measure")) > MAX_MEASURES for part in parts):
            faults.append(Fault(0, 0, f"more than {MAX_MEASURES} measures", "a tune"))
        if faults:
            raise TextError(file, tuple(faults))
        for other in read[:main] + read[main + 1 :]:
            self.join(other)

    def join(self, other: ReadPart) -> None:
        """Take over from another part what counts for all of them."""
        self.part.signs += other.signs
        self.part.tempos += other.tempos
        self.part.swing = self.part.swing if self.part.swing is not None else other.swing
        for mine, theirs in zip(self.measures, other.measures, strict=False):
            if mine.meter == theirs.meter:
                mine.quarters = max(mine.quarters, theirs.quarters)
            mine.rehearsal = mine.rehearsal or theirs.rehearsal
            mine.repeat_start = mine.repeat_start or theirs.repeat_start
            mine.repeat_end = mine.repeat_end or theirs.repeat_end
            mine.ending = mine.ending or theirs.ending
            mine.ending_stops = mine.ending_stops or theirs.ending_stops
            mine.implicit = mine.implicit or theirs.implicit

    def remark(self, measure: int, text: str) -> None:
        self.remarks.append((self.measures[measure].number, text))

    def chart(self) -> Chart:
        for index, text in self.part.remarks:
            self.remark(index, text)
        made = bars_of(self.measures)
        for index, text in made.remarks:
            self.remark(index, text)
        for index, text in settle(made.bars):
            self.remark(made.of_measure.index(index), text)
        for measure, signs in resolved(self.part.signs).items():
            bar = made.bars[made.of_measure[measure]]
            bar.signs += [sign for sign in signs if sign not in bar.signs]
        trains, extra = self.own_fields()
        if self.part.transpose is not None:
            _to_concert(made, self.part.transpose)
        sections, pins_left = _Sections(made).sections()
        self.remarks += pins_left
        first = made.bars[0]
        chart = Chart(
            title=self.title(),
            sections=sections,
            meter=first.meter,
            composer=self.composer(),
            key=self.key(),
            tempo=self.tempo(first),
            swing=self.swing(),
            pickup=first.beats if made.pickup else None,
            trains=trains,
            source=next(words_of(self.root, "identification/source"), None),
            extra=extra,
            file=self.file,
        )
        return self.checked(chart, made)

    def checked(self, chart: Chart, made: Bars) -> Chart:
        """The chart with its remarks, in its written order where the signs of jumps don't fit together."""
        order = order_of(chart)
        numbers = dict(enumerate((bar.number for bar in made.bars), start=1))
        if order.faults and any(bar.signs for bar in made.bars):
            plain = _without_signs(chart)
            if not (again := order_of(plain)).faults:
                fault = order.faults[0]
                told = f"the signs of jumps don't fit together: found {fault.found}; expected {fault.expected}"
                self.remarks.append((numbers.get(fault.line, ""), f"{told}; they are left out"))
                chart, order = plain, again
        if order.faults:
            faults = (
                MeasureFault(fault.line, 0, fault.found, fault.expected, numbers.get(fault.line, ""))
                for fault in order.faults
            )
            raise TextError(self.file, tuple(faults))
        remarks = [Remark(0, 0, f"measure {number}: {text}" if number else text) for number, text in self.remarks]
        for remark in order.remarks:
            remarks.append(Remark(0, 0, f"measure {numbers.get(remark.line, '?')}: {remark.text}"))
        return replace(_without_places(chart), remarks=tuple(dict.fromkeys(remarks)))

    def title(self) -> str:
        paths = ("work/work-title", "movement-title")
        found = [text for path in paths for text in words_of(self.root, path)]
        if not found:
            for credit in self.root.findall("credit"):
                if credit.findtext("credit-type", "").strip() == "title":
                    found += words_of(credit, "credit-words")
        return found[0][:LONGEST_TEXT] if found else ""

    def composer(self) -> str | None:
        for creator in self.root.iterfind("identification/creator"):
            text = " ".join("".join(creator.itertext()).split())
            if creator.get("type", "composer") == "composer" and text:
                return text[:LONGEST_TEXT]
        return None

    def own_fields(self) -> tuple[str | None, tuple[tuple[str, str], ...]]:
        """Header values that only a chart has, as our writer keeps them: `trains:`, and names unknown here."""
        trains: str | None = None
        extra: list[tuple[str, str]] = []
        for field in self.root.iterfind("identification/miscellaneous/miscellaneous-field"):
            name = field.get("name", "")
            text = " ".join("".join(field.itertext()).split())[:LONGEST_TEXT]
            line = header_line(f"{name.removeprefix(OWN_FIELD)}: {text}") if name.startswith(OWN_FIELD) else None
            if line is not None and line.known_as == "trains":
                trains = text or trains
            elif line is not None and line.known_as not in NAMES:
                extra.append((line.name, text))
        return trains, tuple(extra)

    def key(self) -> Key | None:
        if not self.part.keys:
            return None
        first, *others = self.part.keys
        changes = [index for index, key in others if key != first[1]]
        if changes:
            self.remark(changes[0], "the key signature changes; a chart keeps the first one")
        return _sounding_key(first[1], self.part.transpose)

    def tempo(self, first: Bar) -> Fraction | None:
        tempos = sorted(self.part.tempos, key=lambda pair: pair[0])
        if not tempos:
            return None
        index, quarters = tempos[0]
        others = [at for at, tempo in tempos if tempo != quarters]
        if others:
            self.remark(others[0], "the tempo changes; a chart keeps the first one")
        tempo = quarters * Fraction(2, 3) if first.meter.compound else quarters
        if SLOWEST_BPM <= tempo <= FASTEST_BPM:
            return tempo
        self.remark(index, f"a tempo of {float(tempo):g} beats a minute; it is left out")
        return None

    def swing(self) -> Fraction | None:
        swing = self.part.swing
        return swing if swing is not None and 1 <= swing <= WIDEST_SWING else None


def _without_signs(chart: Chart) -> Chart:
    sections = tuple(
        replace(section, bars=tuple(replace(bar, signs=()) for bar in section.bars)) for section in chart.sections
    )
    return replace(chart, sections=sections)


def _without_places(chart: Chart) -> Chart:
    """The chart without the places of its measures, which are no lines of a text."""
    sections = tuple(
        replace(section, bars=tuple(replace(bar, line=0) for bar in section.bars)) for section in chart.sections
    )
    return replace(chart, sections=sections)


def _to_concert(made: Bars, by: Interval) -> None:
    """Move the chords of a transposing instrument's part to where they sound."""
    for bar in made.bars:
        bar.chords = [(at, symbol and symbol.transposed(by).practical(), "") for at, symbol, _ in bar.chords]


def _sounding_key(key: Key | None, transpose: Interval | None) -> Key | None:
    if key is None or transpose is None:
        return key
    return Key(practical(transposed(key.tonic, transpose)), key.mode)


class _Sections:
    """Puts bars into sections, and chords into bars, held over where a bar begins with none."""

    def __init__(self, made: Bars) -> None:
        self.made = made
        self.chord: WrittenChord | None = None
        self.pin: tuple[str, Pin] | None = None
        """A pin that still waits for its chord, and the measure it stands in."""
        self.remarks: list[tuple[str, str]] = []

    def sections(self) -> tuple[tuple[WrittenSection, ...], list[tuple[str, str]]]:
        sections: list[WrittenSection] = []
        bars: list[WrittenBar] = []
        for index, bar in enumerate(self.made.bars):
            name = _name_of(bar.rehearsal)
            if name or not sections:
                self.drop_pin()
                sections.append(WrittenSection(name or None, ()))
                bars = []
            bars.append(self.written(index, bar, bars))
            sections[-1] = WrittenSection(sections[-1].name, tuple(bars))
        self.drop_pin()
        return tuple(sections), self.remarks

    def drop_pin(self) -> None:
        if self.pin is not None and self.pin[1].center is not None:
            self.remarks.append((self.pin[0], "a pin that no chord of its section follows; it is left out"))
        self.pin = None

    def written(self, index: int, bar: Bar, before: list[WrittenBar]) -> WrittenBar:
        last = before[-1] if before else None
        repeated = last is not None and _is_copy(bar, last)
        if bar.copies and index >= bar.copies and not bar.chords:
            self.copy(bar, self.made.bars[index - bar.copies])
        if repeated and last is not None:
            chords = tuple(replace(chord, held=True, pin=None) for chord in last.chords)
        else:
            chords = self.chords(bar)
        chords = self.pinned(bar, chords)
        self.chord = chords[-1]
        return WrittenBar(
            index if self.made.pickup else index + 1, bar.meter, chords, repeated, bar.repeat_start, bar.repeat_end,
            bar.ending, tuple(bar.signs), bar.double_barline and not bar.repeat_end,
            bar.final_barline and not bar.repeat_end, line=index + 1,
        )  # fmt: skip

    def copy(self, bar: Bar, source: Bar) -> None:
        """Give a bar the chords of the one that it repeats; of one with another length only what begins it."""
        bar.chords = list(source.chords)
        if (source.meter, source.beats) != (bar.meter, bar.beats):
            bar.chords = [chord for chord in source.chords if not chord[0]]
            self.remarks.append((bar.number, "a sign that repeats a measure of another length; only its start is kept"))

    def chords(self, bar: Bar) -> tuple[WrittenChord, ...]:
        starts = [(at, symbol, text, False) for at, symbol, text in bar.chords]
        if not starts or starts[0][0] > 0:
            held = self.chord
            symbol, text = (held.symbol, held.text) if held else (None, "")
            starts.insert(0, (Fraction(0), symbol, text, held is not None))
        until = [*(at for at, *_ in starts[1:]), bar.beats]
        made = []
        for (at, symbol, text, held_on), end in zip(starts, until, strict=True):
            made.append(WrittenChord(at, end - at, symbol, held_on, text=text))
        return tuple(made)

    def pinned(self, bar: Bar, chords: tuple[WrittenChord, ...]) -> tuple[WrittenChord, ...]:
        """Give each chord the last pin that stands before it."""
        pins = sorted(bar.pins, key=lambda pin: pin[0])
        made = []
        for chord in chords:
            while pins and pins[0][0] <= chord.at:
                self.pin = bar.number, pins.pop(0)[1]
            made.append(replace(chord, pin=self.pin[1] if self.pin else None))
            self.pin = None
        if pins:
            self.pin = bar.number, pins[-1][1]
        return tuple(made)


def _is_copy(bar: Bar, last: WrittenBar) -> bool:
    """Whether a bar can be written as `%`, and the file says that it is one."""
    if bar.copies != 1 or (last.meter, last.beats) != (bar.meter, bar.beats):
        return False
    own = [(at, symbol) for at, symbol, _ in bar.chords]
    return not own or own == [(chord.at, chord.symbol) for chord in last.chords]


def _name_of(mark: str) -> str:
    """A rehearsal mark as the name of a section; empty where there is none."""
    name = " ".join("".join(" " if sign in "[]{}|," else sign for sign in mark if sign.isprintable()).split())
    if name and not name[0].isalpha():
        name = f"Part {name}"
    name = name[:LONGEST_NAME].strip()
    return name if name and section_name(name, 0, 0)[1] is None else ""
