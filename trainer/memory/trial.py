"""One question asked and answered, kept as it happened, and the practice day it belongs to.

A trial is raw: what was asked, what came back, what that was worth by the marking rules of the day. It is
never changed; a slip of the finger is a later record of its own. Times are UTC with the player's offset at
that moment, so that the local day stays known after a journey or a change of the clocks.
"""

from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple, TypeAlias

from trainer.errors import KeyfarerError
from trainer.records import dataclass

TOP_RUNG = 6
"""The hardest presentation; the ladder runs from 1."""

RIGHT = 0.999
"""Credit from which an answer counts as right, all parts of it."""

DAY_ENDS_HOUR = 4
"""A practice day ends at four in the morning: who plays past midnight is still in the day before."""


class TrialError(KeyfarerError):
    """A trial that can't be logged because a value of it makes no sense."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What the forgetting curve and the chance of hearing need of a trial."""

    id: int = 0
    """Its place in the log, from 1; 0 until it is stored."""
    at_utc: datetime
    """When the answer was given."""
    utc_offset_minutes: int
    """The player's clock minus UTC at that moment."""
    unit: str
    kind: str
    rung: int
    key: str
    """Tonic and mode as text, "Bb major"."""
    voicing: str = ""
    tempo_bpm: float | None = None
    """None where no tempo applies."""
    credit: float
    """Share of the answer that was heard right, 0 to 1."""
    guess_chance: float
    """Credit to be expected of a guess, 0 up to but not including 1."""
    helps: tuple[str, ...] = ()
    """Helps taken, in order, each as often as it was taken."""
    answer_s: float
    """Seconds from the start of the sound to the answer."""
    sound_s: float
    """Length of the question's sound in seconds."""
    taken_for: str | None = None
    """The unit that the answer named instead; None when it was right or named none."""

    @property
    def right(self) -> bool:
        """Whether all of it was right."""
        return self.credit >= RIGHT


class Heard(NamedTuple):
    """An outcome with the same fields, made in a fraction of the time: for reading a whole log."""

    id: int
    at_utc: datetime
    utc_offset_minutes: int
    unit: str
    kind: str
    rung: int
    key: str
    voicing: str
    tempo_bpm: float | None
    credit: float
    guess_chance: float
    helps: tuple[str, ...]
    answer_s: float
    sound_s: float
    taken_for: str | None

    @property
    def right(self) -> bool:
        """Whether all of it was right."""
        return self.credit >= RIGHT


Counted: TypeAlias = Outcome | Heard
"""What is counted of a trial, in either form."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial(Outcome):
    """A trial as the log keeps it."""

    session: str
    seed: int
    """Makes the question again, together with unit, kind, rung and material."""
    material: str
    """ "table" or "tune:<id>"."""
    question: str
    """The question as JSON text."""
    answer: str
    """What the player typed or keyed, unchanged."""
    correct: str
    """The right answer as text."""
    parts: str = "[]"
    """Credit of each part as JSON text."""
    rules_version: int = 1
    """Which marking rules gave the credit."""

    def __post_init__(self) -> None:
        for fault in _faults(self):
            raise TrialError(f"this trial can't be logged: {fault}")


_FIELDS = tuple(field.name for field in fields(Trial))


def with_id(trial: Trial, id: int) -> Trial:
    """The same trial, whose values have been looked at before, in its place in the log."""
    made = object.__new__(Trial)
    for name in _FIELDS:
        object.__setattr__(made, name, getattr(trial, name))
    object.__setattr__(made, "id", id)
    return made


def _faults(trial: Trial) -> list[str]:
    faults = []
    if trial.at_utc.tzinfo is None or trial.at_utc.utcoffset() != timedelta(0):
        faults.append(f"its time {trial.at_utc} is not in UTC")
    elif not 1970 <= trial.at_utc.year < 3000:
        faults.append(f"its year is {trial.at_utc.year}; is the computer's clock set?")
    if not -24 * 60 < trial.utc_offset_minutes < 24 * 60:
        faults.append(f"its offset from UTC is {trial.utc_offset_minutes} minutes")
    if not trial.unit or not trial.kind:
        faults.append("it names no unit or no kind of drill")
    if not 1 <= trial.rung <= TOP_RUNG:
        faults.append(f"its rung is {trial.rung}, not 1 to {TOP_RUNG}")
    if not 0.0 <= trial.credit <= 1.0:
        faults.append(f"its credit is {trial.credit}, not 0 to 1")
    if not 0.0 <= trial.guess_chance < 1.0:
        faults.append(f"its chance of guessing is {trial.guess_chance}, not 0 up to 1")
    if not 0.0 <= trial.answer_s < 1e9 or not 0.0 <= trial.sound_s < 1e9:
        faults.append(f"its times are {trial.answer_s} s and {trial.sound_s} s")
    if not -(2**63) <= trial.seed < 2**63:
        faults.append(f"its seed {trial.seed} does not fit 64 bits")
    return faults


def practice_day(at_utc: datetime, utc_offset_minutes: int, day_ends_hour: int = DAY_ENDS_HOUR) -> date:
    """The practice day that a moment belongs to: the local date, counted from `day_ends_hour` o'clock."""
    utc = at_utc if at_utc.tzinfo is UTC else at_utc.astimezone(UTC)
    return (utc + timedelta(minutes=utc_offset_minutes - 60 * day_ends_hour)).date()


def day_of(outcome: Counted, day_ends_hour: int = DAY_ENDS_HOUR) -> date:
    """The practice day of a trial."""
    return practice_day(outcome.at_utc, outcome.utc_offset_minutes, day_ends_hour)


class PracticeDays:
    """The practice days of trials one after the other, most of them on the day of the one before."""

    def __init__(self, day_ends_hour: int) -> None:
        self._day_ends_hour = day_ends_hour
        self._spans: dict[int, tuple[datetime, datetime, date]] = {}
        """By offset: the newest day asked for, when it began and when it ended."""

    def of(self, outcome: Counted) -> date:
        """The practice day of a trial; `day_of` says the same."""
        at, offset = outcome.at_utc, outcome.utc_offset_minutes
        span = self._spans.get(offset)
        if span is None or not span[0] <= at < span[1]:
            day = practice_day(at, offset, self._day_ends_hour)
            began = datetime(day.year, day.month, day.day, self._day_ends_hour, tzinfo=UTC) - timedelta(minutes=offset)
            span = self._spans[offset] = (began, began + timedelta(days=1), day)
        return span[2]
