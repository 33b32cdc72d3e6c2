"""The model's filter is compiled where a compiler is, and runs as plain Python elsewhere: the same to the last bit."""

from datetime import timedelta
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from tests.plain_source import plain
from tests.trainer.memory.made import trial
from trainer.memory import growing
from trainer.memory.chance import start
from trainer.memory.trial import Trial

PLAIN = plain(growing)


def answers(seed: int, count: int) -> list[Trial]:
    """Answers of some units in some kinds, over months, some with help."""
    rng, at, out = Random(seed), timedelta(), []
    for _ in range(count):
        at += timedelta(hours=rng.expovariate(0.2))
        out.append(
            trial(
                at,
                unit=rng.choice(("plagal", "backdoor", "turnaround")),
                kind=rng.choice(("name-functions", "dictation")),
                rung=rng.randint(1, 6), credit=rng.choice((0.0, 0.4, 1.0)), guess_chance=rng.choice((1 / 3, 0.02)),
                helps=rng.choice(((), ("again",), ("slower", "bass"))),
            )
        )  # fmt: skip
    return out


@given(st.integers(0, 2**32 - 1), st.integers(0, 60), st.integers(0, 60))
def test_plain_and_compiled_grow_alike(seed: int, count: int, cut: int) -> None:
    """Every mean and variance is the same, at once and in two steps."""
    told = answers(seed, count)
    grown = growing.grown(start(), told)  # type: ignore[arg-type]
    assert grown == PLAIN.grown(start(), told)
    assert grown == growing.grown(growing.grown(start(), told[:cut]), told[cut:])  # type: ignore[arg-type]
