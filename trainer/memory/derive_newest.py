# cython: language_level=3, annotation_typing=False
"""The newest answers of each unit, and the days of its firsts, in the order of the log.

What a look at one's progress needs of single trials is kept as a few short rows, so that it costs the same after
a million trials as after a thousand. A unit whose earlier trials have changed (a slip, a trial that arrives late)
is read again from the log as a whole.
"""

import json
from collections import deque
from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from trainer.memory.trial import RIGHT, TOP_RUNG, Counted
from trainer.memory.unit import KEY_WINDOW, KNOWN_KEYS, KNOWN_OF, KNOWN_RIGHT, shown

if TYPE_CHECKING:  # the caller's own
    from trainer.memory.outcome_rows import Rows

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


_Answer = tuple[str, Newest | Counted]
"""A practice day and an answer of it, as it was kept or as it is read."""
_LAST = (1 << KNOWN_OF) - 1


class _Kind:
    """A unit in one kind of drill, or in all."""

    def __init__(self, most: int, trials: int = 0) -> None:
        self.trials = trials
        self.answers: deque[_Answer] = deque(maxlen=most)
        """The oldest first."""
        self.right = 0
        """Which of the last KNOWN_OF answers are right without help: a binary digit each, the newest last."""
        self._shown: bool | None = None

    def take(self, day: str, answer: Newest | Counted) -> None:
        """The next of the answers that are kept."""
        self.answers.append((day, answer))
        self.right = (self.right << 1 | (answer.credit >= RIGHT and not answer.helps)) & _LAST
        self._shown = None

    def enough(self) -> bool:
        """Whether so many of the last are right that the rest is worth asking."""
        return self.right.bit_count() >= KNOWN_RIGHT

    def shown(self) -> bool:
        """Whether the answers show that the unit is heard; asked once until another comes."""
        if self._shown is None:
            self._shown = self.enough() and shown(tuple([one for _, one in reversed(self.answers)]))
        return self._shown


class _Unit:
    """A unit as far as the log was read."""

    def __init__(self) -> None:
        self.every = _Kind(RECENT_TRIALS)
        self.kinds: dict[str, _Kind] = {}
        self.firsts: dict[int, str] = {}

    def add(self, trial: Counted, day: str) -> None:
        """Read one more trial."""
        every = self.every
        every.trials += 1
        every.answers.append((day, trial))
        kind = self.kinds.get(trial.kind)
        if kind is None:
            kind = self.kinds[trial.kind] = _Kind(KEY_WINDOW)
        kind.trials += 1
        rung, firsts = trial.rung, self.firsts
        if rung not in firsts and trial.credit >= RIGHT and not trial.helps:
            firsts[rung] = day
        if rung != TOP_RUNG:
            return
        kind.take(day, trial)
        if SHOWN in firsts or not kind.enough():
            return
        for one in self.kinds.values():
            if not one.enough():
                return
        for one in self.kinds.values():
            if not one.shown():
                return
        firsts[SHOWN] = day


def _row(kind: _Kind, is_shown: bool) -> tuple[object, ...]:
    """What is stored of a unit in one kind of drill, or in all."""
    answers = [
        Newest(
            day, one.key, one.credit, one.guess_chance, one.helps if isinstance(one.helps, int) else len(one.helps),
            one.answer_s, one.sound_s,
        )
        for day, one in kind.answers
    ]  # fmt: skip
    return (
        kind.trials,
        is_shown,
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


class Reading:
    """Rows that are waiting to be written."""

    def __init__(self, rows: "Rows", none_yet: bool = False) -> None:
        """none_yet: whether the tables are empty."""
        self._rows = rows
        self._none_yet = none_yet
        self._units: dict[str, _Unit] = {}
        self._day, self._text = date.min, ""

    def add(self, trial: Counted, day: date) -> None:
        """Read the next trial of the log."""
        unit = self._units.get(trial.unit)
        if unit is None:
            unit = self._units[trial.unit] = self._stored(trial.unit)
        if day is not self._day:
            self._day, self._text = day, day.isoformat()
        unit.add(trial, self._text)

    def add_all(self, name: str, answers: Iterable[tuple[str, Counted]]) -> None:
        """Read more trials of a unit, each with its practice day."""
        unit = self._units.get(name)
        if unit is None:
            unit = self._units[name] = self._stored(name)
        for day, trial in answers:
            unit.add(trial, day)

    def again(self, unit: str) -> None:
        """Forget a unit: its trials are added again, from the first on."""
        self._units[unit] = _Unit()

    def write(self) -> None:
        """Bring the rows up to date; inside a transaction of the caller's."""
        for name, unit in self._units.items():
            for table in TABLES:
                self._rows.execute(f"DELETE FROM {table} WHERE unit = ?", (name,))
            if not unit.every.trials:
                continue
            kinds = [(name, kind, *_row(one, one.shown())) for kind, one in sorted(unit.kinds.items())]
            self._rows.executemany(
                "INSERT INTO newest VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                ((name, ALL_KINDS, *_row(unit.every, False)), *kinds),
            )
            self._rows.executemany(
                "INSERT INTO firsts VALUES (?, ?, ?)", ((name, rung, day) for rung, day in sorted(unit.firsts.items()))
            )
        self._units.clear()

    def _stored(self, name: str) -> _Unit:
        unit = _Unit()
        if self._none_yet:
            return unit
        found = self._rows.execute("SELECT kind, trials, answers FROM newest WHERE unit = ?", (name,))
        for kind, trials, answers in found.fetchall():
            one = _Kind(RECENT_TRIALS if kind == ALL_KINDS else KEY_WINDOW, trials)
            for answer in json.loads(answers):
                one.take(answer[0], Newest(*answer))
            if kind == ALL_KINDS:
                unit.every = one
            else:
                unit.kinds[kind] = one
        firsts = self._rows.execute("SELECT rung, day FROM firsts WHERE unit = ?", (name,))
        unit.firsts = dict(firsts.fetchall())
        return unit
