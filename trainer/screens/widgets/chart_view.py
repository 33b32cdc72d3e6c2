"""A tune as its player reads it: bars, four to a line, functions beneath, key centers as named bands above.

        Bb major ──────────────────────────────  Eb major ──────
      1 │ Cm7            │ F7             │›Bbmaj7         │ Bb7  │
          ii7              V7               Imaj7            V7

A pointer marks the bar under the cursor, another the bar that sounds. A cadence of another key that breaks in is
braced, and dots join the cadence that it delays to its end. Nothing is told by color alone.
"""

from collections.abc import Hashable, Sequence

from textual.content import Content
from textual.geometry import Region
from textual.strip import Strip
from textual.visual import Visual

from trainer.charts.timeline import Timeline
from trainer.harmony.note_names import Naming, chord_told, key_told
from trainer.reading.values import Analysis, Interruption
from trainer.records import dataclass
from trainer.screens.widgets.drawn import Drawn

A_LINE = 4
"""Bars of a line, where there is room."""
MARGIN = 6
"""Cells before the first barline: the number of the line's first bar."""
WIDEST = 24
"""Cells of a bar at most."""
CURSOR, PLAYING = "›", "▶"
CHORDS = 1
"""The row of the chords in a line of bars, below its band."""
MOST_PAINTED = 500
"""Lines that are kept as they were painted."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One chord in a bar."""

    index: int
    """Of its chord in the analysis."""
    at: float
    """Where in the bar it begins, 0 to 1."""
    chord: str
    function: str
    center: str
    """The key center's name; empty for silence."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar as played."""

    number: int
    slots: tuple[Slot, ...]
    section: str
    """The name of the section that begins here; empty elsewhere."""
    begins: bool
    """A section begins here, named or not."""


def bars_of(timeline: Timeline, analysis: Analysis, naming: Naming = "english") -> tuple[Bar, ...]:
    """The bars of a tune with what is written and read in them."""
    slots: dict[int, list[Slot]] = {bar.number: [] for bar in timeline.bars}
    for index, reading in enumerate(analysis.chords):
        span = reading.span
        chord = "N.C." if span.symbol is None else "%"
        if span.symbol is not None and not span.continues:
            chord = chord_told(span.written or span.symbol.text, naming)
        function = "" if span.continues or reading.numeral is None else reading.numeral.text
        center = "" if reading.center is None else key_told(reading.center, naming)
        slots[span.bar].append(Slot(index, float(span.at / span.meter.beats), chord, function, center))
    starts = {section.first_bar: section.name or "" for section in timeline.sections}
    return tuple(
        Bar(bar.number, tuple(slots[bar.number]), starts.get(bar.number, ""), bar.number in starts)
        for bar in timeline.bars
    )


def places_in(bar: Bar, room: int) -> list[int]:
    """The cell that each chord of a bar begins at: where its beat is, as far as all have room."""
    places: list[int] = []
    free, left = 0, sum(map(size_of, bar.slots))
    for slot in bar.slots:
        place = max(free, min(round(slot.at * room), room - left))
        places.append(place)
        free, left = place + size_of(slot), left - size_of(slot)
    return places


def size_of(slot: Slot) -> int:
    """Cells that a chord takes, with the gap after it."""
    return max(len(slot.chord), len(slot.function)) + 1


def lines_of(bars: Sequence[Bar], most: int) -> list[list[Bar]]:
    """The bars of each line: so many at most, and a section begins a line."""
    lines: list[list[Bar]] = []
    for bar in bars:
        if not lines or len(lines[-1]) == most or bar.begins:
            lines.append([])
        lines[-1].append(bar)
    return lines


def fitting(bars: Sequence[Bar], width: int) -> tuple[int, int]:
    """How many bars a line has, four or two or one, and the cells of each, its barline and pointer included."""
    least = max((sum(map(size_of, bar.slots)) for bar in bars), default=0) + 2
    for count in (A_LINE, 2):
        room = (width - MARGIN - 1) // count
        if room >= least:
            return count, min(room, max(least, WIDEST))
    return 1, max(least, min(width - MARGIN - 1, WIDEST))


class ChartView(Drawn):
    """The chart."""

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self.bars: tuple[Bar, ...] = ()
        self.interruptions: tuple[Interruption, ...] = ()
        self.naming: Naming = "english"
        self.cursor = 0
        """Which bar is under the cursor, from 0."""
        self.sounding: int | None = None
        """Which bar sounds, from 0."""
        self._painted: dict[Hashable, list[Strip]] = {}
        """Lines of bars as they were painted, by all that they are painted from."""
        self._heights: dict[Hashable, int] = {}
        """How many rows a line of bars takes."""

    def put(self, timeline: Timeline, analysis: Analysis, naming: Naming = "english") -> None:
        """Show a tune."""
        self.bars, self.interruptions = bars_of(timeline, analysis, naming), analysis.interruptions
        self.naming = naming
        self.cursor, self.sounding = 0, None
        self._painted.clear()
        self._heights.clear()
        self.changed()

    def point(self, bar: int | None) -> None:
        """Say which bar sounds."""
        if bar != self.sounding:
            before, self.sounding = self.sounding, bar
            self._paint_anew(before, bar)

    def move_to(self, bar: int) -> None:
        """Put the cursor on a bar, or the nearest there is."""
        before, self.cursor = self.cursor, max(0, min(bar, len(self.bars) - 1))
        self._paint_anew(before, self.cursor)

    def _paint_anew(self, *bars: int | None) -> None:
        """Paint the rows of some bars alone."""
        width = self.size.width
        rows = {self.row_of(bar) for bar in bars if bar is not None and self.bars}
        if width and rows:
            self.refresh(*(Region(0, row + CHORDS, width, 1) for row in rows))

    def render_line(self, y: int) -> Strip:
        """One row. Lines of bars that are as they were are not drawn again, so that the cursor goes at once."""
        if self.text_selection is not None:
            return super().render_line(y)
        width = self.size.width
        count, room = fitting(self.bars, width)
        row = 0
        for line in lines_of(self.bars, count):
            strips = self._strips(line, room, width)
            if y < row + len(strips):
                return strips[y - row]
            row += len(strips) + 1
            if y < row:
                break
        return Strip.blank(width, self.visual_style.rich_style)

    def _strips(self, line: Sequence[Bar], room: int, width: int) -> list[Strip]:
        """A line of bars as it is painted."""
        first, last = line[0].number, line[-1].number
        places = {self.bars[at].number for at in (self.cursor, self.sounding) if at is not None}
        marks = (self.cursor, self.sounding) if any(first <= place <= last for place in places) else ()
        key = (first, len(line), room, width, marks, self.app.theme, self.visual_style)
        found = self._painted.get(key)
        if found is None:
            rows = self._line(line, room, width)
            text = Content("\n").join(row.truncate(width) for row in rows)
            found = Visual.to_strips(self, text, width, len(rows), self.visual_style)
            if len(self._painted) > MOST_PAINTED:
                self._painted.clear()
            self._painted[key] = found
        return found

    def a_line(self) -> int:
        """Bars of a full line as it is drawn now."""
        return fitting(self.bars, self.content_size.width or 74)[0]

    def row_of(self, bar: int) -> int:
        """The first row of the line that a bar stands in, from 0."""
        row = 0
        width = self.content_size.width or 74
        count, room = fitting(self.bars, width)
        for line in lines_of(self.bars, count):
            if any(self.bars[bar] is one for one in line):
                return row
            place = (line[0].number, len(line), room, width)
            if place not in self._heights:
                self._heights[place] = len(self._line(line, room, width))
            row += self._heights[place] + 1
        return row

    def lines(self, width: int) -> list[Content]:
        """Band, chords, functions, and braces where there are some, line after line."""
        count, room = fitting(self.bars, width)
        drawn: list[Content] = []
        for line in lines_of(self.bars, count):
            if drawn:
                drawn.append(Content(""))
            drawn += self._line(line, room, width)
        return [line.truncate(width) for line in drawn]

    def _line(self, line: Sequence[Bar], room: int, width: int) -> list[Content]:
        inner = room - 2
        cells = [places_in(bar, inner) for bar in line]
        places = [
            (slot, MARGIN + n * room + 2 + place)
            for n, (bar, found) in enumerate(zip(line, cells, strict=True))
            for slot, place in zip(bar.slots, found, strict=True)
        ]
        end = MARGIN + len(line) * room
        rows = [Content.assemble((self._band(line, places, end), "$secondary")), self._chords(line, cells, room)]
        functions = Content.assemble((_written([(place, slot.function) for slot, place in places], end), "$quiet"))
        rows.append(functions)
        brace = self._brace(places, end)
        return [*rows, Content.assemble((brace, "$warning"))] if brace.strip() else rows

    def _band(self, line: Sequence[Bar], places: Sequence[tuple[Slot, int]], end: int) -> str:
        """The names of the key centers where they begin, and a rule as far as each one reaches."""
        begins = [
            (slot.center, place)
            for n, (slot, place) in enumerate(places)
            if slot.center and (n == 0 or places[n - 1][0].center != slot.center)
        ]
        text = f"{line[0].section[: MARGIN - 1]:<{MARGIN}}"
        for n, (name, place) in enumerate(begins):
            until = begins[n + 1][1] - 2 if n + 1 < len(begins) else end
            start = max(len(text), place)
            label = f"{name} "[: max(0, until - start)]
            text = f"{text:<{start}}{label}".ljust(until, "─") if label else text
            text += "  "
        return text[:end]

    def _chords(self, line: Sequence[Bar], cells: Sequence[Sequence[int]], room: int) -> Content:
        parts: list[str | tuple[str, str]] = [(f"{line[0].number:>{MARGIN - 2}}  ", "$quiet")]
        for bar, places in zip(line, cells, strict=True):
            at = next(n for n, one in enumerate(self.bars) if one is bar)
            text = _written([(place, slot.chord) for slot, place in zip(bar.slots, places, strict=True)], room - 2)
            sounds, marked = at == self.sounding, at == self.cursor
            style = "bold $primary" if sounds else "bold" if marked else ""
            parts += [("│", "$quiet"), (f"{PLAYING if sounds else CURSOR if marked else ' '}{text}", style)]
        return Content.assemble(*parts, ("│", "$quiet"))

    def _brace(self, places: Sequence[tuple[Slot, int]], end: int) -> str:
        """A brace beneath what breaks in, and dots from the cadence that it delays to where this goes on."""
        text = [" "] * (end + 1)
        for one in self.interruptions:
            reach = (*one.prepared, *one.chords, *one.resumed)
            joined = [(slot, place) for slot, place in places if min(reach) <= slot.index <= max(reach)]
            if joined:
                first, last = joined[0][1], joined[-1][1] + size_of(joined[-1][0]) - 2
                for cell in range(first, min(last, end) + 1):
                    text[cell] = "┄"
                if joined[0][0].index == min(reach):
                    _put(text, first, f"awaits {key_told(one.awaited, self.naming)} ")
            inside = [(slot, place) for slot, place in places if slot.index in one.chords]
            if inside:
                first, last = inside[0][1], inside[-1][1] + size_of(inside[-1][0]) - 2
                for cell in range(first, min(last, end) + 1):
                    text[cell] = "─"
                text[first], text[min(last, end)] = "└", "┘"
                heard = key_told(one.heard, self.naming)
                words = (f" {heard} breaks in ", f" {heard} ", "")
                _put(text, first + 2, next(word for word in words if len(word) <= max(0, last - first - 3)))
        return "".join(text).rstrip()


def _put(text: list[str], at: int, words: str) -> None:
    for n, sign in enumerate(words):
        if at + n < len(text):
            text[at + n] = sign


def _written(words: Sequence[tuple[int, str]], width: int) -> str:
    """Words at their places in a line."""
    text = ""
    for place, word in words:
        text = f"{text:<{place}}{word}"
    return f"{text:<{width}}"[:width]
