"""Where two readings differ, in lines: agreement in a line, each differing chord with what both say of it."""

from collections.abc import Iterator, Sequence

from trainer.commands.instrument import instrument_told
from trainer.commands.page import Page
from trainer.commands.paired_bars import Comparison, Side, Stretches, chord_read, chord_sound, chords_by_bar, key_sound
from trainer.commands.told_chord import (
    cadence_told,
    capital,
    distance_told,
    function_of,
    numeral_of,
    place_of,
    symbol_of,
)
from trainer.commands.words import counted, wrapped
from trainer.reading.one_line import bars_text
from trainer.reading.values import Analysis, ChordReading

INDENT = "  "


def told_compare(
    comparison: Comparison, names: tuple[str, str], head: Sequence[str], page: Page, why: bool
) -> list[str]:
    """The comparison in lines; names are what each side is called, head what stands above all."""
    blocks: list[list[str]] = [[*head, page.say(instrument_told(page.instrument))], [_summary(comparison)]]
    blocks.append([*_homes(comparison, names, page), *_routes(comparison, names, page)])
    for stretch in comparison.stretches:
        blocks.append(
            [_heading(comparison, stretch, names)]
            if stretch.alike
            else [_heading(comparison, stretch, names), *_differing(comparison, stretch, names, page, why)]
        )
    blocks.append(list(_cadences(comparison, names, page)))
    blocks.append(list(_interruptions(comparison, names, page)))
    lines: list[str] = []
    for block in blocks:
        parts = [part for text in block for part in _wrapped(text, page)]
        lines += ["", *parts] if parts and lines else parts
    return lines


def _wrapped(text: str, page: Page) -> list[str]:
    indent = text[: len(text) - len(text.lstrip())]
    return wrapped(text, page.columns, indent, indent + INDENT)


def _summary(comparison: Comparison) -> str:
    alike = sum(len(stretch.first) for stretch in comparison.stretches if stretch.alike)
    counts = [len(side.timeline.bars) for side in (comparison.first, comparison.second)]
    if counts[0] != counts[1]:
        return f"{counted(alike, 'bar')} alike, of {counts[0]} in the first and {counts[1]} in the second."
    if alike == counts[0]:
        return f"All {counted(alike, 'bar')} are alike."
    return f"{alike} of {counted(counts[0], 'bar')} alike."


def _homes(comparison: Comparison, names: tuple[str, str], page: Page) -> Iterator[str]:
    homes = [side.analysis.home for side in (comparison.first, comparison.second)]
    keys = [None if home is None else home.key for home in homes]
    told = ["none" if key is None else page.key(key) for key in keys]
    if key_sound(keys[0]) == key_sound(keys[1]):
        yield f"Home: {told[0]} in both"
    else:
        yield f"Home {names[0]}: {told[0]}"
        yield f"Home {names[1]}: {told[1]}"


def _routes(comparison: Comparison, names: tuple[str, str], page: Page) -> Iterator[str]:
    routes = [_route(side.analysis, page) for side in (comparison.first, comparison.second)]
    if routes[0] == routes[1]:
        yield f"Route: {routes[0]} in both"
    else:
        yield f"Route {names[0]}: {routes[0]}"
        yield f"Route {names[1]}: {routes[1]}"


def _route(analysis: Analysis, page: Page) -> str:
    steps = [f"{page.key(step.center)} ({bars_text(step.from_, step.until)})" for step in analysis.route]
    return page.key(analysis.route[0].center) if len(steps) == 1 else ", ".join(steps) or "none"


def _heading(comparison: Comparison, stretch: Stretches, names: tuple[str, str]) -> str:
    told = [capital(_bars(bars)) for bars in (stretch.first, stretch.second)]
    if stretch.first == stretch.second:
        words = told[0]
    elif not stretch.second:
        words = f"{told[0]}, only in the {names[0]}"
    elif not stretch.first:
        words = f"{told[1]}, only in the {names[1]}"
    else:
        words = f"{told[0]} of the {names[0]}, {_bars(stretch.second)} of the {names[1]}"
    return f"{words}: alike" if stretch.alike else words


def _bars(bars: Sequence[int]) -> str:
    return "" if not bars else f"bar {bars[0]}" if len(bars) == 1 else f"bars {bars[0]}-{bars[-1]}"


def _differing(
    comparison: Comparison, stretch: Stretches, names: tuple[str, str], page: Page, why: bool
) -> Iterator[str]:
    sides = (comparison.first, comparison.second)
    bars = [chords_by_bar(side.analysis) for side in sides]
    if not stretch.paired:
        for name, held, numbers in zip(names, bars, (stretch.first, stretch.second), strict=True):
            for number in numbers:
                yield from _told(held[number], f"{capital(name)}: ", page, why)
        return
    for mine, theirs in zip(stretch.first, stretch.second, strict=True):
        pair = bars[0][mine], bars[1][theirs]
        if [*map(chord_sound, pair[0])] == [*map(chord_sound, pair[1])]:
            for one, other in zip(*pair, strict=True):
                yield from _same_chord(one, other, names, page, why)
        else:
            for name, chords in zip(names, pair, strict=True):
                yield from _told(chords, f"{capital(name)}: ", page, why)


def _same_chord(one: ChordReading, other: ChordReading, names: tuple[str, str], page: Page, why: bool) -> Iterator[str]:
    """A chord that both have: its reading once where they agree, else one after the other."""
    if chord_read(one) == chord_read(other):
        yield f"{INDENT}{place_of(one)} {symbol_of(page, one)}: {_reading(one, page)} in both"
        return
    yield f"{INDENT}{place_of(one)} {symbol_of(page, one)}"
    for name, chord in zip(names, (one, other), strict=True):
        yield f"{INDENT * 2}{capital(name)}: {_reading(chord, page)}"
        if why:
            yield f"{INDENT * 3}{page.say(' '.join(chord.why))}"


def _told(chords: Sequence[ChordReading], start: str, page: Page, why: bool) -> Iterator[str]:
    for chord in chords:
        yield f"{INDENT}{start}{place_of(chord)} {symbol_of(page, chord)}: {_reading(chord, page)}"
        if why:
            yield f"{INDENT * 2}{page.say(' '.join(chord.why))}"


def _reading(chord: ChordReading, page: Page) -> str:
    if chord.center is None:
        return "nothing sounds"
    words = f"{numeral_of(page, chord)}, {function_of(page, chord)}, in {page.key(chord.center)}"
    return f"{words} ({chord.confidence:.0%})"


def _cadences(comparison: Comparison, names: tuple[str, str], page: Page) -> Iterator[str]:
    sides: tuple[Side, Side] = (comparison.first, comparison.second)
    for name, side, found in zip(names, sides, comparison.cadences, strict=True):
        for cadence in found:
            where = bars_text(cadence.from_, cadence.until)
            yield f"Cadence only {_in(name)}: {where}, {cadence_told(side.analysis, cadence, page, True)}"


def _interruptions(comparison: Comparison, names: tuple[str, str], page: Page) -> Iterator[str]:
    for name, found in zip(names, comparison.interruptions, strict=True):
        for one in found:
            words = page.say(" ".join((*one.why, distance_told(one))))
            yield f"Interruption only {_in(name)}: {bars_text(one.from_, one.until)}. {words}"


def _in(name: str) -> str:
    return f"in the {name}" if name in ("first", "second") else {"pinned": "with the pin"}.get(name, name)
