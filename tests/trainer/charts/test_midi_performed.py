"""Exercise tunes played to MIDI files by our own performers and read again: which chords come back.

What can't come back: how a sound is spelled (F#dim7 or Gbdim7); a slash bass that is a chord's seventh
(Gm/F is Gm7 over F to the ear); how much of an altered dominant is meant where one hand plays four tones
of seven; tensions that a shell leaves out, and those that a rootless voicing adds of its own (there the
bass gives the root, and third and seventh the family, but a written C7 can't be told from a C13).
"""

import sys
from collections import Counter
from fractions import Fraction
from functools import cache

import pytest

from synth.midi_file import midi_bytes
from synth.score import Score
from trainer.charts.library import exercise_tunes, load
from trainer.charts.midi_chords import read_midi
from trainer.charts.timeline import Timeline
from trainer.charts.unfold import unfold
from trainer.harmony.symbol import ChordSymbol
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis
from trainer.voicing.performance import perform_chart
from trainer.voicing.plain_chords import plain_chords

TUNES = [name for name, _ in exercise_tunes()]
STEP = Fraction(1, 2)
"""Quarter notes between the places at which chords are compared."""

LEAST_RATES = {
    "plain": {"root": 0.99, "family": 0.97, "sound": 0.97, "symbol": 0.94},
    "close": {"root": 0.99, "family": 0.97, "sound": 0.97, "symbol": 0.94},
    "shells": {"root": 0.99, "family": 0.98, "sound": 0.88, "symbol": 0.86},
    "rootless": {"root": 0.99, "family": 0.97, "sound": 0.10, "symbol": 0.08},
}
"""Shares of all tunes' time, below what is reached; the least of any tune in root and bass is `WORST_ROOT`."""
WORST_ROOT = 0.95


@cache
def tune(name: str) -> tuple[Timeline, Analysis]:
    """A tune and its reading."""
    timeline = unfold(load(name))
    return timeline, analyze(timeline)


def played(name: str, way: str) -> Score:
    """A tune in a way of playing: block chords, or comping and a bass after a count-in."""
    timeline, analysis = tune(name)
    if way == "plain":
        return plain_chords(timeline, analysis)
    assert way in ("close", "shells", "rootless")
    return perform_chart(timeline, analysis, style=way).score


def at_each_step(timeline: Timeline) -> list[ChordSymbol | None]:
    """The chord that is in force at each step."""
    return [span.symbol for span in timeline.spans for _ in range(-(-span.quarters // STEP))]


def traits(symbol: ChordSymbol | None) -> dict[str, object]:
    """What may be compared of a chord; all None for silence."""
    if symbol is None:
        return dict.fromkeys(("root", "family", "sound", "symbol"))
    root, bass, quality = symbol.root.pitch_class, symbol.bass_name.pitch_class, symbol.quality
    return {
        "root": (root, bass),
        "family": (root, bass, quality.third, quality.seventh if not quality.sixth else "sixth"),
        "sound": (root, bass, symbol.pitch_classes),
        "symbol": symbol,
    }


@cache
def counts(name: str, way: str) -> Counter[str]:
    """At how many steps of a tune each trait comes back, and how many steps there are."""
    timeline, _ = tune(name)
    there = at_each_step(timeline)
    back = at_each_step(unfold(read_midi(midi_bytes(played(name, way)), name).chart))
    assert len(there) == len(back)
    found = Counter({"steps": len(there)})
    for one, other in zip(there, back, strict=True):
        found.update(trait for trait, value in traits(one).items() if traits(other)[trait] == value)
    return found


@pytest.mark.parametrize("way", LEAST_RATES)
def test_tunes_come_back(way: str) -> None:
    """Of all exercise tunes' time, root and bass, family, sound and full symbol come back at least so often."""
    total: Counter[str] = sum((counts(name, way) for name in TUNES), Counter())
    rates = {trait: total[trait] / total["steps"] for trait in LEAST_RATES[way]}
    told = ", ".join(f"{trait} {rate:.1%}" for trait, rate in rates.items())
    sys.stdout.write(f"\n{way}: {told} of {total['steps']} eighths\n")
    assert not {trait: rate for trait, rate in rates.items() if rate < LEAST_RATES[way][trait]}


@pytest.mark.parametrize("way", LEAST_RATES)
def test_no_tune_is_lost(way: str) -> None:
    """The worst tune keeps its roots and basses nearly everywhere."""
    rates = {name: counts(name, way)["root"] / counts(name, way)["steps"] for name in TUNES}
    assert not {name: rate for name, rate in rates.items() if rate < WORST_ROOT}


@pytest.mark.parametrize("name", TUNES)
def test_what_stands_around_the_chords_comes_back(name: str) -> None:
    """Title, tempo, meters, bars and the names of sections are those of the tune; key centers are no sections."""
    timeline, _ = tune(name)
    chart = read_midi(midi_bytes(plain_chords(*tune(name))), name).chart
    back = unfold(chart)
    assert (timeline.title, timeline.tempo) == (back.title, back.tempo)
    assert [(bar.meter, bar.start, bar.quarters) for bar in timeline.bars] == [
        (bar.meter, bar.start, bar.quarters) for bar in back.bars
    ]
    assert {section.name for section in back.sections} <= {section.name for section in timeline.sections}
    assert timeline.bars[0].number == back.bars[0].number


def test_a_count_in_is_no_music() -> None:
    """The clicks before a tune are percussion: with or without them the same chart is read."""
    timeline, analysis = tune(TUNES[0])
    charts = [
        read_midi(midi_bytes(perform_chart(timeline, analysis, count_in=count_in).score)).chart
        for count_in in (True, False)
    ]
    assert charts[0].sections == charts[1].sections


@pytest.mark.parametrize("way", ["plain", "rootless"])
def test_confidence_says_how_often_a_root_is_right(way: str) -> None:
    """Each chord's confidence is between 0 and 1, and the roots of sure chords are right nearly always."""
    sure: list[bool] = []
    for name in TUNES:
        timeline, _ = tune(name)
        heard = read_midi(midi_bytes(played(name, way)), name)
        roots = {
            (span.bar, span.at): span.symbol and span.symbol.root.pitch_class
            for span in timeline.spans
            if span.symbol is not None
        }
        for chord in heard.chords:
            assert 0 <= chord.confidence <= 1
            where = chord.bar, chord.at
            if chord.symbol is not None and where in roots and chord.confidence >= 0.6:
                sure.append(roots[where] == chord.symbol.root.pitch_class)
    assert len(sure) > 300
    assert sum(sure) / len(sure) > 0.995
