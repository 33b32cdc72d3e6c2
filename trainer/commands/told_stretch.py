"""Everything about one stretch of a tune, as one player tells it another: a label and a sentence on each line."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from trainer.charts.timeline import Place, Span, Timeline
from trainer.commands.instrument import instrument_told
from trainer.commands.page import Page
from trainer.commands.stretch import Stretch, spans_in
from trainer.commands.told_analysis import ENTERED
from trainer.commands.told_chord import (
    cadence_name,
    capital,
    distance_told,
    function_of,
    numeral_of,
    place_of,
    rival_words,
    symbol_of,
)
from trainer.commands.told_form import likeness_text, section_name
from trainer.commands.told_guide import guide_tones_told
from trainer.commands.words import joined, wrapped
from trainer.reading.form import section_numbers
from trainer.reading.hardest import hardest_stretch
from trainer.reading.one_line import bars_text
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Interruption

INDENT = "  "

SURE: tuple[tuple[float, str], ...] = (
    (0.95, "almost certain"), (0.8, "likely by far"), (0.6, "likely"), (0.45, "about as likely as not"),
    (0.3, "a close call"), (0.1, "possible"), (0.02, "unlikely"), (0.0, "hardly"),
)  # fmt: skip
"""A share of all readings in words, from each share up."""

SHARE_TOLD = 0.005
"""What would be 0% isn't told."""

MOTIONS = (
    "on the same root", "a half step up", "a whole step up", "a minor third up", "a major third up",
    "a fifth down", "a tritone away", "a fifth up", "a major third down", "a minor third down",
    "a whole step down", "a half step down",
)  # fmt: skip
"""The way from one root to the next, by half steps up."""


def share_told(share: float) -> str:
    """A share in words and percent: `likely (72%)`."""
    percent = "over 99%" if share >= 0.995 else "under 1%" if share < 0.005 else f"{share:.0%}"
    return f"{next(words for least, words in SURE if share >= least)} ({percent})"


def told_stretch(analysis: Analysis, timeline: Timeline, stretch: Stretch, page: Page) -> list[str]:
    """A stretch in lines. Raises StretchError where the tune has no such bar."""
    spans = spans_in(stretch, timeline)
    indices = [span.index for span in spans]
    blocks = [list(_head(analysis, timeline.bars[-1].number, stretch, spans, page))]
    guides = guide_tones_told(analysis, indices, page)
    for group in _held_together(analysis, indices):
        blocks.append(list(_chord(analysis, group, guides.get(group[0], ""), page)))
    blocks.append(list(_cadences(analysis, frozenset(indices), page)))
    blocks.extend(_interruption(analysis, one, frozenset(indices), page) for one in analysis.interruptions)
    return [
        line for block in blocks if block for line in ("", *(part for text in block for part in _wrapped(text, page)))
    ][1:]


def _wrapped(text: str, page: Page) -> list[str]:
    indent = text[: len(text) - len(text.lstrip())]
    return wrapped(text, page.columns, indent, indent + INDENT)


def _head(analysis: Analysis, last_bar: int, stretch: Stretch, spans: Sequence[Span], page: Page) -> Iterator[str]:
    yield f"{analysis.title or analysis.file}: {_which(stretch)} of {last_bar}"
    yield page.say(instrument_told(page.instrument))
    if analysis.home is not None:
        yield f"Home: {page.key(analysis.home.key)}"
    numbers = section_numbers(analysis)
    for number in dict.fromkeys(numbers[span.index] for span in spans):
        inside = [span.bar for span in spans if numbers[span.index] == number]
        yield f"Section: {_section(analysis, number, inside[0], inside[-1])}"
    first, last = spans[0].index, spans[-1].index
    for step in analysis.route:
        if step.first_chord <= last and step.until_chord > first:
            move = "" if step.move is None else f": {step.move.name}, {page.say(ENTERED[step.move.entered_by])}"
            yield f"Route: {page.key(step.center)} in {bars_text(step.from_, step.until)}{move}"
    hard = hardest_stretch(analysis)
    if hard is not None and hard.from_.bar <= spans[-1].bar and spans[0].bar <= _last_bar(hard.until):
        yield f"Hardest: {bars_text(hard.from_, hard.until)} of this tune. {page.say(' '.join(hard.why))}"


def _which(stretch: Stretch) -> str:
    if stretch.first_beat is None and stretch.last_beat is None:
        return f"{'bar' if stretch.first_bar == stretch.last_bar else 'bars'} {stretch.text}"
    if "-" not in stretch.text:
        return f"beat {stretch.first_beat} of bar {stretch.first_bar}"
    return f"from {stretch.text.replace('-', ' to ')}, bars as played,"


def _last_bar(until: Place) -> int:
    return until.bar if until.beat > 1 else until.bar - 1


def _section(analysis: Analysis, number: int, first: int, last: int) -> str:
    section = analysis.sections[number]
    name, count = section_name(section), len(analysis.sections)
    start = max(section.from_.bar, 1)
    length = section.until.bar - start
    words = (
        bars_text(section.from_, section.until)
        if name is None
        else f"{name}, {bars_text(section.from_, section.until)}"
    )
    if first >= start:
        own = f"bar {first - start + 1}" if first == last else f"bars {first - start + 1}-{last - start + 1}"
        words += f"; here {own} of its {length}"
    else:
        words += "; here its pickup"
    if count > 1:
        words += f"; number {number + 1} of {count} sections"
    likeness = likeness_text(analysis, number, True)
    return f"{words}; {likeness}" if likeness else words


def _held_together(analysis: Analysis, indices: Sequence[int]) -> list[list[int]]:
    """The chords of a stretch, each with its holds behind it."""
    groups: list[list[int]] = []
    for n in indices:
        chord = analysis.chords[n]
        before = analysis.chords[n - 1] if groups else None
        if before is not None and chord.span.continues and _reading(before) == _reading(chord):
            groups[-1].append(n)
        else:
            groups.append([n])
    return groups


def _reading(chord: ChordReading) -> tuple[object, ...]:
    return (chord.span.symbol, chord.center, chord.numeral, chord.function, chord.applied_to)


def _chord(analysis: Analysis, group: Sequence[int], guide: str, page: Page) -> Iterator[str]:
    chord = analysis.chords[group[0]]
    beats = sum(analysis.chords[n].span.beats for n in group)
    held = ", held from the chord before" if chord.span.continues else ""
    written = chord.span.written
    own = "N.C." if chord.span.symbol is None else chord.span.symbol.text
    spelled = f", written {page.chord(written)}" if written and written != own else ""
    yield f"{place_of(chord)}: {symbol_of(page, chord)}{spelled}, {beats} {'beat' if beats == 1 else 'beats'}{held}"
    if chord.center is None:
        yield f"{INDENT}Why: {page.say(' '.join(chord.why))}"
        return
    breaking = [one for one in analysis.interruptions if group[0] in one.chords]
    into = f", breaking in on {page.key(breaking[0].awaited)}" if breaking else ""
    yield f"{INDENT}Center: {page.key(chord.center)}{into}"
    yield f"{INDENT}Does: {numeral_of(page, chord)}, {function_of(page, chord)}; {share_told(chord.confidence)}"
    yield f"{INDENT}Next: {_next(analysis, group[-1], page)}"
    yield f"{INDENT}Strictly by its own step: {_strict(chord, page)}"
    yield f"{INDENT}Why: {page.say(' '.join(chord.why))}"
    for rival in chord.rivals:
        if rival.share < SHARE_TOLD:
            continue
        told = "all other readings together" if rival.center is None else rival_words(page, chord, rival)
        yield f"{INDENT}Or: {told}; {share_told(rival.share)}"
    if guide:
        yield f"{INDENT}Guide tones: {guide}"
    if (pin := _pin(analysis, group[0], page)) is not None:
        yield f"{INDENT}Pin: {pin}"


def _next(analysis: Analysis, n: int, page: Page) -> str:
    """The chord that is struck next, and the way of the roots."""
    chord = analysis.chords[n]
    here = chord.span.symbol
    for after in analysis.chords[n + 1 :]:
        if after.span.continues and after.span.symbol == here:
            continue
        if after.span.symbol is None or here is None:
            return f"silence at {place_of(after)}"
        way = MOTIONS[(after.span.symbol.root.pitch_class - here.root.pitch_class) % 12]
        return f"{symbol_of(page, after)} at {place_of(after)}, its root {way}"
    return "nothing, the tune ends here"


def _strict(chord: ChordReading, page: Page) -> str:
    """What the chord awaits by itself, beside the center it stands in."""
    assert chord.center is not None
    if chord.leads_to is None:
        return f"it awaits no tonic; it stands in {page.key(chord.center)}"
    if chord.leads_to.pitch_class == chord.center.tonic.pitch_class:
        return f"it awaits {page.note(chord.leads_to)}, the tonic of its center"
    return f"it awaits {page.note(chord.leads_to)}, though its center is {page.key(chord.center)}"


def _pin(analysis: Analysis, n: int, page: Page) -> str | None:
    pin = analysis.chords[n].span.pin
    if pin is None or pin.center is None:
        return None
    runs = [list(run) for _, run in groupby(analysis.chords, key=lambda chord: chord.span.pin)]
    run = next(run for run in runs if any(chord.span.index == n for chord in run))
    what = page.key(pin.center) if pin.numeral is None else f"{pin.numeral.text} of {page.key(pin.center)}"
    first, last = place_of(run[0]), place_of(run[-1])
    return f"{what}, at {first}" if first == last else f"{what}, from {first} to {last}"


def _cadences(analysis: Analysis, inside: frozenset[int], page: Page) -> Iterator[str]:
    found = [cadence for cadence in analysis.cadences if inside & set(cadence.chords)]
    if not found:
        yield "Cadences: none here"
        return
    for cadence in found:
        yield f"Cadence: {_cadence(analysis, cadence, page)}"


def _cadence(analysis: Analysis, cadence: FoundCadence, page: Page) -> str:
    first, last = (analysis.chords[n] for n in (cadence.chords[0], cadence.chords[-1]))
    words = f"{cadence_name(cadence, page)}, in {page.key(cadence.center)}"
    words += f", from {symbol_of(page, first)} at {place_of(first)}"
    words += f" to {symbol_of(page, last)} at {place_of(last)}"
    if cadence.wraps:
        words += ", over the end back to the top"
    if not cadence.complete:
        words += ", broken off"
    if cadence.within is not None:
        outer = analysis.cadences[cadence.within]
        words += f"; part of {cadence_name(outer, page)} in {bars_text(outer.from_, outer.until)}"
    return words


def _interruption(analysis: Analysis, one: Interruption, inside: frozenset[int], page: Page) -> list[str]:
    parts = ((one.prepared, "prepare"), (one.chords, "break in"), (one.resumed, "take up again"))
    told = []
    for chords, does in parts:
        symbols = [symbol_of(page, analysis.chords[n]) for n in chords if n in inside]
        if symbols:
            verb, _, rest = does.partition(" ")
            told.append(" ".join((*symbols, verb if len(symbols) > 1 else verb + "s", *rest.split())))
    if not told:
        return []
    words = page.say(" ".join((*one.why, distance_told(one))))
    where = capital(bars_text(one.from_, one.until))
    return [f"Interruption: {where}. {words} Of the chords here, {joined(told)}."]
