"""Interrupted cadences in built charts: all found, none imagined (cases: tests/golden/sets/broken_cadences.py).

An interruption is found where the awaited key, the foreign key, its first beat and the first beat after it agree;
keys are compared on pitch classes. What a player hears in the cases is common practice, no source.
"""

import sys
import zlib
from collections import Counter
from dataclasses import dataclass, field

import pytest

from tests.golden.sets.broken_cadences import argued_cases, cases
from tests.golden.sets.built_phrases import BuiltCase, Expected
from trainer.charts.reader import read_chart
from trainer.charts.unfold import unfold
from trainer.reading.analysis import analyze
from trainer.reading.json_form import analysis_json

LEAST_F1 = 0.98
"""What the reading must reach in each half; raise it when the reading gets better."""

MOST_OTHERS = 1
"""So many argued cases may be read with an interruption that is neither the built one nor none; lower it."""

PITCH = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def pitch_class(tonic: str) -> int:
    """The pitch class of a tonic's name."""
    return (PITCH[tonic[0]] + tonic.count("#") - tonic[1:].count("b")) % 12


def found_in(case: BuiltCase) -> set[Expected]:
    """The interruptions that the reading finds in the case's chart."""
    out = set()
    for one in analysis_json(analyze(unfold(read_chart(case.chart, case.name))))["interruptions"]:
        awaited, heard = one["awaited"], one["heard"]
        out.add(
            Expected(
                one["shape"],
                (pitch_class(awaited["tonic"]), awaited["mode"]),
                (pitch_class(heard["tonic"]), heard["mode"]),
                (one["from"]["bar"], one["from"]["beat"]),
                (one["until"]["bar"], one["until"]["beat"]),
            )
        )
    return out


def without_shape(one: Expected) -> tuple[object, ...]:
    """What must agree for an interruption to count as found."""
    return one.awaited, one.heard, one.start, one.end


@dataclass(slots=True)
class Tally:
    """How many interruptions were found, missed and imagined, and where."""

    found: int = 0
    shaped: int = 0
    """Found, and with the expected shape."""
    missed: Counter[str] = field(default_factory=Counter)
    imagined: Counter[str] = field(default_factory=Counter)
    cases: Counter[str] = field(default_factory=Counter)

    def add(self, case: BuiltCase, found: set[Expected]) -> None:
        """Count one case."""
        expected = {without_shape(one): one for one in case.expected}
        got = {without_shape(one): one for one in found}
        both = expected.keys() & got.keys()
        self.found += len(both)
        self.shaped += sum(expected[one].shape == got[one].shape for one in both)
        self.cases[case.kind] += 1
        if expected.keys() - both:
            self.missed[case.kind] += len(expected.keys() - both)
        if got.keys() - both:
            self.imagined[case.kind] += len(got.keys() - both)

    @property
    def f1(self) -> float:
        """The harmonic mean of precision and recall, 0 where nothing was found."""
        wrong = self.missed.total() + self.imagined.total()
        return 2 * self.found / (2 * self.found + wrong) if self.found else 0.0

    @property
    def told(self) -> str:
        """The figures in a line, then the kinds of case that went wrong."""
        counts = f"missed {self.missed.total()}  imagined {self.imagined.total()}  cases {self.cases.total()}"
        lines = [f"F1 {self.f1:.4f}  found {self.found} (shape right {self.shaped})  {counts}"]
        for what, kinds in (("missed", self.missed), ("imagined", self.imagined)):
            lines += [f"  {what:9}{kind:26}{n:4} in {self.cases[kind]} cases" for kind, n in kinds.most_common()]
        return "\n".join(lines)


def half_of(case: BuiltCase) -> str:
    """`seen` or `unseen`, by the case's name: costs were searched on the seen half only.

    Misses of both halves were looked at when runs of one chord and the waiting dominant were mended (2026-11-25).
    """
    return ("seen", "unseen")[zlib.crc32(case.name.encode()) % 2]


@pytest.mark.parametrize("half", ["seen", "unseen"])
def test_every_interruption_is_found_and_none_imagined(half: str) -> None:
    """In the built charts, interruptions are found and look-alikes are not taken for one."""
    tally = Tally()
    for case in cases():
        if half_of(case) == half:
            tally.add(case, found_in(case))
    sys.stdout.write(f"{half}: {tally.told}\n")
    assert tally.f1 >= LEAST_F1, tally.told


def test_argued_cases_are_read_as_built_or_without_an_interruption() -> None:
    """Where players argue, the reading tells the interruption that was built or none, and hardly ever another one."""
    others = []
    for case in argued_cases():
        built = {without_shape(one) for one in case.expected}
        told = {without_shape(one) for one in found_in(case)}
        if told - built:
            others.append(case.name)
    assert MOST_OTHERS >= len(others), others
