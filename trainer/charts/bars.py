"""What stands between two barlines: chords in equal slots, holds, silence, `%`, pins, signs and endings."""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from trainer.charts.chart import Meter, Pin, WrittenBar, WrittenChord
from trainer.charts.lexer import Token, shortened
from trainer.charts.pins import parse_pin
from trainer.errors import Fault, TextError
from trainer.harmony.pitch import HarmonyError
from trainer.harmony.symbol import ChordSymbol, parse_chord
from trainer.records import dataclass

MOST_SLOTS = 96
LONGEST_WORD = 60
HIGHEST_PASS = 99

OPENING_SIGNS = ("segno", "coda")
"""Signs that mark where a bar begins; they stand before its chords."""
CLOSING_SIGNS = (
    "to coda", "fine", "D.C.", "D.S.", "D.C. al fine", "D.C. al coda", "D.S. al fine", "D.S. al coda",
)  # fmt: skip
"""Signs that are obeyed when a bar is over; they stand behind its chords."""

CHORD_TOLD = "a chord such as `Ebmaj7`, `/`, `%` or `N.C.`"
EMPTY_BAR_TOLD = "something in the bar: a chord, `/` to hold, `%` to repeat the bar before, or `N.C.`"

_LOOSE_TENSION_STARTS = ("#", "♯", "b", "♭", "(", "add", "sus", "alt", "no", "omit", "maj", "+", "-")


@dataclass(frozen=True, slots=True)
class Before:
    """What a bar needs to know of the text before it."""

    bar: WrittenBar | None
    """The bar before it in its section."""
    chord: WrittenChord | None
    """The chord before it in the text."""
    pin: tuple[Pin, int, int] | None = None
    """A pin that still waits for its chord, with its line and column."""


@dataclass(frozen=True, slots=True)
class ReadBar:
    """A bar as read, its faults, and a pin left waiting for the next bar's chord."""

    bar: WrittenBar
    faults: tuple[Fault, ...]
    pin: tuple[Pin, int, int] | None
    has_slots: bool
    """Whether anything in it sounds or is silent."""


@dataclass(slots=True)
class _Slot:
    kind: str
    """chord, hold, silence, same (`%`) or broken."""
    column: int
    symbol: ChordSymbol | None = None
    text: str = ""
    pin: Pin | None = None


@lru_cache(maxsize=64)
def slot_counts(beats: Fraction) -> tuple[int, ...]:
    """Every number of equal slots that a bar of so many beats may have."""
    counts = range(1, MOST_SLOTS + 1)
    return tuple(n for n in counts if n == 1 or (beats / n).denominator == 1 or (n / beats).denominator == 1)


def slot_times(numerator: int, denominator: int, count: int) -> Sequence[Fraction]:
    """Where each of so many equal slots of a bar begins and the last one ends; the bar's beats are a fraction."""
    if count > MOST_SLOTS:  # a fault, and nothing to keep
        return [Fraction(numerator * index, denominator * count) for index in range(count + 1)]
    return _kept_slot_times(numerator, denominator, count)


@lru_cache(maxsize=512)
def _kept_slot_times(numerator: int, denominator: int, count: int) -> Sequence[Fraction]:
    return tuple(Fraction(numerator * index, denominator * count) for index in range(count + 1))


def read_bar(
    tokens: Sequence[Token], line: int, number: int, meter: Meter, beats: Fraction | None, before: Before
) -> ReadBar:
    """Read the tokens between two barlines; beats None leaves out the check of the slots' number."""
    content = _Content(line, before)
    content.take(tokens)
    chords, same = content.chords(meter, beats)
    column = tokens[0].column if tokens else 0
    bar = WrittenBar(
        number, meter, chords, repeated_bar=same, ending=content.ending, signs=tuple(content.signs),
        line=line, column=column, places=tuple(content.places),
    )  # fmt: skip
    return ReadBar(bar, tuple(content.faults), content.pin, bool(content.slots))


class _Content:
    """The tokens of one bar, sorted into slots, signs and pins."""

    def __init__(self, line: int, before: Before) -> None:
        self.line = line
        self.before = before
        self.pin = before.pin
        self.slots: list[_Slot] = []
        self.signs: list[str] = []
        self.ending: tuple[int, ...] = ()
        self.places: list[tuple[str, int, int]] = []
        self.faults: list[Fault] = []
        self.closed = False

    def fault(self, column: int, found: str, expected: str) -> None:
        self.faults.append(Fault(self.line, column, found, expected))

    def take(self, tokens: Sequence[Token]) -> None:
        at = 0
        while at < len(tokens):
            token = tokens[at]
            used = 1
            if token.kind == "pin":
                self.take_pin(token)
            elif token.kind == "bracket":
                self.take_ending(token)
            elif token.kind == "broken":
                self.slots.append(_Slot("broken", token.column))
            else:
                used = self.take_sign(tokens, at)
                if not used:
                    self.take_slot(token)
                    used = 1
            at += used

    def take_pin(self, token: Token) -> None:
        if self.pin is not None:
            self.fault(token.column, f"a second pin `{{{shortened(token.text)}}}`", "a chord after the first pin")
        if len(token.text) > LONGEST_WORD:
            self.fault(token.column, f"`{{{shortened(token.text)}}}`", "a pin such as `{Bb}` or `{Bb: ii7}`")
            return
        try:
            self.pin = (parse_pin(token.text, self.line, token.column + 1), self.line, token.column)
        except TextError as error:
            self.faults += error.faults

    def take_ending(self, token: Token) -> None:
        expected = "an ending with the passes it is for, such as `[1.]` or `[1,3.]`"
        told = f"`[{shortened(token.text)}]`"
        text = token.text.strip()
        if text[:1].isalpha():
            self.fault(token.column, told, "a section's name on a line of its own, or an ending such as `[1.]`")
            return
        parts = [part.strip() for part in text.removesuffix(".").split(",")]
        numbers = all(part.isascii() and part.isdigit() and len(part) < 4 for part in parts)
        if not text.endswith(".") or not numbers:
            self.fault(token.column, told, expected)
            return
        passes = tuple(int(part) for part in parts)
        if not all(1 <= number <= HIGHEST_PASS for number in passes) or len(set(passes)) < len(passes):
            self.fault(token.column, told, f"{expected}, each once, from 1 to {HIGHEST_PASS}")
        elif self.ending or self.slots:
            self.fault(token.column, told, "one ending, at the start of its bar")
        else:
            self.ending = passes
            self.places.append(("[", self.line, token.column))

    def take_sign(self, tokens: Sequence[Token], at: int) -> int:
        """Take a sign of one or more words; the number of tokens used, 0 where none begins here."""
        words = [token.text.casefold() if token.kind == "word" else "" for token in tokens[at : at + 3]]
        words += [""] * (3 - len(words))
        column = tokens[at].column
        if words[0] in ("segno", "coda", "fine"):
            self.take_known_sign(words[0], column)
            return 1
        if words[0] == "to" and words[1] == "coda":
            self.take_known_sign("to coda", column)
            return 2
        if words[0] in ("d.c.", "d.s."):
            if words[1] == "al" and words[2] in ("fine", "coda"):
                self.take_known_sign(f"{words[0].upper()} al {words[2]}", column)
                return 3
            if words[1] == "al":
                told = f"`{tokens[at].text} {tokens[at + 1].text}`"
                self.fault(column, told, "`al fine` or `al coda`")
                return 2
            self.take_known_sign(words[0].upper(), column)
            return 1
        if words[0] in ("to", "al"):
            expected = "`to coda`, or `D.C.` or `D.S.` with `al fine` or `al coda`"
            self.fault(column, f"`{tokens[at].text}` alone", expected)
            return 1
        if words[0].replace(".", "") in ("dc", "ds"):
            self.fault(column, f"`{tokens[at].text}`", "`D.C.` or `D.S.`, with both points")
            return 1
        return 0

    def take_known_sign(self, sign: str, column: int) -> None:
        if sign in self.signs:
            self.fault(column, f"`{sign}` twice in one bar", "it once")
            return
        if sign in OPENING_SIGNS and self.slots:
            self.fault(column, f"`{sign}` behind a chord", f"`{sign}` at the start of a bar, where it is jumped to")
        if sign.startswith("D.") and any(other.startswith("D.") for other in self.signs):
            self.fault(column, f"`{sign}` beside another jump", "one of `D.C.` and `D.S.` in a bar")
            return
        if sign in CLOSING_SIGNS:
            self.closed = True
            if not self.slots:
                self.fault(
                    column,
                    f"`{sign}` before the chords of its bar",
                    f"`{sign}` behind them, at the bar's end",
                )
        self.signs.append(sign)
        self.places.append((sign, self.line, column))

    def take_slot(self, token: Token) -> None:
        slot = self.slot_of(token)
        if self.closed:
            closing = next(sign for sign in reversed(self.signs) if sign in CLOSING_SIGNS)
            self.fault(token.column, f"`{shortened(token.text)}` behind `{closing}`", "the barline")
            self.closed = False
        if slot.kind == "hold" and self.slots and self.pin is not None:
            _, line, column = self.pin
            expected = "a chord after the pin: it holds from the next chord on"
            self.faults.append(Fault(line, column, "a pin before `/`", expected))
            self.pin = None
        if self.pin is not None:
            slot.pin, self.pin = self.pin[0], None
        self.slots.append(slot)

    def slot_of(self, token: Token) -> _Slot:
        text, column = token.text, token.column
        if text == "/":
            return _Slot("hold", column)
        if text == "%":
            return _Slot("same", column)
        if text.upper() in ("N.C.", "NC"):
            return _Slot("silence", column)
        if len(text) > LONGEST_WORD:
            self.fault(column, f"`{shortened(text)}`", CHORD_TOLD)
            return _Slot("broken", column)
        try:
            return _Slot("chord", column, parse_chord(text), text)
        except HarmonyError as error:
            self.fault_of_chord(token, error)
            return _Slot("broken", column)

    def fault_of_chord(self, token: Token, error: HarmonyError) -> None:
        text = token.text
        before = self.slots[-1] if self.slots else None
        if text.startswith(_LOOSE_TENSION_STARTS) and before and before.kind == "chord":
            expected = f"it joined to its chord: `{before.text}{text}`"
            self.fault(token.column, f"`{text}` standing alone", expected)
        elif text.casefold().startswith("x") and text[1:].isdigit():
            self.fault(token.column, f"`{text}`", "a count such as `x3` only behind `:|`")
        else:
            column = token.column + error.column - 1
            if error.column == 1:
                self.fault(column, f"`{text}`", CHORD_TOLD)
            else:
                self.fault(column, f"{error.found} in `{text}`", error.expected)

    def chords(self, meter: Meter, beats: Fraction | None) -> tuple[tuple[WrittenChord, ...], bool]:
        """The bar's chords in exact time, and whether it is a `%`."""
        length = beats or Fraction(meter.beats)
        same = next((slot for slot in self.slots if slot.kind == "same"), None)
        if same is not None:
            return self.same_bar(same, meter, length)
        if not self.slots:
            return (WrittenChord(Fraction(0), length, None, line=self.line),), False
        count = len(self.slots)
        if count > 1 and beats is not None and count not in (counts := slot_counts(beats)):
            self.fault_of_count(count, counts, meter, beats)
        times = slot_times(length.numerator, length.denominator, count)
        chords: list[WrittenChord] = []
        for index, slot in enumerate(self.slots):
            if slot.kind == "hold" and chords:
                continue
            until = index + 1
            while until < count and self.slots[until].kind == "hold":
                until += 1
            chords.append(self.chord(slot, times[index], times[until - index]))
        return tuple(chords), False

    def chord(self, slot: _Slot, at: Fraction, beats: Fraction) -> WrittenChord:
        if slot.kind == "hold":
            held = self.before.chord
            symbol, text = (held.symbol, held.text) if held else (None, "")
            return WrittenChord(at, beats, symbol, True, slot.pin, text, self.line, slot.column)
        return WrittenChord(at, beats, slot.symbol, False, slot.pin, slot.text, self.line, slot.column)

    def same_bar(self, same: _Slot, meter: Meter, length: Fraction) -> tuple[tuple[WrittenChord, ...], bool]:
        source = self.before.bar
        expected = None
        if len(self.slots) > 1:
            expected = "`%` alone in its bar; `/` holds a chord"
        elif source is None:
            expected = "chords: `%` repeats the bar before it, and this is the first bar of its section"
        elif source.meter != meter:
            expected = f"chords: the bar before is in {source.meter}, this one in {meter}"
        elif source.beats != length:
            expected = "chords: the bar before is a pickup and shorter than this one"
        if expected or source is None:
            self.fault(same.column, "`%`", expected or "chords")
            return (WrittenChord(Fraction(0), length, None, line=self.line),), False
        chords = [
            WrittenChord(chord.at, chord.beats, chord.symbol, True, None, chord.text, self.line, same.column)
            for chord in source.chords
        ]
        first = chords[0]
        if same.pin is not None:
            chords[0] = WrittenChord(
                first.at, first.beats, first.symbol, True, same.pin, first.text, self.line, same.column
            )
        return tuple(chords), True

    def fault_of_count(self, count: int, counts: tuple[int, ...], meter: Meter, beats: Fraction) -> None:
        column = self.slots[0].column
        if count > MOST_SLOTS:
            self.fault(column, f"{count} slots in one bar", f"at most {MOST_SLOTS}")
            return
        shown = [str(number) for number in counts if number <= 2 * beats or number <= 2]
        bar = f"a bar of {meter}" if beats == meter.beats else f"a pickup of {beats} beats"
        one = "one chord" if count == 1 else f"{count} chords and holds"
        expected = f"{', '.join(shown[:-1])} or {shown[-1]} equal slots; `/` behind a chord makes it last longer"
        self.fault(column, f"{one} in {bar}", expected)
