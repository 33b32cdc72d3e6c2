"""One chord, one rival and one cadence in words, as every printout of a reading says them.

Places are written as `--pin` takes them: `9` is the first beat of bar 9, `9.3` its third.
"""

from trainer.charts.timeline import Place
from trainer.commands.page import Page
from trainer.harmony.cadence import CADENCE
from trainer.reading.route import MOVE_NAMES, short_way
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Interruption, Rival

RIVAL_FROM = 0.05
"""The share from which another reading is told beside the reasons."""


def place_text(place: Place) -> str:
    """A place as the command takes it: `9`, `9.3`, `9.5/2`."""
    return f"{place.bar}" if place.beat == 1 else f"{place.bar}.{place.beat}"


def place_of(chord: ChordReading) -> str:
    """Where a chord begins."""
    return place_text(chord.span.place)


def symbol_of(page: Page, chord: ChordReading) -> str:
    """A chord's symbol, or `N.C.`."""
    return "N.C." if chord.span.symbol is None else page.chord(chord.span.symbol.text)


def numeral_of(page: Page, chord: ChordReading) -> str:
    """A chord's numeral; empty for silence."""
    return "" if chord.numeral is None else page.numeral(chord.numeral)


def function_of(page: Page, chord: ChordReading) -> str:
    """What a chord does: `dominant to ii (C)`, `tonic, pinned`; empty for silence."""
    if chord.span.symbol is None:
        return ""
    words: str = chord.function
    if chord.applied_to is not None and chord.center is not None:
        words += f" to {page.degree(chord.applied_to, chord.center.mode)}"
        words += f" ({page.note(chord.leads_to)})" if chord.leads_to is not None else ""
    if chord.span.pin is not None and chord.span.pin.center is not None:
        words += ", pinned"
    return words


def rival_told(page: Page, chord: ChordReading, rival: Rival) -> str:
    """Another reading with its share: `vi7 predominant (47%)`."""
    return f"{rival_words(page, chord, rival)} ({rival.share:.0%})"


def rival_words(page: Page, chord: ChordReading, rival: Rival) -> str:
    """Another reading: `vi7 predominant`, `ii7 in F major, predominant`."""
    words = [] if rival.numeral is None else [page.numeral(rival.numeral)]
    if rival.center is not None and rival.center != chord.center:
        words.append(f"in {page.key(rival.center)},")
    return " ".join((*words, rival.function))


def distance_told(one: Interruption) -> str:
    """How far the foreign key lies from the awaited one."""
    away = short_way(one.heard.tonic.pitch_class - one.awaited.tonic.pitch_class)
    heard, awaited = one.heard.name, one.awaited.name
    if away == 0:
        return f"{heard} is the parallel key of {awaited}."
    if abs(away) not in MOVE_NAMES:
        return f"{heard} lies a tritone away from {awaited}."
    return f"{heard} lies {MOVE_NAMES[abs(away)]} {'above' if away > 0 else 'below'} {awaited}."


def cadence_name(cadence: FoundCadence, page: Page) -> str:
    """A cadence's name, with the degree that it points to."""
    name = CADENCE[cadence.type].name
    if cadence.degree is not None:
        name = name.replace("a degree", f"the {page.degree(cadence.degree, cadence.center.mode)}")
    return name


def cadence_told(analysis: Analysis, cadence: FoundCadence, page: Page, with_center: bool) -> str:
    """A cadence with its chords: "two–five–one in major: Cm7 F7 Bbmaj7, in Bb major"."""
    symbols: list[str] = []
    for n in cadence.chords:
        text = symbol_of(page, analysis.chords[n])
        if not (symbols and symbols[-1] == text and analysis.chords[n].span.continues):
            symbols.append(text)
    words = f"{cadence_name(cadence, page)}: {' '.join(symbols)}"
    if with_center:
        words += f", in {page.key(cadence.center)}"
    return words + (", back to the top" if cadence.wraps else "")


def capital(text: str) -> str:
    """A text with its first letter large."""
    return text[:1].upper() + text[1:]
