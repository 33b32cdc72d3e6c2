"""The measures of a MusicXML part: time as it passes in them, chords, barlines, directions.

Positions and lengths are exact quarter notes. What cannot be read is a fault with its measure's
number; what a chart has no place for is a remark.
"""

import re
from collections.abc import Iterator
from dataclasses import field
from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.charts.bars import HIGHEST_PASS
from trainer.charts.body import COMMON_METER
from trainer.charts.chart import Meter, Pin
from trainer.charts.header import BEAT_UNITS, MOST_BEATS
from trainer.charts.lexer import FEWEST_TIMES, MOST_TIMES, shortened
from trainer.charts.musicxml_harmony import HarmonyFaultError, ReadHarmony, key_of, read_harmony
from trainer.charts.musicxml_signs import CODA_SIGN, FoundSign, signs_of_direction, signs_of_sound
from trainer.charts.pins import parse_pin
from trainer.errors import Fault, TextError
from trainer.harmony.interval import Interval
from trainer.harmony.key import Key
from trainer.records import dataclass

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

MAX_MEASURES = 4096

_PIN = re.compile(r"\s*\{([^{}]{0,40})\}\s*")
_DECIMAL = re.compile(r"-?\d{1,12}(?:\.\d{1,12})?", re.ASCII)
_PASSES = re.compile(r"(\d{1,3})(?:\s*-\s*(\d{1,3}))?", re.ASCII)
_MINOR_MODES = frozenset({"minor", "aeolian", "dorian", "phrygian", "locrian"})
_MODE_STEPS = {"dorian": 2, "phrygian": 4, "lydian": -1, "mixolydian": 1, "locrian": 5, "aeolian": 3}
"""How many fifths the tonic of a mode lies above that of the major key with its signature."""
_BEAT_UNITS = {
    "whole": Fraction(4), "half": Fraction(2), "quarter": Fraction(1), "eighth": Fraction(1, 2), "16th": Fraction(1, 4),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class MeasureFault(Fault):
    """A fault of a measure; its line is the measure's place in the part, from 1."""

    measure: str = ""
    """The number printed at the measure; empty for a fault of the whole score."""

    def told(self, file: str) -> str:
        """The fault as one line for the player."""
        place = f"{file}, measure {self.measure}" if self.measure else file
        return f"{place}: found {self.found}; expected {self.expected}"


@dataclass(slots=True)
class Measure:
    """One measure as read."""

    number: str
    """As printed."""
    meter: Meter
    implicit: bool = False
    quarters: Fraction = Fraction(0)
    """How long it is by what it holds; 0 where it holds no note."""
    chords: list[tuple[Fraction, ReadHarmony]] = field(default_factory=list)
    pins: list[tuple[Fraction, Pin]] = field(default_factory=list)
    repeat_start: bool = False
    repeat_end: int = 0
    ending: tuple[int, ...] = ()
    """The passes of an ending that begins here."""
    ending_stops: bool = False
    double_barline: bool = False
    final_barline: bool = False
    rehearsal: str = ""
    copies: int = 0
    """How many measures back the one stands that it repeats; 0 for a measure with its own chords."""


@dataclass(slots=True)
class ReadPart:
    """Everything a part says."""

    measures: list[Measure] = field(default_factory=list)
    signs: list[FoundSign] = field(default_factory=list)
    keys: list[tuple[int, Key | None]] = field(default_factory=list)
    """Key signatures with the place of their measure; None where the signature names no key."""
    tempos: list[tuple[int, Fraction]] = field(default_factory=list)
    """Quarters a minute."""
    swing: Fraction | None = None
    transpose: Interval | None = None
    """From what is written to what sounds."""
    remarks: list[tuple[int, str]] = field(default_factory=list)
    faults: list[MeasureFault] = field(default_factory=list)


def read_part(part: "Element") -> ReadPart:
    """Read all measures of a part, with every fault in them."""
    reading = _Reading()
    for measure in part.findall("measure")[:MAX_MEASURES]:
        reading.take(measure)
    return reading.part


class _Reading:
    """Walks through a part with what is in force: divisions, meter, key, measure repeats."""

    def __init__(self) -> None:
        self.part = ReadPart()
        self.divisions = Fraction(1)
        self.meter = COMMON_METER
        self.key: Key | None = None
        self.copies = 0
        self.at = Fraction(0)
        self.here = Measure("", self.meter)

    @property
    def index(self) -> int:
        return len(self.part.measures) - 1

    def fault(self, found: str, expected: str) -> None:
        self.part.faults.append(MeasureFault(self.index + 1, 0, found, expected, self.here.number))

    def remark(self, text: str) -> None:
        self.part.remarks.append((self.index, text))

    def take(self, element: "Element") -> None:
        number = shortened(element.get("number", "") or str(len(self.part.measures) + 1), 12)
        self.here = Measure(number, self.meter, element.get("implicit") == "yes")
        self.part.measures.append(self.here)
        self.at = Fraction(0)
        takers = {
            "attributes": self.attributes, "note": self.note, "backup": self.backup, "forward": self.forward,
            "harmony": self.harmony, "direction": self.direction, "sound": self.sound, "barline": self.barline,
        }  # fmt: skip
        for child in element:
            taker = takers.get(child.tag)
            if taker is not None:
                taker(child)
        self.here.meter = self.meter
        self.here.copies = self.copies

    def number(self, element: "Element", name: str, missing: Fraction | None = None) -> Fraction:
        """A number in an element; a fault, and 0, where it is none."""
        text = (element.findtext(name) or "").strip()
        if not text and missing is not None:
            return missing
        if not _DECIMAL.fullmatch(text):
            self.fault(f"`{shortened(text)}` as {name}" if text else f"no {name} in {element.tag}", "a number")
            return Fraction(0)
        return Fraction(text)

    def length(self, element: "Element", name: str) -> Fraction:
        return self.number(element, name) / self.divisions

    def note(self, note: "Element") -> None:
        if note.find("chord") is None and note.find("grace") is None:
            self.advance(self.length(note, "duration"))

    def forward(self, forward: "Element") -> None:
        self.advance(self.length(forward, "duration"))

    def advance(self, by: Fraction) -> None:
        self.at += by
        self.here.quarters = max(self.here.quarters, self.at)

    def backup(self, backup: "Element") -> None:
        self.at = max(self.at - self.length(backup, "duration"), Fraction(0))

    def place(self, element: "Element") -> Fraction:
        """Where an element stands that may be offset."""
        offset = element.find("offset")
        if offset is None or not (offset.text or "").strip():
            return self.at
        return max(self.at + self.number(element, "offset") / self.divisions, Fraction(0))

    def harmony(self, harmony: "Element") -> None:
        if harmony.get("type") == "alternate":
            self.remark("an alternate chord symbol is left out")
            return
        at = self.place(harmony)
        try:
            read = read_harmony(harmony, self.key)
        except HarmonyFaultError as error:
            self.fault(str(error), "a chord symbol with a root from A to G and whole half steps")
            return
        if read.remark:
            self.remark(read.remark)
        self.here.chords.append((at, read))

    def attributes(self, attributes: "Element") -> None:
        if attributes.find("divisions") is not None:
            self.divisions = self.number(attributes, "divisions")
            if self.divisions <= 0:
                self.fault("divisions that are no length", "a number above 0")
                self.divisions = Fraction(1)
        for key in attributes.findall("key")[:1]:
            self.take_key(key)
        for time in attributes.findall("time")[:1]:
            self.take_time(time)
        transpose = attributes.find("transpose")
        if transpose is not None:
            self.take_transpose(transpose)
        for repeat in attributes.iterfind("measure-style/measure-repeat"):
            text = (repeat.text or "").strip()
            self.copies = int(text) if repeat.get("type") == "start" and text in ("1", "2", "4") else 0

    def take_key(self, key: "Element") -> None:
        if key.find("fifths") is None:
            self.remark("a key signature that names no key")
            return
        fifths = self.number(key, "fifths")
        mode = (key.findtext("mode") or "").strip().casefold()
        if fifths.denominator != 1 or abs(fifths) > 21:
            self.fault(f"a signature of {fifths} fifths", "whole fifths")
            return
        self.key = None
        if mode != "none" and (mode or fifths):
            tonic = key_of(int(fifths) + _MODE_STEPS.get(mode, 0), "major").tonic
            if mode == "minor":
                self.key = key_of(int(fifths), "minor")
            else:
                self.key = Key(tonic, "minor" if mode in _MINOR_MODES else "major")
        self.part.keys.append((self.index, self.key))

    def take_time(self, time: "Element") -> None:
        if time.find("senza-misura") is not None:
            self.remark("an unmeasured passage; it is read in the meter before it")
            return
        counts = [(element.text or "").strip() for element in time.findall("beats")]
        units = [(element.text or "").strip() for element in time.findall("beat-type")]
        meter = _meter(counts, units)
        if meter is None:
            told = " + ".join(f"{count}/{unit}" for count, unit in zip(counts, units, strict=False))
            self.fault(f"the meter `{shortened(told)}`", f"up to {MOST_BEATS} beats over 1, 2, 4, 8, 16 or 32")
            return
        self.meter = self.here.meter = meter

    def take_transpose(self, transpose: "Element") -> None:
        chromatic = self.number(transpose, "chromatic")
        octaves = int(self.number(transpose, "octave-change", Fraction(0)))
        diatonic = self.number(transpose, "diatonic", Fraction(round(chromatic * 7 / 12)))
        if chromatic.denominator == diatonic.denominator == 1 and abs(chromatic) < 100:
            self.part.transpose = Interval(int(diatonic) + 7 * octaves, int(chromatic) + 12 * octaves)

    def barline(self, barline: "Element") -> None:
        left = barline.get("location", "right") == "left"
        for sign in barline:
            if sign.tag == "segno" and left:
                self.part.signs.append(FoundSign(self.index, "segno"))
            elif sign.tag == "coda":
                self.part.signs.append(FoundSign(self.index, "coda" if left else CODA_SIGN))
            elif sign.tag == "repeat":
                self.take_repeat(sign)
            elif sign.tag == "ending" and sign.get("type") == "start":
                self.take_ending(sign.get("number", ""))
            elif sign.tag == "ending":
                self.here.ending_stops = True
        style = (barline.findtext("bar-style") or "").strip()
        if not left:
            self.here.double_barline = style == "light-light"
            self.here.final_barline = style == "light-heavy"

    def take_repeat(self, repeat: "Element") -> None:
        if repeat.get("direction") == "forward":
            self.here.repeat_start = True
            return
        text = repeat.get("times", "") or str(FEWEST_TIMES)
        if not (text.isascii() and text.isdigit() and len(text) < 5 and FEWEST_TIMES <= int(text) <= MOST_TIMES):
            self.fault(f"a repeat of `{shortened(text)}` times", f"from {FEWEST_TIMES} to {MOST_TIMES} times")
            return
        self.here.repeat_end = int(text)

    def take_ending(self, text: str) -> None:
        passes: list[int] = []
        for found in _PASSES.finditer(text):
            first, last = int(found[1]), int(found[2] or found[1])
            passes += range(first, min(last, HIGHEST_PASS) + 1)
        if not passes or min(passes) < 1 or max(passes) > HIGHEST_PASS:
            self.fault(f"an ending for `{shortened(text)}`", f"passes from 1 to {HIGHEST_PASS}")
            return
        self.here.ending = tuple(dict.fromkeys(passes))

    def direction(self, direction: "Element") -> None:
        types = [element for found in direction.findall("direction-type") for element in found]
        sound = direction.find("sound")
        for sign in signs_of_direction(types, sound):
            self.part.signs.append(FoundSign(self.index, sign))
        for element in types:
            if element.tag == "rehearsal" and not self.here.rehearsal:
                self.here.rehearsal = " ".join("".join(element.itertext()).split())
            elif element.tag == "words" and (pin := _PIN.fullmatch("".join(element.itertext()))):
                self.take_pin(pin[1], direction)
            elif element.tag == "metronome" and (sound is None or not sound.get("tempo")):
                self.take_metronome(element)
        if sound is not None:
            self.take_sound(sound)

    def take_pin(self, text: str, direction: "Element") -> None:
        try:
            self.here.pins.append((self.place(direction), parse_pin(text)))
        except TextError:
            self.remark(f"the words `{{{shortened(text)}}}` are no pin and are left out")

    def take_metronome(self, metronome: "Element") -> None:
        unit = _BEAT_UNITS.get((metronome.findtext("beat-unit") or "").strip())
        text = (metronome.findtext("per-minute") or "").strip()
        if unit is None or not _DECIMAL.fullmatch(text) or len(metronome.findall("beat-unit")) > 1:
            self.remark("a metronome mark that gives no number of beats")
            return
        dotted = unit * (Fraction(3, 2) if metronome.find("beat-unit-dot") is not None else 1)
        self.part.tempos.append((self.index, Fraction(text) * dotted))

    def sound(self, sound: "Element") -> None:
        self.take_sound(sound)
        self.part.signs += [FoundSign(self.index, sign) for sign in signs_of_sound(sound)]

    def take_sound(self, sound: "Element") -> None:
        tempo = sound.get("tempo", "")
        if _DECIMAL.fullmatch(tempo):
            self.part.tempos.append((self.index, Fraction(tempo)))
        swing = sound.find("swing")
        if swing is not None and self.part.swing is None:
            if swing.find("straight") is not None:
                self.part.swing = Fraction(1)
            elif (long := self.number(swing, "first")) > 0 and (short := self.number(swing, "second")) > 0:
                self.part.swing = long / short


def _meter(counts: list[str], units: list[str]) -> Meter | None:
    """The meter of its printed numbers, 3+2 and 3/8 + 2/4 added up; None where it is none."""
    parts: list[Fraction] = []
    for count, unit in zip(counts, units, strict=False):
        numbers = [word.strip() for word in count.split("+")]
        if not all(_digits(word) for word in (*numbers, unit)) or int(unit) not in BEAT_UNITS:
            return None
        parts.append(Fraction(sum(map(int, numbers)), int(unit)))
    if not parts or len(counts) != len(units):
        return None
    smallest = max(map(int, units))
    beats = sum(parts, Fraction(0)) * smallest
    return Meter(int(beats), smallest) if beats.denominator == 1 and 1 <= beats <= MOST_BEATS else None


def _digits(word: str) -> bool:
    return word.isascii() and word.isdigit() and len(word) < 4


def words_of(element: "Element", path: str) -> Iterator[str]:
    """The texts at a path, on one line each, without the empty ones."""
    for found in element.iterfind(path):
        text = " ".join("".join(found.itertext()).split())
        if text:
            yield text
