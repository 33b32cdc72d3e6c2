"""A reading in words: home, route, every chord in its bar, interruptions, cadences, and what is a close call.

Places are written as `--pin` takes them: `9` is the first beat of bar 9, `9.3` its third.
"""

from collections.abc import Iterator, Sequence
from functools import partial

from trainer.charts.timeline import Timeline
from trainer.commands.instrument import instrument_told
from trainer.commands.page import Page
from trainer.commands.told_chord import (
    RIVAL_FROM,
    cadence_told,
    capital,
    distance_told,
    function_of,
    numeral_of,
    place_of,
    rival_told,
    symbol_of,
)
from trainer.commands.told_form import form_text, section_heading
from trainer.commands.words import counted, joined, table, wrapped
from trainer.harmony.key import Key
from trainer.reading.form import section_numbers
from trainer.reading.hardest import hardest_stretch
from trainer.reading.one_line import bars_text, in_one_line
from trainer.reading.values import (
    Analysis,
    ChordReading,
    EnteredBy,
    FoundCadence,
    Interruption,
    RouteStep,
)

CLOSE_FROM = 0.3
"""The share from which another reading of a chord is called close."""

ENTERED: dict[EnteredBy, str] = {
    "own-two": "entered by its own ii",
    "own-five": "entered by its own V",
    "tonic-turns-minor": "the tonic before turns minor",
    "shared-chord": "through a chord of both keys",
    "half-step-slide": "by a slide of a half step",
    "dominant-chain": "down a chain of dominants",
    "direct": "without preparation",
}
"""How a key center is entered, in a player's words."""

INDENT = "  "


def told_analysis(analysis: Analysis, timeline: Timeline, page: Page, why: bool) -> list[str]:
    """The whole reading as lines; with `why` the reasons stand below each chord."""
    blocks = [_head(analysis, timeline, page), _home(analysis, page), _short(analysis, page)]
    blocks.append(_route(analysis, page))
    told: set[int] = set()
    for number in range(len(analysis.sections)):
        blocks.append(_section(analysis, number, page, why, told))
    blocks.append(_interruptions(analysis, page))
    blocks.append(_cadences(analysis, page))
    blocks.append(_hardest(analysis, page))
    if not why:
        blocks.append(_close_calls(analysis, told, page))
    return [line for block in blocks if block for line in ("", *block)][1:]


def _head(analysis: Analysis, timeline: Timeline, page: Page) -> list[str]:
    meters = list(dict.fromkeys(str(bar.meter) for bar in timeline.bars))
    tempo = f"at {analysis.tempo:g}" if timeline.tempo_given else "with no tempo given"
    bars = sum(bar.number > 0 for bar in timeline.bars)
    told = [f"{counted(bars, 'bar')} of {' and '.join(meters)} {tempo}"]
    if bars < len(timeline.bars):
        told.append("with a pickup")
    told += [form] if (form := form_text(analysis)) else []
    printed = analysis.printed_key
    told.append(f"written in {page.key(printed)}" if printed else "no signature given")
    lines = [analysis.title or analysis.file, ", ".join(told) + ".", page.say(instrument_told(page.instrument))]
    return [part for line in lines for part in wrapped(line, page.columns)]


def _home(analysis: Analysis, page: Page) -> list[str]:
    if analysis.home is None:
        return ["Nothing sounds in this tune."]
    home = analysis.home
    sure = "" if home.confidence >= 0.9 else f" ({home.confidence:.0%} of all readings)"
    return [f"Home: {page.key(home.key)}{sure}", *wrapped(page.say(" ".join(home.why)), page.columns, INDENT)]


def _short(analysis: Analysis, page: Page) -> list[str]:
    """The tune in one line."""
    return (
        []
        if analysis.home is None
        else wrapped(f"In short: {page.say(in_one_line(analysis))}", page.columns, "", INDENT)
    )


def _hardest(analysis: Analysis, page: Page) -> list[str]:
    """Which stretch to practise first."""
    stretch = hardest_stretch(analysis)
    if stretch is None:
        return []
    return [
        f"Hardest: {bars_text(stretch.from_, stretch.until)}",
        *wrapped(page.say(" ".join(stretch.why)), page.columns, INDENT),
    ]


def _route(analysis: Analysis, page: Page) -> list[str]:
    if not analysis.route:
        return []
    if len(analysis.route) == 1:
        return [f"Route: {page.key(analysis.route[0].center)} all the way"]
    rows = [(capital(bars_text(step.from_, step.until)), _step(step, page)) for step in analysis.route]
    return ["Route", *table(rows, page.columns, INDENT)]


def _step(step: RouteStep, page: Page) -> str:
    if step.move is None:
        return page.key(step.center)
    return f"{page.key(step.center)}: {step.move.name}, {page.say(ENTERED[step.move.entered_by])}"


def _section(analysis: Analysis, number: int, page: Page, why: bool, told: set[int]) -> list[str]:
    section = analysis.sections[number]
    indices = _chords_of(analysis, number)
    alike = section.same_as is not None and _reads_alike(analysis, number, section.same_as)
    heading = section_heading(analysis, number, alike)
    if alike and section.differs_from_bar is None:
        return wrapped(heading, page.columns)
    told.update(indices)
    return [*wrapped(heading, page.columns), *_rows(analysis, indices, page, why)]


def _chords_of(analysis: Analysis, number: int) -> list[int]:
    return [n for n, section in enumerate(section_numbers(analysis)) if section == number]


def _reads_alike(analysis: Analysis, one: int, other: int) -> bool:
    def read(number: int) -> list[tuple[object, ...]]:
        chords = [analysis.chords[n] for n in _chords_of(analysis, number)]
        return [(chord.center, chord.numeral, chord.function, chord.applied_to) for chord in chords]

    return read(one) == read(other)


def _rows(analysis: Analysis, indices: Sequence[int], page: Page, why: bool) -> list[str]:
    """A line for each chord, one where the key center changes, and the reasons where they are wanted."""
    chords = analysis.chords
    wide = [
        max((len(cell) for chord in chords if (cell := read(chord))), default=0)
        for read in (place_of, partial(symbol_of, page), partial(numeral_of, page))
    ]
    foreign = {n: one for one in analysis.interruptions for n in one.chords}
    lines: list[str] = []
    centers = {chord.center for chord in chords if chord.center is not None}
    center = next(iter(centers)) if len(centers) == 1 else None
    for n in indices:
        chord = chords[n]
        if chord.center is not None and chord.center != center:
            center = chord.center
            lines.append(INDENT + _center_told(page, center, foreign.get(n)))
        held = chord.span.continues and n > 0 and _reading(chords[n - 1]) == _reading(chord)
        cells = [cell.ljust(w) for cell, w in zip((place_of(chord), symbol_of(page, chord)), wide, strict=False)]
        if held:
            lines.append(INDENT * 2 + "  ".join((*cells, "held")).rstrip())
            continue
        start = INDENT * 2 + "  ".join((*cells, numeral_of(page, chord).ljust(wide[2]), ""))
        told = function_of(page, chord)
        lines.extend(wrapped(told, page.columns, start, " " * len(start)) or [start.rstrip()])
        if why and chord.span.symbol is not None:
            lines.extend(
                wrapped(" ".join((*map(page.say, chord.why), *_rivals(page, chord))), page.columns, INDENT * 4)
            )
    return lines


def _reading(chord: ChordReading) -> tuple[object, ...]:
    return (chord.span.symbol, chord.center, chord.numeral, chord.function, chord.applied_to)


def _center_told(page: Page, center: Key, interruption: Interruption | None) -> str:
    if interruption is None:
        return f"in {page.key(center)}"
    return f"in {page.key(center)}, breaking in on {page.key(interruption.awaited)}"


def _rivals(page: Page, chord: ChordReading) -> Iterator[str]:
    told = [rival_told(page, chord, rival) for rival in chord.rivals if rival.center and rival.share >= RIVAL_FROM]
    if told:
        yield f"It could also be {'; '.join(told)}."


def _interruptions(analysis: Analysis, page: Page) -> list[str]:
    rows = []
    for one in analysis.interruptions:
        rows.append((capital(bars_text(one.from_, one.until)), page.say(" ".join((*one.why, distance_told(one))))))
    return ["Interrupted cadences", *table(rows, page.columns, INDENT)] if rows else []


def _cadences(analysis: Analysis, page: Page) -> list[str]:
    if not analysis.cadences:
        return []
    several = len({step.center for step in analysis.route}) > 1
    rows = []
    for cadence in analysis.cadences:
        deep = _depth(analysis.cadences, cadence)
        where = capital(bars_text(cadence.from_, cadence.until))
        rows.append((INDENT * deep + where, cadence_told(analysis, cadence, page, several)))
    return ["Cadences", *table(rows, page.columns, INDENT)]


def _depth(cadences: Sequence[FoundCadence], cadence: FoundCadence) -> int:
    deep = 0
    while cadence.within is not None and deep < 3:
        cadence, deep = cadences[cadence.within], deep + 1
    return deep


def _close_calls(analysis: Analysis, told: set[int], page: Page) -> list[str]:
    places: dict[tuple[str, str], list[str]] = {}
    for n in sorted(told):
        chord = analysis.chords[n]
        near = [rival for rival in chord.rivals if rival.center is not None and rival.share >= CLOSE_FROM]
        if not near or chord.span.continues:
            continue
        mine = f"{numeral_of(page, chord)} {function_of(page, chord)} ({chord.confidence:.0%})"
        others = " or ".join(rival_told(page, chord, rival) for rival in near)
        places.setdefault((symbol_of(page, chord), f"{mine}, or {others}"), []).append(place_of(chord))
    if not places:
        return []
    rows = [(symbol, f"{words}, at {joined(where)}") for (symbol, words), where in places.items()]
    heads = wrapped("Close calls, where a player may well hear it the other way", page.columns)
    return [*heads, *table(rows, page.columns, INDENT)]
