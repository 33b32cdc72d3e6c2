"""A log of very many plausible trials, made up fast and the same for the same seed."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import count, islice
from math import exp
from random import Random

from tests.trainer.memory.made import KEYS, MONDAY
from trainer.harmony.cadence import CADENCES
from trainer.memory.store import Store
from trainer.memory.trial import Trial

KINDS = (
    "name-functions", "name-cadence", "name-key-moves", "catch-interruption", "tell-two-apart", "follow-route",
    "finish-it", "guide-tones", "dictation",
)  # fmt: skip
VOICINGS = ("close", "shells", "rootless", "open", "rootless, no bass")
TRIALS_A_DAY = 60
"""A diligent player: half an hour a day, which makes a million trials in 50 years."""
UNITS_A_DAY = 24


def made_trials(number: int, seed: int = 1, question: str = "{}") -> Iterator[Trial]:
    """So many trials of a player who slowly learns, some sixty a day, now and then a journey or a day without.

    question: what each trial has as its question, for stores as large as real ones.
    """
    return islice(_days(Random(f"million {seed}"), question), number)


def _days(rng: Random, question: str) -> Iterator[Trial]:
    units = tuple(row.id for row in CADENCES)
    hardness = {unit: rng.gauss(0.0, 1.0) for unit in units}
    asked = dict.fromkeys(units, 0)
    offset = 60
    for day in count():
        if rng.random() < 0.08:
            continue
        if rng.random() < 0.01:
            offset = rng.choice((-300, -60, 0, 60, 120, 540))
        at = timedelta(days=day, minutes=rng.randrange(-90, 90) - offset)
        met = units[: 3 + day // 4]
        session = f"{rng.getrandbits(128):032x}"
        today = rng.sample(met, min(len(met), UNITS_A_DAY))  # each in several kinds of drill
        for unit in rng.choices(today, k=rng.randrange(TRIALS_A_DAY // 2, TRIALS_A_DAY * 3 // 2)):
            asked[unit] += 1
            rung = min(6, 1 + asked[unit] // 15)
            guess = (1 / 3, 1 / 4)[rung - 1] if rung < 3 else 0.02
            hears = 1 / (1 + exp(hardness[unit] + rung / 2 - 2.5 - min(4.0, asked[unit] / 80)))
            right = rng.random() < guess + (1 - guess) * hears
            credit = 1.0 if right else rng.choice((0.0, 0.0, 0.25, 1 / 3, 0.5, 2 / 3))
            other = rng.choice(met)
            at += timedelta(seconds=rng.randrange(20, 40), microseconds=rng.randrange(10**6))
            yield Trial(
                at_utc=MONDAY + at, utc_offset_minutes=offset, session=session, unit=unit, kind=rng.choice(KINDS),
                rung=rung, key=rng.choice(KEYS), voicing=rng.choice(VOICINGS),
                tempo_bpm=rng.choice((72.0, 120.0, 180.0)),
                credit=credit, guess_chance=guess, helps=("again",) if rng.random() < 0.1 else (),
                answer_s=rng.uniform(5, 25), sound_s=8.0, taken_for=other if not right and other != unit else None,
                seed=rng.getrandbits(31), material="table", question=question, answer="2 5 1", correct="ii7 V7 Imaj7",
                parts='[{"label": "chord 1", "credit": 1.0, "heard": "2", "right": "ii7", "rule": "right"}]',
            )  # fmt: skip


def fill(store: Store, number: int, seed: int = 1, question: str = "{}", portion: int = 20_000) -> None:
    """Log so many made-up trials in portions."""
    trials = made_trials(number, seed, question)
    while some := tuple(islice(trials, portion)):
        store.append_all(some)
