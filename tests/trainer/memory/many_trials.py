"""A log of many trials, made up from a seed: a player of years, for measuring and for counting again."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from math import exp
from random import Random
from typing import Any

from tests.trainer.memory.made import KEYS, trial
from trainer.memory.trial import Trial

UNITS = 100
KINDS = ("name-functions", "name-cadence", "finish-it", "guide-tones", "tell-apart")
VOICINGS = ("close", "shells", "rootless", "drop-2", "spread", "quartal", "rootless, no bass")
TEMPI = (None, 72.0, 96.0, 132.0, 208.0)
HELPS: tuple[tuple[str, ...], ...] = ((), (), (), (), ("again",), ("slower", "key"))
BEGAN = datetime(2017, 1, 2, 17, 0, tzinfo=UTC)


def many_trials(count: int, a_day: int = 280, seed: int = 11, units: int = UNITS) -> Iterator[Trial]:
    """So many trials in the order of their moments, so many a day but for days off.

    New units come one after the other; each is heard the better and the quicker the longer it is practised, in
    some keys less than in others, and is taken for a neighbour where it is missed.
    """
    rng = Random(seed)
    day, left = 0, 0
    asked = [0] * UNITS
    at = BEGAN
    for number in range(count):
        if not left:
            day += rng.choice((1, 1, 1, 1, 1, 2, 3))
            left = rng.randint(a_day // 2, a_day * 3 // 2)
            at = BEGAN + timedelta(days=day, minutes=rng.randrange(180))
        left -= 1
        at += timedelta(seconds=rng.randint(15, 60))
        met = min(units, 3 + number // (40 * max(1, count // 10_000)))
        place = rng.randrange(met)
        asked[place] += 1
        rung = min(6, 1 + asked[place] // 12)
        key = rng.randrange(12)
        skill = min(5.0, asked[place] / 40) - (0.8 if key in (5, 6, 7) else 0.0) - 0.2 * rung + 0.5
        right = rng.random() < 1 / (1 + exp(-skill))
        helps = rng.choice(HELPS) if rng.random() > skill / 4 else ()
        other = None if right or rng.random() < 0.5 else (place + rng.choice((1, 1, 1, 5))) % units
        values: dict[str, Any] = {
            "unit": f"unit-{place:02}", "kind": rng.choice(KINDS[: 1 + place % len(KINDS)]), "rung": rung,
            "key": KEYS[key], "voicing": rng.choice(VOICINGS), "tempo_bpm": rng.choice(TEMPI),
            "credit": 1.0 if right else rng.choice((0.0, 0.25, 1 / 3, 0.5)),
            "guess_chance": (1 / 3, 1 / 4, 0.02, 0.02, 0.02, 0.02)[rung - 1], "helps": helps,
            "sound_s": 8.0, "answer_s": 8.0 + rng.expovariate(0.1 + 0.05 * right),
            "taken_for": None if other is None else f"unit-{other:02}",
            "session": f"sitting {day}",
        }  # fmt: skip
        yield trial(at_utc=at, **values)
