# cython: language_level=3, annotation_typing=False
"""Trials and credit counted by unit, kind, rung and one facet at a time: all, key, voicing, tempo."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple

from trainer.memory.trial import Counted

if TYPE_CHECKING:
    from trainer.memory.outcome_rows import Rows

TEMPO_BAND_BPM = 20
"""Width of the bands by which tempi are counted together."""


class Tally(NamedTuple):
    """Trials and sums over them for one unit, kind, rung and value of a facet."""

    unit: str
    kind: str
    rung: int
    facet: str
    value: str
    trials: int
    credit: float
    guess: float
    answer_s: float
    sound_s: float


_Sums = list[float]
_Facets = tuple[_Sums, dict[str, _Sums], dict[str, _Sums], dict[float | None, _Sums]]


class Tallies:
    """The rows of tallies as they grow by one trial after the other, in order; written at the end."""

    def __init__(self, rows: "Rows", none_yet: bool = False) -> None:
        self._rows = rows
        self._none_yet = none_yet
        self._sums: dict[tuple[Any, ...], list[float]] = {}
        self._of: dict[tuple[str, str, int], _Facets] = {}
        """By unit, kind and rung: the sums of all, then those by key, by voicing and by tempo."""

    def again(self, unit: str, outcomes: Iterable[Counted]) -> None:
        """Count all of a unit's trials from nothing."""
        self._rows.execute("DELETE FROM tallies WHERE unit = ?", (unit,))
        self.count_all(outcomes)

    def count_all(self, outcomes: Iterable[Counted]) -> None:
        """Count more trials."""
        for outcome in outcomes:
            self.count(outcome)

    def count(self, outcome: Counted) -> None:
        """Count one more trial."""
        of = (outcome.unit, outcome.kind, outcome.rung)
        found = self._of.get(of)
        if found is None:
            found = self._of[of] = (self._sum((*of, "all", "")), {}, {}, {})
        every, by_key, by_voicing, by_tempo = found
        in_key = by_key.get(outcome.key)
        if in_key is None:
            in_key = by_key[outcome.key] = self._sum((*of, "key", outcome.key))
        in_voicing = by_voicing.get(outcome.voicing)
        if in_voicing is None:
            in_voicing = by_voicing[outcome.voicing] = self._sum((*of, "voicing", outcome.voicing))
        in_tempo = by_tempo.get(outcome.tempo_bpm)
        if in_tempo is None:
            in_tempo = by_tempo[outcome.tempo_bpm] = self._sum((*of, "tempo", tempo_band(outcome.tempo_bpm)))
        credit, guess, answer_s, sound_s = outcome.credit, outcome.guess_chance, outcome.answer_s, outcome.sound_s
        for sums in (every, in_key, in_voicing, in_tempo):
            sums[0] += 1.0
            before = sums[1]
            sums[1] = before + credit
            before = sums[2]
            sums[2] = before + guess
            before = sums[3]
            sums[3] = before + answer_s
            before = sums[4]
            sums[4] = before + sound_s

    def write(self) -> None:
        """Write the rows that have grown."""
        self._rows.executemany(
            "INSERT OR REPLACE INTO tallies VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            ((*key, int(values[0]), *values[1:]) for key, values in self._sums.items()),
        )

    def _sum(self, key: tuple[Any, ...]) -> list[float]:
        values = self._sums.get(key)
        if values is None:
            row = (
                None
                if self._none_yet
                else self._rows.execute(
                    "SELECT trials, credit, guess, answer_s, sound_s FROM tallies "
                    "WHERE unit = ? AND kind = ? AND rung = ? AND facet = ? AND value = ?",
                    key,
                ).fetchone()
            )
            values = self._sums[key] = list(map(float, row)) if row else [0.0] * 5
        return values


def tempo_band(tempo_bpm: float | None) -> str:
    """The band a tempo is counted in, "120-139"; empty where there is none."""
    if tempo_bpm is None:
        return ""
    low = int(tempo_bpm // TEMPO_BAND_BPM) * TEMPO_BAND_BPM
    return f"{low}-{low + TEMPO_BAND_BPM - 1}"
