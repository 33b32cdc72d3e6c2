"""Reads chart text: what a player writes by hand, with every fault of it at once.

The form of the text is told in README.md. The reader never guesses: what it can't read is a fault
with its line and column, what was found and what would have been accepted.
"""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from os import PathLike, fspath
from pathlib import Path
from typing import TypeVar

from trainer.charts import header
from trainer.charts.body import COMMON_METER, Body
from trainer.charts.chart import Chart, Meter, Remark
from trainer.charts.header import HeaderLine, ValueFaultError, header_line
from trainer.charts.lexer import lines_of, shortened, split_comment
from trainer.charts.order import order_of
from trainer.charts.section_names import form_names
from trainer.charts.text_file import MAX_CHART_BYTES, read_text_file, too_large
from trainer.errors import Fault, TextError
from trainer.harmony.key import Key

HEADER_LINE_TOLD = "a header line such as `key: Eb`, a section such as `[A]`, or bars between barlines"
BODY_LINE_TOLD = "bars between barlines, a section such as `[A]`, or a comment behind `# `"
LONGEST_VALUE = 60
"""Of a header value that isn't free text."""

Value = TypeVar("Value")


def read_chart(text: str, file: str = "-") -> Chart:
    """Read the text of a chart. Raises TextError with all its faults."""
    if len(text) > MAX_CHART_BYTES:
        raise TextError(file, (too_large(),))
    if not text.removeprefix("\ufeff").strip():
        raise TextError(file, (Fault(0, 0, "an empty text", "bars, such as `| Dm7 | G7 | Cmaj7 | % |`"),))
    return _Reader(file).read(text)


def read_chart_file(path: str | PathLike[str]) -> Chart:
    """Read a chart file. Raises TextError with all its faults, or with why it can't be read."""
    return read_chart(read_text_file(Path(path)), fspath(path))


class _Reader:
    """Hands the lines of a text to header and body, and makes the chart of both."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.body = Body()
        self.faults: list[Fault] = []
        self.remarks: list[Remark] = []
        self.comments: list[tuple[int, str]] = []
        self.places: dict[str, tuple[int, int]] = {}
        """Of the header values, by name."""
        self.texts: dict[str, str] = {}
        self.key: Key | None = None
        self.meter: Meter | None = None
        self.tempo: Fraction | None = None
        self.swing: Fraction | None = None
        self.extra: list[tuple[str, str]] = []

    def read(self, text: str) -> Chart:
        for number, line in enumerate(lines_of(text), start=1):
            self.take_line(line, number)
        self.body.finish()
        chart = self.chart()
        order = order_of(chart)
        faults = dict.fromkeys((*self.faults, *self.body.faults, *order.faults))
        if faults:
            raise TextError(self.file, tuple(sorted(faults, key=lambda fault: (fault.line, fault.column))))
        return replace(chart, remarks=(*self.remarks, *order.remarks))

    def take_line(self, raw: str, number: int) -> None:
        if "\0" in raw:
            self.fault(number, raw.index("\0") + 1, "a zero byte, as in a binary file", "plain text")
            return
        titled = header_line(raw)
        if titled is not None and titled.known_as == "title":
            self.take_header(titled, number)
            return
        line, comment = split_comment(raw)
        if comment is not None:
            self.comments.append((number, comment))
        stripped = line.strip()
        if not stripped:
            return
        if stripped.startswith("[") and not stripped[1:].lstrip()[:1].isdigit():
            self.body.take_section(line, number)
        elif stripped.startswith(("|", ":")):
            self.body.take_bars(line, number)
        elif (named := header_line(line)) is not None:
            self.take_header(named, number)
        elif "|" in stripped or stripped.startswith(("[", "{")):
            self.body.take_bars(line, number)
        else:
            expected = BODY_LINE_TOLD if self.body.any_bars else HEADER_LINE_TOLD
            self.fault(number, line.index(stripped[0]) + 1, f"`{shortened(stripped)}`", expected)

    def fault(self, line: int, column: int, found: str, expected: str) -> None:
        self.faults.append(Fault(line, column, found, expected))

    def take_header(self, line: HeaderLine, number: int) -> None:
        name = line.known_as
        if name == "meter" and (self.body.any_bars or self.body.sections):
            self.body.change_meter(self.parsed(header.parse_meter, line, number), (number, line.name_column))
        elif self.body.any_bars:
            expected = "header lines before the first bar; only `meter:` may stand between bars"
            self.fault(number, line.name_column, f"`{shortened(line.name)}:` behind bars", expected)
        elif name not in header.NAMES:
            self.extra.append((line.name, line.value))
            self.places.setdefault(name, (number, line.value_column))
            self.remarks.append(Remark(number, line.name_column, header.unknown_name_told(line.name)))
        elif name in self.places:
            self.fault(number, line.name_column, f"a second `{name}:`", "it once")
        else:
            self.places[name] = (number, line.value_column)
            self.take_value(name, line, number)

    def take_value(self, name: str, line: HeaderLine, number: int) -> None:
        if name == "key":
            self.key = self.parsed(header.parse_key_hint, line, number)
        elif name == "meter":
            self.meter = self.body.meter = self.parsed(header.parse_meter, line, number)
        elif name == "tempo":
            self.tempo = self.parsed(header.parse_tempo, line, number)
        elif name == "feel":
            self.swing = self.parsed(header.parse_feel, line, number)
        elif name == "pickup":
            self.body.pickup = self.parsed(header.parse_pickup, line, number)
            self.body.pickup_known = self.body.pickup is not None
            self.body.pickup_place = self.places[name]
        elif name == "form" and not line.value:
            self.fault(
                number, line.value_column, "nothing behind `form:`", "names of sections, such as `A A B A`"
            )
        else:
            self.texts[name] = line.value

    def parsed(self, parse: Callable[[str], Value], line: HeaderLine, number: int) -> Value | None:
        """The value of a header line; None where it is at fault."""
        try:
            if len(line.value) > LONGEST_VALUE:
                raise ValueFaultError(
                    f"`{shortened(line.value)}`", f"a value for `{line.known_as}:`, which is short"
                )
            return parse(line.value)
        except ValueFaultError as error:
            self.fault(number, line.value_column + error.offset, error.found, error.expected)
            return None

    def chart(self) -> Chart:
        form: tuple[str, ...] = ()
        if "form" in self.texts:
            known = {section.name for section in self.body.sections if section.name is not None}
            form, faults = form_names(self.texts["form"], known, *self.places["form"])
            self.faults += faults
        return Chart(
            title=self.texts.get("title", ""),
            sections=tuple(self.body.sections),
            meter=self.meter or COMMON_METER,
            composer=self.texts.get("composer") or None,
            key=self.key,
            tempo=self.tempo,
            swing=self.swing,
            form=form,
            pickup=self.body.pickup,
            trains=self.texts.get("trains") or None,
            source=self.texts.get("source") or None,
            extra=tuple(self.extra),
            comments=tuple(self.comments),
            file=self.file,
            header_places=tuple((name, *place) for name, place in self.places.items()),
        )
