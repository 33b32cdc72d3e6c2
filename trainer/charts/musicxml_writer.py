"""Charts written as MusicXML 4.0 lead sheets, plain or compressed.

One part: chord symbols over slashes, which are rests to whoever plays the file. Rehearsal marks are the
sections; repeats, endings, signs, meter, key, tempo and swing are the score's own. What MusicXML has no
place for (`trains:` and header names of other programs) is kept in miscellaneous fields, pins as words.
A chart with a `form:` is written out in the order of its form.

Source: W3C Music Notation Community Group, MusicXML 4.0 (2021); from memory.
"""

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from trainer.charts.bars import OPENING_SIGNS
from trainer.charts.chart import Chart, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.header import number_text
from trainer.charts.laid_out import laid_out
from trainer.charts.musicxml_file import CONTAINER, SCORE_TYPES
from trainer.charts.musicxml_harmony import kind_of
from trainer.charts.musicxml_rests import divisions_for, rests
from trainer.charts.pins import pin_text
from trainer.charts.repeats import repeats_of
from trainer.harmony.pitch import NoteName
from trainer.records import dataclass

OWN_FIELD = "keyfarer:"
"""What the names of our own miscellaneous fields begin with."""

_DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 has no way to hold."""
_SCORE_NAME = "score.musicxml"
_FIRST_DAY = (1980, 1, 1, 0, 0, 0)
"""The date in a compressed file, so that the same chart always gives the same bytes."""

_SAID: dict[str, tuple[str, dict[str, str]]] = {
    "to coda": ("To Coda", {"tocoda": "coda"}),
    "fine": ("Fine", {"fine": "yes"}),
    "D.C.": ("D.C.", {"dacapo": "yes"}),
    "D.C. al fine": ("D.C. al Fine", {"dacapo": "yes"}),
    "D.C. al coda": ("D.C. al Coda", {"dacapo": "yes"}),
    "D.S.": ("D.S.", {"dalsegno": "segno"}),
    "D.S. al fine": ("D.S. al Fine", {"dalsegno": "segno"}),
    "D.S. al coda": ("D.S. al Coda", {"dalsegno": "segno"}),
}
"""The words and the sound of each sign that is obeyed at a bar's end."""


@dataclass(frozen=True, slots=True)
class ChordWords:
    """What is written at a chord beside its symbol."""

    below: str = ""
    """The chord's function."""
    above: str = ""
    """The key center that begins here."""


Words = Mapping[tuple[int, Fraction], ChordWords]
"""By the number of the written bar and the chord's place in it, in beats from 0."""


def write_musicxml(chart: Chart, words: Words | None = None) -> str:
    """Write a chart as a MusicXML document. Raises TextError for a chart at fault."""
    plain = laid_out(chart)
    score = _Score(plain.chart, plain.origins, words or {}).element()
    ElementTree.indent(score)
    return _DOCTYPE + ElementTree.tostring(score, encoding="unicode") + "\n"


def write_mxl(chart: Chart, words: Words | None = None) -> bytes:
    """Write a chart as a compressed MusicXML file. Raises TextError for a chart at fault."""
    container = Element("container")
    _sub(_sub(container, "rootfiles"), "rootfile", **{"full-path": _SCORE_NAME, "media-type": SCORE_TYPES[1]})
    named = '<?xml version="1.0" encoding="UTF-8"?>\n' + ElementTree.tostring(container, encoding="unicode")
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in ((CONTAINER, named), (_SCORE_NAME, write_musicxml(chart, words))):
            archive.writestr(zipfile.ZipInfo(name, _FIRST_DAY), text.encode(), zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _sub(parent: Element, tag: str, content: object = None, /, **attributes: str) -> Element:
    """Put a new element into another."""
    made = ElementTree.SubElement(parent, tag, attributes)
    if content is not None:
        made.text = _NOT_XML.sub("\N{REPLACEMENT CHARACTER}", str(content))
    return made


class _Score:
    """Writes one chart without a form."""

    def __init__(self, chart: Chart, origins: Sequence[int], words: Words) -> None:
        self.chart = chart
        self.origins = origins
        self.words = words
        self.divisions = 0
        self.meter: object = None
        self.copying = False
        """The bar before is a `%`."""
        self.center = ""
        """The key center that was written last."""

    def element(self) -> Element:
        score = Element("score-partwise", version="4.0")
        if self.chart.title:
            _sub(_sub(score, "work"), "work-title", self.chart.title)
        self.identification(score)
        _sub(_sub(_sub(score, "part-list"), "score-part", id="P1"), "part-name", "Chords")
        part = _sub(score, "part", id="P1")
        place = 0
        for index, section in enumerate(map(without_idle_repeat, self.chart.sections)):
            starts, stops = _repeat_starts(section, self.chart, index), _ending_stops(section)
            for at, bar in enumerate(section.bars):
                name = section.name if at == 0 else None
                measure = _sub(part, "measure", number=str(bar.number))
                if bar.number == 0:
                    measure.set("implicit", "yes")
                self.measure(measure, bar, place, name, at in starts, stops.get(at))
                place += 1
        return score

    def identification(self, score: Element) -> None:
        identification = _sub(score, "identification")
        if self.chart.composer:
            _sub(identification, "creator", self.chart.composer, type="composer")
        _sub(_sub(identification, "encoding"), "software", "keyfarer")
        if self.chart.source:
            _sub(identification, "source", self.chart.source)
        own = [*([("trains", self.chart.trains)] if self.chart.trains else []), *self.chart.extra]
        if own:
            fields = _sub(identification, "miscellaneous")
            for name, text in own:
                _sub(fields, "miscellaneous-field", text, name=OWN_FIELD + name)

    def measure(
        self, measure: Element, bar: WrittenBar, place: int, name: str | None, start: bool, stop: tuple[str, str] | None
    ) -> None:
        self.attributes(measure, bar, place)
        if start or bar.ending:
            left = _sub(measure, "barline", location="left")
            if start:
                _sub(left, "bar-style", "heavy-light")
            if bar.ending:
                _sub(left, "ending", number=", ".join(map(str, bar.ending)), type="start")
            if start:
                _sub(left, "repeat", direction="forward")
        if name is not None:
            _sub(_direction(measure), "rehearsal", name)
        if place == 0:
            self.tempo(measure)
        for sign in (sign for sign in bar.signs if sign in OPENING_SIGNS):
            _sub(_direction(measure, **{sign: sign}), sign)
        for chord in bar.chords:
            self.chord(measure, bar, chord, place)
        for sign in (sign for sign in bar.signs if sign not in OPENING_SIGNS):
            said, sound = _SAID[sign]
            _sub(_direction(measure, **sound), "words", said)
        _right_barline(measure, bar, stop)

    def attributes(self, measure: Element, bar: WrittenBar, place: int) -> None:
        attributes = Element("attributes")
        needed = divisions_for(bar, self.divisions)
        if needed != self.divisions:
            self.divisions = needed
            _sub(attributes, "divisions", needed)
        if place == 0:
            key = _sub(attributes, "key")
            _sub(key, "fifths", self.chart.key.fifths if self.chart.key else 0)
            _sub(key, "mode", self.chart.key.mode if self.chart.key else "none")
        if bar.meter != self.meter:
            self.meter = bar.meter
            time = _sub(attributes, "time")
            _sub(time, "beats", bar.meter.beats)
            _sub(time, "beat-type", bar.meter.unit)
        if place == 0:
            clef = _sub(attributes, "clef")
            _sub(clef, "sign", "G")
            _sub(clef, "line", 2)
            _sub(_sub(attributes, "measure-style"), "slash", type="start", **{"use-stems": "no"})
        if bar.repeated_bar != self.copying:
            self.copying = bar.repeated_bar
            style = _sub(attributes, "measure-style")
            if self.copying:
                _sub(style, "measure-repeat", 1, type="start")
            else:
                _sub(style, "measure-repeat", type="stop")
        if len(attributes):
            measure.append(attributes)

    def tempo(self, measure: Element) -> None:
        tempo, swing = self.chart.tempo, self.chart.swing
        sound: Element | None = None
        if tempo is not None:
            compound = self.chart.sections[0].bars[0].meter.compound
            quarters = tempo * Fraction(3, 2) if compound else tempo
            metronome = _sub(_direction(measure, tempo=_decimal(quarters)), "metronome")
            _sub(metronome, "beat-unit", "quarter")
            if compound:
                _sub(metronome, "beat-unit-dot")
            _sub(metronome, "per-minute", _decimal(tempo))
            sound = measure[-1].find("sound")
        if swing is not None:
            swung = _sub(sound if sound is not None else _sub(measure, "sound"), "swing")
            if swing == 1:
                _sub(swung, "straight")
            else:
                _sub(swung, "first", swing.numerator)
                _sub(swung, "second", swing.denominator)
                _sub(swung, "swing-type", "eighth")

    def chord(self, measure: Element, bar: WrittenBar, chord: WrittenChord, place: int) -> None:
        words = self.words.get((self.origins[place], chord.at), ChordWords())
        if chord.pin is not None:
            _sub(_direction(measure), "words", pin_text(chord.pin))
        if words.above and words.above != self.center:
            self.center = words.above
            _sub(_direction(measure), "words", words.above, **{"font-weight": "bold"})
        if words.below:
            _sub(_direction(measure, "below"), "words", words.below)
        if bar.repeated_bar or not chord.held:
            _harmony(measure, chord, hidden=bar.repeated_bar)
        for rest in rests(bar, chord):
            note = _sub(measure, "note")
            _sub(note, "rest", **({"measure": "yes"} if rest.whole_bar else {}))
            _sub(note, "duration", rest.quarters * self.divisions)
            _sub(note, "voice", 1)
            if rest.type:
                _sub(note, "type", rest.type)
            if rest.dotted:
                _sub(note, "dot")
            if rest.triplet:
                modified = _sub(note, "time-modification")
                _sub(modified, "actual-notes", 3)
                _sub(modified, "normal-notes", 2)


def _decimal(number: Fraction) -> str:
    """A number as MusicXML takes it: a decimal, exact where six digits suffice."""
    text = number_text(number)
    return f"{float(number):.6f}" if "/" in text else text


def _direction(measure: Element, placement: str = "above", /, **sound: str) -> Element:
    """A direction at this place of a measure; returns the element that takes what it says."""
    direction = _sub(measure, "direction", placement=placement)
    said = _sub(direction, "direction-type")
    if sound:
        _sub(direction, "sound", **sound)
    return said


def _harmony(measure: Element, chord: WrittenChord, hidden: bool) -> None:
    harmony = _sub(measure, "harmony")
    if hidden:
        harmony.set("print-object", "no")
    if chord.symbol is None:
        _sub(_sub(harmony, "root"), "root-step", "C", text="")
        _sub(harmony, "kind", "none", text="N.C.")
        return
    written = kind_of(chord.symbol, chord.text)
    _note(harmony, "root", chord.symbol.root)
    _sub(harmony, "kind", written.kind, text=written.text)
    if chord.symbol.bass is not None:
        _note(harmony, "bass", chord.symbol.bass)
    for change in written.degrees:
        degree = _sub(harmony, "degree", **{"print-object": "no"})
        _sub(degree, "degree-value", change.value)
        _sub(degree, "degree-alter", change.alter)
        _sub(degree, "degree-type", change.type)


def _note(harmony: Element, what: str, name: NoteName) -> None:
    note = _sub(harmony, what)
    _sub(note, f"{what}-step", name.letter)
    if name.alteration:
        _sub(note, f"{what}-alter", name.alteration)


def _right_barline(measure: Element, bar: WrittenBar, stop: tuple[str, str] | None) -> None:
    style = "light-light" if bar.double_barline else "light-heavy" if bar.final_barline or bar.repeat_end else ""
    if not style and stop is None:
        return
    right = _sub(measure, "barline", location="right")
    if style:
        _sub(right, "bar-style", style)
    if stop is not None:
        _sub(right, "ending", number=stop[0], type=stop[1])
    if bar.repeat_end:
        repeat = _sub(right, "repeat", direction="backward")
        if bar.repeat_end > 2:
            repeat.set("times", str(bar.repeat_end))


def without_idle_repeat(section: WrittenSection) -> WrittenSection:
    """A section without the repeat of nothing but the pickup, which is never played again."""
    bars = section.bars
    if bars[0].number or not bars[0].repeat_end or bars[0].ending:
        return section
    return replace(section, bars=(replace(bars[0], repeat_start=False, repeat_end=0), *bars[1:]))


def _repeat_starts(section: WrittenSection, chart: Chart, index: int) -> set[int]:
    """The bars of a section where a repeat begins; only the one that begins a whole chart may go unsaid."""
    starts = {at for at, bar in enumerate(section.bars) if bar.repeat_start}
    for repeat in repeats_of(section.bars)[0]:
        if index or chart.pickup is not None:
            starts.add(repeat.first)
    if index == 0 and chart.pickup is not None and 0 in starts and len(section.bars) > 1:
        starts = starts - {0} | {1}
    return starts


def _ending_stops(section: WrittenSection) -> dict[int, tuple[str, str]]:
    """Where each ending's bracket stops: the passes, and how; the last one is as long as the first."""
    begins = [at for at, bar in enumerate(section.bars) if bar.ending]
    stops: dict[int, tuple[str, str]] = {}
    length = 1
    for at, after in pairwise([*begins, len(section.bars)]):
        number = ", ".join(map(str, section.bars[at].ending))
        end = next((place for place in range(at, after) if section.bars[place].repeat_end), None)
        if end is not None:
            length = end - at + 1
            stops[end] = number, "stop"
        else:
            following = next((place for place in range(at + 1, after) if section.bars[place].repeat_start), after)
            last = min(at + length, following) - 1
            stops[last] = number, "stop" if last == following - 1 else "discontinue"
    return stops
