"""How a word of the glossary sounds: its example as a question of a drill sounds, or comped where that is the word.

Every chord lasts a bar; a row of more than four comes two to a bar.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import cast

from trainer.charts.reader import read_chart
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.glossary import Example, Stated, Term, example_key, stated
from trainer.harmony.key import Key
from trainer.reading.analysis import analyze
from trainer.voicing.patterns import BassFeel, Comping, TimeKeeping
from trainer.voicing.performance import Hearing, perform_chart, perform_progression
from trainer.voicing.sheet import Performance
from trainer.voicing.styles import Style

TEMPO = 112
"""Quarter notes a minute."""
WHOLE_BARS_UP_TO = 4
BAR, HALF = Fraction(4), Fraction(2)


def term_sound(term: Term, key: Key | None = None) -> Performance:
    """A word's example in a key, by default in C, after the key itself. Raises ValueError for a word without one."""
    example = term.example
    if example is None:
        raise ValueError(f"{term.id} has no example")
    chords = stated(example, key)
    if example.comping:
        return _comped(term, example, key)
    return perform_progression(
        [chord.symbol for chord in chords],
        beats_of(chords),
        TEMPO,
        cast(Style, example.style),
        confirm=example_key(example, key),
        hearing=cast(Hearing, example.hearing),
        key=example_key(example, key),
        title=term.name,
    )


def beats_of(chords: Sequence[Stated]) -> tuple[Fraction, ...]:
    """Beats of each chord: a bar, in a longer row half a bar, and what fills the last bar."""
    count = len(chords)
    if count <= WHOLE_BARS_UP_TO:
        return (BAR,) * count
    return (HALF,) * (count - 1) + (HALF if count % 2 == 0 else BAR,)


def example_timeline(term: Term, key: Key | None = None) -> Timeline:
    """A word's example as a tune of a few bars. Raises ValueError for a word without one."""
    example = term.example
    if example is None:
        raise ValueError(f"{term.id} has no example")
    chords = stated(example, key)
    if example.comping == "waltz":
        three = " | ".join(chord.symbol.text for chord in chords)
        return unfold(read_chart(f"title: {term.name}\ntempo: {TEMPO}\nmeter: 3/4\n\n| {three} |\n"))
    bars: list[list[str]] = []
    at = Fraction(0)
    for chord, beats in zip(chords, beats_of(chords), strict=True):
        if at % BAR == 0:
            bars.append([])
        bars[-1].append(chord.symbol.text)
        at += beats
    text = " | ".join(" ".join(bar) for bar in bars)
    return unfold(read_chart(f"title: {term.name}\ntempo: {TEMPO}\n\n| {text} |\n"))


def _comped(term: Term, example: Example, key: Key | None) -> Performance:
    timeline = example_timeline(term, key)
    return perform_chart(
        timeline,
        analyze(timeline),
        style=cast(Style, example.style),
        comping=cast(Comping, example.comping),
        bass_feel=cast(BassFeel, example.bass),
        time=cast(TimeKeeping, example.time) if example.time else None,
    )
