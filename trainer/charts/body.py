"""The sections and bars of a chart's text, gathered line by line."""

from dataclasses import replace
from fractions import Fraction

from trainer.charts.bars import EMPTY_BAR_TOLD, Before, read_bar
from trainer.charts.chart import Meter, Pin, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.lexer import BARLINES_TOLD, Token, shortened, tokens_of
from trainer.charts.section_names import section_name
from trainer.errors import Fault

COMMON_METER = Meter(4, 4)


class Body:
    """Takes the lines behind the header and keeps what they say, with their faults."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []
        self.sections: list[WrittenSection] = []
        """The bars of the last one may still be in `bars`."""
        self.bars: list[WrittenBar] = []
        """Of the section that is being read."""
        self.any_bars = False
        self.meter: Meter | None = COMMON_METER
        """In force for the next bar; None after a meter that can't be read."""
        self.pickup: Fraction | None = None
        self.pickup_place = (0, 0)
        self.pickup_known = True
        """False after a pickup that can't be read: then the first bar's slots can't be judged."""
        self.next_number = 1
        self.meter_place: tuple[int, int] | None = None
        """A `meter:` line that no bar has followed yet."""
        self.start: tuple[int, int] | None = None
        """A `|:` that no bar has followed yet."""
        self.chord: WrittenChord | None = None
        """The last one in the text."""
        self.pin: tuple[Pin, int, int] | None = None
        """A pin that no chord has followed yet."""

    def fault(self, place: tuple[int, int], found: str, expected: str) -> None:
        """Note a fault at a line and column."""
        self.faults.append(Fault(*place, found, expected))

    def change_meter(self, meter: Meter | None, place: tuple[int, int]) -> None:
        """Take a `meter:` line between bars."""
        self.meter = meter
        self.meter_place = place

    def take_section(self, line: str, number: int) -> None:
        """Take a line that begins with a section's name; bars may follow the name."""
        column = line.index("[") + 1
        end = line.find("]")
        name, fault = section_name(line[column : end if end >= 0 else len(line)], number, column)
        if end < 0:
            fault = Fault(number, column, "`[` that is never closed", "`]` behind the section's name")
        if fault:
            self.faults.append(fault)
        self.end_section()
        self.sections.append(WrittenSection(name, (), number, column))
        if end >= 0 and line[end + 1 :].strip():
            self.take_bars(" " * (end + 1) + line[end + 1 :], number)

    def end_section(self) -> None:
        """Put the bars gathered so far into the section they belong to."""
        if self.start:
            self.fault(self.start, "`|:` that no bar of its section follows", "bars to repeat behind it")
            self.start = None
        if self.pin and self.pin[0].center is not None:
            self.fault(self.pin[1:], "a pin that no chord of its section follows", "a chord behind it")
        self.pin = None
        if self.bars:
            if not self.sections:
                self.sections.append(WrittenSection(None, (), self.bars[0].line, 1))
            self.sections[-1] = replace(self.sections[-1], bars=tuple(self.bars))
            self.bars = []

    def finish(self) -> None:
        """Close what the text's end closes."""
        self.end_section()
        if self.meter_place:
            self.fault(self.meter_place, "a meter that no bar follows", "bars below it")

    def take_bars(self, line: str, number: int) -> None:
        """Take a line of bars, without its comment."""
        tokens, faults = tokens_of(line, number)
        self.faults += faults
        first = tokens[0]
        if first.kind not in ("barline", "bracket"):
            told = f"`{shortened(first.text)}` at the line's start"
            self.fault((number, first.column), told, f"a barline first: {BARLINES_TOLD}")
        if first.kind != "barline":  # an ending may begin a line: the barline before it ended the last one
            tokens.insert(0, Token("barline", "|", first.column))
        if tokens[-1].kind != "barline":
            end = len(line.rstrip()) + 1
            self.fault((number, end), "the line's end", f"a barline before it: {BARLINES_TOLD}")
            tokens.append(Token("barline", "|", end))
        before = tokens[0]
        self.take_barline(before, number, opens_line=True)
        content: list[Token] = []
        for token in tokens[1:]:
            if token.kind != "barline":
                content.append(token)
                continue
            if content or not (before.times and token.text == "|:"):
                self.take_bar(content, token, number)
            self.take_barline(token, number)
            content, before = [], token

    def take_bar(self, tokens: list[Token], closing: Token, number: int) -> None:
        """Take what stands between two barlines."""
        meter = self.meter or COMMON_METER
        beats = Fraction(meter.beats) if self.meter else None
        if not self.any_bars:
            beats = self.first_beats(beats)
        before = Before(self.bars[-1] if self.bars else None, self.chord, self.pin)
        read = read_bar(tokens, number, self.next_number, meter, beats, before)
        self.faults += read.faults
        if not tokens or not (read.faults or read.has_slots):
            found = "a bar with neither chord nor hold" if tokens else "two barlines with nothing between them"
            self.fault((number, tokens[0].column if tokens else closing.column), found, EMPTY_BAR_TOLD)
        bar = read.bar
        if self.start:
            bar = replace(bar, repeat_start=True, places=(*bar.places, ("|:", *self.start)))
        self.start = None
        self.pin = read.pin
        self.chord = bar.chords[-1]
        self.bars.append(bar)
        self.any_bars = True
        self.next_number += 1
        self.meter_place = None

    def first_beats(self, beats: Fraction | None) -> Fraction | None:
        """The length of the first bar: the pickup's, judged against the meter; None where it isn't known."""
        if not self.pickup_known:
            return None
        if self.pickup is None or beats is None:
            return beats
        self.next_number = 0
        if self.pickup < beats:
            return self.pickup
        found = f"a pickup of {self.pickup} beats in {self.meter}"
        self.fault(self.pickup_place, found, f"fewer beats than a bar: less than {beats}")
        return None

    def take_barline(self, token: Token, number: int, opens_line: bool = False) -> None:
        """Put what a barline says on the bars beside it; one that opens a line ended the line before."""
        place = (number, token.column)
        if token.text.endswith(":"):
            self.start = self.start or place
        if not self.bars:
            if token.text.startswith(":"):
                self.fault(place, f"`{token.text}` with no bar of its section before it", "bars to repeat before it")
            return
        bar = self.bars[-1]
        if token.text.startswith(":"):
            written = bar.repeat_end if opens_line else 0
            if token.times and written > 2 and written != token.times:
                self.fault(place, f"`:| x{token.times}` behind `:| x{written}`", "one count for one repeat")
            places = bar.places if written else (*bar.places, (":|", *place))
            bar = replace(bar, repeat_end=token.times or written or 2, places=places)
        double = not bar.repeat_end and (bar.double_barline or token.text == "||")
        final = not bar.repeat_end and (bar.final_barline or token.text == "|]")
        if (double, final) != (bar.double_barline, bar.final_barline):
            bar = replace(bar, double_barline=double, final_barline=final)
        self.bars[-1] = bar
