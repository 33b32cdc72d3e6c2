"""The newest answers of each unit, and the days of its firsts, in the order of the log.

What a look at one's progress needs of single trials is kept as a few short rows, so that it costs the same after
a million trials as after a thousand. A unit whose earlier trials have changed (a slip, a trial that arrives late)
is read again from the log as a whole.
"""

import json
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from trainer.memory.trial import RIGHT, TOP_RUNG, Outcome
from trainer.memory.unit import KEY_WINDOW, KNOWN_KEYS, KNOWN_OF, KNOWN_RIGHT, shown

if TYPE_CHECKING:  # the caller's own
    from trainer.memory.derive import Rows

TABLES = ("newest", "firsts")
RECENT_TRIALS = 50
"""Newest trials of a unit that its accuracy and answer time are taken from."""
ALL_KINDS = ""
"""The kind that a unit's row over all kinds has."""
SHOWN = 0
"""The rung under which the day stands that a unit's answers first showed it."""
RULES = f"newest 1 {RECENT_TRIALS} {KEY_WINDOW} {KNOWN_RIGHT}/{KNOWN_OF} {KNOWN_KEYS}"
"""What these rows depend on, as a text to compare."""


class Newest(NamedTuple):
    """One answer as it is kept."""

    day: str
    key: str
    credit: float
    guess_chance: float
    helps: int
    """How many were taken."""
    answer_s: float
    sound_s: float

    @property
    def right(self) -> bool:
        """Whether all of it was right."""
        return self.credit >= RIGHT


class _Kind:
    """A unit in one kind of drill."""

    def __init__(self, trials: int = 0, shown: bool = False, answers: Iterable[Newest] = ()) -> None:
        self.trials, self.shown, self.answers = trials, shown, list(answers)


class _Unit:
    """A unit as far as the log was read."""

    def __init__(self) -> None:
        self.kinds: dict[str, _Kind] = {ALL_KINDS: _Kind()}
        self.firsts: dict[int, str] = {}

    def add(self, trial: Outcome, day: str) -> None:
        """Read one more trial."""
        answer = Newest(
            day, trial.key, trial.credit, trial.guess_chance, len(trial.helps), trial.answer_s, trial.sound_s
        )
        every = self.kinds[ALL_KINDS]
        every.trials += 1
        every.answers.append(answer)
        del every.answers[:-RECENT_TRIALS]
        kind = self.kinds.get(trial.kind) or self.kinds.setdefault(trial.kind, _Kind())
        kind.trials += 1
        if trial.right and not trial.helps:
            self.firsts.setdefault(trial.rung, day)
        if trial.rung != TOP_RUNG:
            return
        kind.answers.append(answer)
        del kind.answers[:-KEY_WINDOW]
        if SHOWN in self.firsts:
            return  # whether it is shown now is asked when the row is written
        missed = 0
        for one in kind.answers[-KNOWN_OF:]:
            if one.helps or one.credit < RIGHT:
                missed += 1
        # Cheap to ask first, for most answers are read before anything is shown.
        enough = min(len(kind.answers), KNOWN_OF) - missed >= KNOWN_RIGHT
        kind.shown = enough and shown(_latest(kind))
        if kind.shown and all(one.shown for name, one in self.kinds.items() if name != ALL_KINDS):
            self.firsts[SHOWN] = day


def _row(name: str, kind: _Kind) -> tuple[object, ...]:
    """What is stored of a unit in one kind of drill, or in all."""
    answers = kind.answers
    return (
        kind.trials,
        name != ALL_KINDS and shown(_latest(kind)),
        len(answers),
        sum(one.credit for one in answers),
        sum(one.guess_chance for one in answers),
        median([one.answer_s for one in answers]) if answers else None,
        median([one.answer_s - one.sound_s for one in answers]) if answers else None,
        answers[-1].day if answers else None,
        json.dumps(answers, ensure_ascii=False, separators=(",", ":")),
    )


def median(values: Sequence[float]) -> float:
    """The middle value, or the mean of the two in the middle."""
    ranked = sorted(values)
    half = len(ranked) // 2
    return ranked[half] if len(ranked) % 2 else (ranked[half - 1] + ranked[half]) / 2


def _latest(kind: _Kind) -> tuple[Newest, ...]:
    return tuple(reversed(kind.answers))


class Reading:
    """Rows that are waiting to be written."""

    def __init__(self, rows: "Rows") -> None:
        self._rows = rows
        self._units: dict[str, _Unit] = {}

    def add(self, trial: Outcome, day: date) -> None:
        """Read the next trial of the log."""
        unit = self._units.get(trial.unit)
        if unit is None:
            unit = self._units[trial.unit] = self._stored(trial.unit)
        unit.add(trial, day.isoformat())

    def again(self, unit: str) -> None:
        """Forget a unit: its trials are added again, from the first on."""
        self._units[unit] = _Unit()

    def write(self) -> None:
        """Bring the rows up to date; inside a transaction of the caller's."""
        for name, unit in self._units.items():
            for table in TABLES:
                self._rows.execute(f"DELETE FROM {table} WHERE unit = ?", (name,))
            if not unit.kinds[ALL_KINDS].trials:
                continue
            self._rows.executemany(
                "INSERT INTO newest VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                ((name, kind, *_row(kind, one)) for kind, one in sorted(unit.kinds.items())),
            )
            self._rows.executemany(
                "INSERT INTO firsts VALUES (?, ?, ?)", ((name, rung, day) for rung, day in sorted(unit.firsts.items()))
            )
        self._units.clear()

    def _stored(self, name: str) -> _Unit:
        unit = _Unit()
        found = self._rows.execute("SELECT kind, trials, shown, answers FROM newest WHERE unit = ?", (name,))
        for kind, trials, was_shown, answers in found.fetchall():
            unit.kinds[kind] = _Kind(trials, bool(was_shown), (Newest(*one) for one in json.loads(answers)))
        firsts = self._rows.execute("SELECT rung, day FROM firsts WHERE unit = ?", (name,))
        unit.firsts = dict(firsts.fetchall())
        return unit
