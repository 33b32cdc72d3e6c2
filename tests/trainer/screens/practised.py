"""A store that was practised for some weeks before the twins' clock stands, for the screens that look back."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from tests.trainer.memory.many_trials import many_trials
from tests.trainer.practice.practising import HandClock
from trainer.memory.store import open_store
from trainer.memory.trial import Trial

UNITS = (
    "major-two-five-one", "backdoor", "minor-plagal", "plagal", "tritone-five-one", "half", "deceptive-six",
    "sus-five-one",
)  # fmt: skip
EARLY = "plagal"
"""Its answers come before the sound has ended."""


def trials_until_yesterday(count: int, a_day: int = 20, units: tuple[str, ...] = UNITS) -> list[Trial]:
    """Made-up answers, the last of them the evening before the clock of the twins."""
    made = list(many_trials(count, a_day=a_day, units=len(units)))
    later = HandClock().at - timedelta(hours=22) - made[-1].at_utc

    def named(unit: str) -> str:
        return units[int(unit.removeprefix("unit-"))]

    return [
        replace(
            one,
            at_utc=one.at_utc + later,
            unit=named(one.unit),
            taken_for=one.taken_for and named(one.taken_for),
            answer_s=one.answer_s - 7 if named(one.unit) == EARLY else one.answer_s,
        )
        for one in made
    ]


def practised(folder: Path, count: int = 420, a_day: int = 20, units: tuple[str, ...] = UNITS) -> list[Trial]:
    """Fill the store that `app_in` opens in a folder; returns what was logged."""
    made = trials_until_yesterday(count, a_day, units)
    with open_store(folder / "memory.db") as store:
        store.append_all(made)
        store.refresh()
    return made
