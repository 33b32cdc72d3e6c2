"""A reading as lines that a player reads, or hears from a screen reader: nothing drawn, 80 columns at most."""

import textwrap
from collections.abc import Iterator

from trainer.charts.timeline import Place
from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key
from trainer.reading.degrees import target_text
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Rival, RouteStep

WIDTH = 80

ENTERED = {
    "own-two": "by its own two",
    "own-five": "by its own five",
    "tonic-turns-minor": "the tonic turns minor",
    "shared-chord": "by a chord of both",
    "half-step-slide": "by a slide of a half step",
    "dominant-chain": "by a chain of dominants",
    "direct": "straight",
}


def reading_lines(reading: Analysis, why: bool = False) -> Iterator[str]:
    """The whole reading; `why` adds the reasons and rivals of every chord."""
    yield from _wrapped(reading.title or reading.file)
    if reading.home is None:
        yield "Nothing sounds in this chart."
        return
    yield from _wrapped(f"Home: {reading.home.key.name}. {' '.join(reading.home.why)}")
    yield from _wrapped(f"Route: {route_told(reading.route)}")
    yield from _chords(reading, why)
    if reading.interruptions:
        yield ""
        yield "Interruptions"
        for one in reading.interruptions:
            yield from _wrapped(" ".join(one.why), "  ")
    if reading.cadences:
        yield ""
        yield "Cadences"
        for cadence in reading.cadences:
            yield from _wrapped(_cadence(cadence, reading), "  ", "    ")


def route_told(route: tuple[RouteStep, ...]) -> str:
    """The key centers in order, with the moves between them."""
    words = []
    for step in route:
        if step.move is None:
            words.append(f"{step.center.name} from bar {_bar(step.from_)}")
        else:
            words.append(
                f"{step.move.name} to {step.center.name} in bar {_bar(step.from_)}, "
                f"{ENTERED[step.move.entered_by]}"
            )
    return "; ".join(words) + "."


def _wrapped(text: str, indent: str = "", further: str | None = None) -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if further is None else further,
        break_on_hyphens=False,
    )


def _bar(place: Place) -> str:
    """A bar, with its beat where it isn't the first."""
    return str(place.bar) if place.beat == 1 else f"{place.bar}.{float(place.beat):g}"


def _chords(reading: Analysis, why: bool) -> Iterator[str]:
    section, center = -1, None
    for chord in reading.chords:
        if chord.span.section != section:
            section = chord.span.section
            center = None
            yield ""
            yield _section(reading, section)
        if chord.center is not None and chord.center != center:
            center = chord.center
            yield f"  in {center.name}"
        yield _chord(chord)
        if why and not chord.span.continues:
            for line in (*chord.why, *_rivals(chord.rivals)):
                yield from _wrapped(line, "        ")


def _section(reading: Analysis, number: int) -> str:
    section = reading.sections[number]
    bars = f"bars {section.from_.bar} to {section.until.bar - 1}"
    name = f"{section.name}, {bars}" if section.name else bars.capitalize()
    if section.same_as is None:
        return name
    like = reading.sections[section.same_as]
    which = f"bars {like.from_.bar} to {like.until.bar - 1}"
    if section.differs_from_bar is None:
        return f"{name}, the same as {which}"
    return f"{name}, the same as {which} until bar {section.differs_from_bar}"


def _chord(chord: ChordReading) -> str:
    span = chord.span
    place = f"  {_bar(span.place):>6}  "
    if span.symbol is None or chord.numeral is None or chord.center is None:
        return f"{place}silence"
    held = "held" if span.continues else ""
    goal = "" if chord.applied_to is None else f" of {target_text(chord.applied_to, chord.center.mode)}"
    if chord.function == "predominant" and chord.applied_to is not None:
        goal = f" toward {target_text(chord.applied_to, chord.center.mode)}"
    pinned = ", pinned" if span.pin is not None and span.pin.center is not None else ""
    return f"{place}{span.symbol.text:<10} {chord.numeral.text:<10} {held or chord.function + goal}{pinned}"


def _rivals(rivals: tuple[Rival, ...]) -> list[str]:
    told = [
        f"{rival.numeral.text} of {rival.center.name} as {rival.function} ({_share(rival.share)})"
        for rival in rivals
        if rival.center is not None and rival.numeral is not None and rival.share >= 0.05
    ]
    return [f"Or: {'; '.join(told)}."] if told else []


def _share(share: float) -> str:
    """How likely a rival is, in words."""
    if share >= 0.4:
        return "nearly as likely"
    return "may well be" if share >= 0.2 else "less likely"


def _cadence(cadence: FoundCadence, reading: Analysis) -> str:
    row = CADENCE[cadence.type]
    degree = "" if cadence.degree is None else f" to {target_text(cadence.degree, cadence.center.mode)}"
    inside = ""
    if cadence.within is not None:
        inside = f", inside the {CADENCE[reading.cadences[cadence.within].type].name}"
    wraps = ", leading back to the start" if cadence.wraps else ""
    return f"{_bar(cadence.from_)}: {row.name}{degree}, in {_name(cadence.center)}{inside}{wraps}."


def _name(key: Key) -> str:
    return key.name
