"""The form in words: what a section is the same as, and but for which bars."""

from collections.abc import Sequence

from trainer.commands.words import joined
from trainer.reading.one_line import bars_text
from trainer.reading.values import Analysis, SectionReading

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight")
_PLACES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def form_text(analysis: Analysis) -> str:
    """The form as written, or as it was found; empty where there is neither."""
    if len(analysis.form) > 1:
        return f"form {' '.join(analysis.form)}"
    letters = [section.found for section in analysis.sections if section.found is not None]
    return f"heard as {' '.join(letters)}" if letters else ""


def section_name(section: SectionReading) -> str | None:
    """The written name, or the letter that was found."""
    return section.name or section.found


def section_heading(analysis: Analysis, number: int, reads_alike: bool) -> str:
    """A section with its bars and its likeness; `reads_alike` where its earlier double is read the same."""
    section = analysis.sections[number]
    bars, name = bars_text(section.from_, section.until), section_name(section)
    heading = bars[:1].upper() + bars[1:] if name is None else f"{name}, {bars}"
    likeness = likeness_text(analysis, number, reads_alike)
    return f"{heading}: {likeness}" if likeness else heading


def likeness_text(analysis: Analysis, number: int, reads_alike: bool) -> str:
    """What a section is the same as: "the same as bars 1-8 but for its last two bars"; empty where nothing."""
    section = analysis.sections[number]
    if section.same_as is not None and section.differs_from_bar is None:
        there = _bars_of(analysis.sections[section.same_as])
        return f"the same as {there}" if reads_alike else f"the chords of {there}, heard anew"
    if section.like is not None and section.differing_bars:
        there = _bars_of(analysis.sections[section.like])
        return f"the same as {there} but for {differing_text(section)}"
    if section.same_as is None:
        return ""
    there, leaves = _bars_of(analysis.sections[section.same_as]), section.differs_from_bar
    if leaves is not None and leaves < section.until.bar:
        return f"begins as {there} and leaves them in bar {leaves}"
    return f"as {there} begin"


def differing_text(section: SectionReading) -> str:
    """The bars of a section that are others: "its last two bars", "its third bar", "bars 9 and 13-14"."""
    bars = section.differing_bars
    first, until = section.from_.bar, section.until.bar
    in_a_row = bars == tuple(range(bars[0], bars[-1] + 1))
    count = "bar" if len(bars) == 1 else f"{_COUNTS[len(bars)]} bars" if len(bars) < len(_COUNTS) else ""
    if in_a_row and count and bars[-1] == until - 1:
        return f"its last {count}"
    if in_a_row and count and bars[0] == max(first, 1):
        return f"its first {count}"
    if len(bars) == 1 and bars[0] - max(first, 1) < len(_PLACES):
        return f"its {_PLACES[bars[0] - max(first, 1)]} bar"
    return f"{'bar' if len(bars) == 1 else 'bars'} {joined(_runs(bars))}"


def _runs(bars: Sequence[int]) -> list[str]:
    """Bars with those in a row put together: `9`, `13-14`."""
    runs: list[list[int]] = []
    for bar in bars:
        if runs and runs[-1][-1] == bar - 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])
    return [str(run[0]) if len(run) == 1 else f"{run[0]}-{run[-1]}" for run in runs]


def _bars_of(section: SectionReading) -> str:
    return bars_text(section.from_, section.until)
