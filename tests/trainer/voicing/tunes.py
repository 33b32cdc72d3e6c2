"""Invented tunes to perform, and readings of them made by hand."""

from fractions import Fraction

from trainer.charts.reader import read_chart
from trainer.charts.timeline import Place, Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.key import Key, parse_key
from trainer.harmony.numeral import numeral_of
from trainer.reading.values import Analysis, ChordReading, Home, RouteStep

SALT_ROAD = """title: Salt Road
key: Eb
meter: 4/4
tempo: 120

[A]
| Ebmaj7 | Cm7 / / F7 | % | N.C. |
[B]
| Fm7 | / / Bb7 / | Ebmaj7 | / |
"""


def tune(text: str = SALT_ROAD) -> Timeline:
    """The timeline of a chart's text."""
    return unfold(read_chart(text))


def bars(line: str, **header: str) -> Timeline:
    """The timeline of one line of bars under a header."""
    head = {"title": "Ferry Bell", "tempo": "120"} | header
    return tune("".join(f"{name}: {value}\n" for name, value in head.items()) + f"\n{line}\n")


def reading(timeline: Timeline, centers: dict[int, str]) -> Analysis:
    """A reading that changes its key center at the given spans; tonic chords on degree I are at rest."""
    keys: list[Key] = []
    for index in range(len(timeline.spans)):
        keys.append(parse_key(centers[index]) if index in centers else keys[-1])
    readings = []
    for span, key in zip(timeline.spans, keys, strict=True):
        numeral = None if span.symbol is None else numeral_of(span.symbol, key)
        at_rest = numeral is not None and numeral.degree.semitones == 0
        center = None if span.symbol is None else key
        function = "tonic" if at_rest else "none"
        readings.append(ChordReading(span, center, numeral, function, None, None, 1.0, (), ()))
    firsts = sorted(centers)
    route = tuple(
        RouteStep(parse_key(centers[first]), Place(1, Fraction(1)), Place(1, Fraction(1)), first, until, None)
        for first, until in zip(firsts, [*firsts[1:], len(keys)], strict=True)
    )
    home = Home(keys[0], 1.0, ())
    title, tempo = timeline.title, float(timeline.tempo)
    return Analysis(title, "", None, tempo, (), home, tuple(readings), (), (), route, ())
