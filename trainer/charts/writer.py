"""Writes a chart so that reading it gives the same chart back.

Four bars a line, barlines under one another within a section. A chord keeps the player's own spelling
unless the house spelling is asked for. Comments go back to the line they stood on, or to the nearest
one above which they can stand.
"""

import re
from collections.abc import Iterator, Sequence

from trainer.charts.bars import LONGEST_WORD, OPENING_SIGNS, slot_counts
from trainer.charts.chart import Chart, Meter, WrittenBar, WrittenChord, WrittenSection
from trainer.charts.header import NAMES, feel_text, number_text
from trainer.charts.pins import pin_text
from trainer.errors import KeyfarerError
from trainer.harmony.key import Key
from trainer.harmony.pitch import HarmonyError
from trainer.harmony.symbol import parse_chord
from trainer.records import dataclass

BARS_A_LINE = 4
WIDEST_ALIGNED = 28
"""A bar with more characters than this doesn't push the bars above and below it apart."""

_LIKE_A_COMMENT = re.compile(r"\s#(?=\s|$)")
_BEGINS_LIKE_ONE = re.compile(r"#(?=\s|$)")


def write_chart(chart: Chart, house_spelling: bool = False) -> str:
    """Write a chart as text. Raises KeyfarerError where the text has no way to say what a bar holds."""
    comments = _Comments(chart)
    lines = list(_header_lines(chart, comments))
    meter = chart.meter
    for index, section in enumerate(chart.sections):
        if section.name is None and index:
            raise KeyfarerError("only the first section of a chart may be without a name")
        block = list(_section_lines(section, meter, comments, house_spelling))
        if section.bars:
            meter = section.bars[-1].meter
        lines += ["", *block] if lines else block
    lines += comments.rest()
    return "\n".join(lines) + "\n"


class _Comments:
    """The comments that are not yet written, in their order."""

    def __init__(self, chart: Chart) -> None:
        self.waiting = sorted(chart.comments, key=lambda comment: comment[0])

    def before(self, line: int) -> list[str]:
        """Those that stood above a line."""
        count = sum(1 for at, _ in self.waiting if at < line)
        taken, self.waiting = self.waiting[:count], self.waiting[count:]
        return [_comment(text) for _, text in taken]

    def on(self, text: str, line: int) -> str:
        """A line with the comment that stood behind it, if one did."""
        if line and self.waiting and self.waiting[0][0] == line:
            return f"{text}  {_comment(self.waiting.pop(0)[1])}"
        return text

    def rest(self) -> list[str]:
        """All that are left."""
        return [_comment(text) for _, text in self.waiting]


def _comment(text: str) -> str:
    return f"# {' '.join(text.splitlines())}".rstrip()


def _header_lines(chart: Chart, comments: _Comments) -> Iterator[str]:
    """The header in the player's own order as far as it is known; names of other programs behind it."""
    values = {
        "title": " ".join(chart.title.splitlines()).strip(),
        "composer": _text(chart.composer),
        "key": _key(chart.key) if chart.key else None,
        "meter": str(chart.meter),
        "tempo": number_text(chart.tempo) if chart.tempo is not None else None,
        "feel": feel_text(chart.swing) if chart.swing is not None else None,
        "form": " ".join(chart.form) or None,
        "pickup": number_text(chart.pickup) if chart.pickup is not None else None,
        "trains": _text(chart.trains),
        "source": _text(chart.source),
    }
    lines_of = {name: line for name, line, _ in chart.header_places}
    if "key" in lines_of and values["key"] is None:
        values["key"] = "none"
    placed = sorted((name for name in NAMES if name in lines_of), key=lambda name: lines_of[name])
    for name in (*placed, *(name for name in NAMES if name not in lines_of)):
        value = values[name]
        if value:
            line = lines_of.get(name, 0)
            yield from comments.before(line)
            if name == "title":
                yield comments.on(f"{name}: {value}", 0)
            else:
                yield comments.on(_named(name, value), line)
    for name, value in chart.extra:
        line = lines_of.get(" ".join(name.casefold().split()), 0)
        yield from comments.before(line)
        yield comments.on(_named(name, _text(value) or ""), line)


def _key(key: Key) -> str:
    return str(key.tonic) if key.mode == "major" else key.name


def _text(value: str | None) -> str | None:
    """A free text on one line and without what would read as a comment."""
    if not value:
        return None
    one_line = " ".join(value.splitlines()).strip()
    return _LIKE_A_COMMENT.sub(lambda match: match[0].replace("#", "♯"), one_line)


def _named(name: str, value: str) -> str:
    """A name and its value; one that begins like a comment stands right behind the colon, where none begins."""
    return f"{name}:{value}" if _BEGINS_LIKE_ONE.match(value) else f"{name}: {value}".rstrip()


@dataclass(slots=True)
class _Row:
    """One line of bars, taken apart for aligning."""

    bars: list[WrittenBar]
    barlines: list[str]
    """One before each cell and one behind the last."""
    cells: list[str]


def _section_lines(section: WrittenSection, meter: Meter, comments: _Comments, house_spelling: bool) -> Iterator[str]:
    if section.name is not None:
        yield from comments.before(section.line)
        yield comments.on(f"[{section.name}]", section.line)
    rows = [_row(bars, house_spelling) for bars in _rows(section.bars)]
    for row, text in zip(rows, _aligned(rows), strict=True):
        last = row.bars[-1].line
        yield from comments.before(last)
        if row.bars[0].meter != meter:
            if section.name is None and row.bars[0] is section.bars[0]:
                raise KeyfarerError(f"the first bar is in {row.bars[0].meter} and the chart in {meter}")
            meter = row.bars[0].meter
            yield f"meter: {meter}"
        yield comments.on(text, last)


def _rows(bars: Sequence[WrittenBar]) -> Iterator[list[WrittenBar]]:
    """Part bars into lines; a new one begins where the meter changes, or two signs need a barline each."""
    row: list[WrittenBar] = []
    for bar in bars:
        if row:
            before = row[-1]
            full = len(row) - (row[0].number == 0) >= BARS_A_LINE
            both = bar.repeat_start and (before.double_barline or before.final_barline)
            if full or both or before.meter != bar.meter:
                yield row
                row = []
        row.append(bar)
    if row:
        yield row


def _row(bars: list[WrittenBar], house_spelling: bool) -> _Row:
    barlines = ["|:" if bars[0].repeat_start else "|"]
    for bar, after in zip(bars, [*bars[1:], None], strict=True):
        barlines.append(_barline(bar, after is not None and after.repeat_start))
    return _Row(bars, barlines, [_cell(bar, house_spelling) for bar in bars])


def _barline(bar: WrittenBar, start: bool) -> str:
    if bar.repeat_end > 2:
        return f":| x{bar.repeat_end}" + (" |:" if start else "")
    if bar.repeat_end:
        return ":|:" if start else ":|"
    if start:
        return "|:"
    return "||" if bar.double_barline else "|]" if bar.final_barline else "|"


def _aligned(rows: list[_Row]) -> list[str]:
    """Put the rows of a section under one another."""
    barline_widths = [0] * (BARS_A_LINE + 2)
    cell_widths = [0] * (BARS_A_LINE + 2)
    for row in rows:
        for at, cell in enumerate(row.cells):
            barline_widths[at] = max(barline_widths[at], len(row.barlines[at]))
            cell_widths[at] = max(cell_widths[at], len(cell) if len(cell) <= WIDEST_ALIGNED else 0)
    lines = []
    for row in rows:
        parts = []
        for at, cell in enumerate(row.cells):
            parts += [row.barlines[at].ljust(barline_widths[at]), cell.ljust(cell_widths[at])]
        lines.append(" ".join([*parts, row.barlines[-1]]))
    return lines


def _cell(bar: WrittenBar, house_spelling: bool) -> str:
    words = [f"[{','.join(map(str, bar.ending))}.]"] if bar.ending else []
    words += [sign for sign in bar.signs if sign in OPENING_SIGNS]
    if bar.repeated_bar:
        words += [*_pin(bar.chords[0]), "%"]
    else:
        slots = _slots(bar)
        for chord in bar.chords:
            count = chord.beats * slots / bar.beats
            words += [*_pin(chord), _chord(chord, house_spelling), *["/"] * (int(count) - 1)]
    words += [sign for sign in bar.signs if sign not in OPENING_SIGNS]
    return " ".join(words)


def _slots(bar: WrittenBar) -> int:
    """The fewest equal slots that say what a bar holds."""
    at = 0 * bar.beats
    for chord in bar.chords:
        if chord.at != at or chord.beats <= 0 or (chord.held and at):
            raise KeyfarerError(f"bar {bar.number}: its chords don't follow one another and fill it")
        at += chord.beats
    for slots in slot_counts(bar.beats):
        if all((chord.at * slots / bar.beats).denominator == 1 for chord in bar.chords):
            return slots
    raise KeyfarerError(f"bar {bar.number}: its chords don't begin on equal slots of {bar.meter}")


def _pin(chord: WrittenChord) -> list[str]:
    return [pin_text(chord.pin)] if chord.pin else []


def _chord(chord: WrittenChord, house_spelling: bool) -> str:
    if chord.held:
        return "/"
    if chord.symbol is None:
        return "N.C."
    if chord.text and not house_spelling and len(chord.text) <= LONGEST_WORD:
        try:
            if parse_chord(chord.text) == chord.symbol:
                return chord.text
        except HarmonyError:
            pass
    return chord.symbol.text
