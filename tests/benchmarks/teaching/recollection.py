"""Two memories of simulated players, neither of which the trainer's model or scheduler knows anything of.

`Activation` is P. Pavlik and J. Anderson, "Practice and forgetting effects on vocabulary memory: an activation-based
model of the spacing effect", Cognitive Science 29, 2005: every presentation leaves a trace that decays as a power of
its age, the faster the more active the memory was when it came; recall is a logistic function of the logarithm of
the traces' sum. Its constants are the paper's (from memory); time away from practice counts a fortieth.

`HalfLife` is B. Settles and B. Meeder, "A trainable spaced repetition model for language learning", ACL 2016: recall
is 2 to the power of minus the time since the last presentation in half-lives, and the half-life is 2 to the power of
a weighted sum of the square roots of how often the answer was right and how often it was not.

Both are made for six presentations of one thing, each a step harder: what is practised on a rung counts in full for
those below, and for those above by a factor a rung, `carries_up`. Times are days; a session is 15 minutes.
"""

from math import exp, log, log2, sqrt
from typing import Protocol

RUNGS = range(1, 7)

DECAY_AT_REST = 0.177
DECAY_BY_ACTIVATION = 0.217
NOISE = 0.255
AWAY = 0.025
"""How much of a second counts while nobody practises."""
SECONDS_A_DAY = 86400.0
LEAST_AGE_S = 1.0

FRESH_DAYS = 0.5
"""Another key and voicing is never met fresher than after half a day."""
SHORTEST_DAYS, LONGEST_DAYS = 15.0 / (24 * 60), 274.0
"""Bounds of the half-life: fifteen minutes and nine months, the paper's."""


class Recollection(Protocol):
    """What one player keeps of one type."""

    def chance(self, rung: int, day: int, second: float, shift: float, beside: float) -> float:
        """The chance of hearing it on a rung, at a second of a day's session.

        shift: what this presentation is easier by. beside: strength that similar types lend.
        """

    def strength(self, rung: int, day: int, second: float) -> float:
        """What it lends to similar types, in units of its own."""

    def learn(self, rung: int, day: int, second: float, weight: float) -> None:
        """Take in a presentation that teaches so much, 1 as much as a right answer."""


class Activation:
    """Traces that decay, after Pavlik and Anderson."""

    def __init__(self, ease: float, gain: float, step: float, carries_up: float) -> None:
        """ease: what recall on rung 1 is easier by, in activation; step: what a rung costs."""
        self.ease, self.gain, self.step = ease, gain, step
        self.up = [carries_up**n for n in range(6)]
        self.traces: list[tuple[float, float, float, int]] = []

    def _sum(self, rung: int, now_s: float) -> float:
        up = self.up
        total = 0.0
        for at_s, decay, weight, practised in self.traces:
            age_s = now_s - at_s
            part = weight * (age_s if age_s > LEAST_AGE_S else LEAST_AGE_S) ** -decay
            total += part if practised >= rung else part * up[rung - practised]
        return total

    def chance(self, rung: int, day: int, second: float, shift: float, beside: float) -> float:
        """See Recollection."""
        heard_before = 0.05
        total = heard_before + self._sum(rung, _seconds(day, second)) + beside
        raised = (log(total) + self.ease + shift - self.step * (rung - 1)) / NOISE
        return 1.0 / (1.0 + exp(-max(-30.0, min(30.0, raised))))

    def strength(self, rung: int, day: int, second: float) -> float:
        """See Recollection."""
        return self._sum(rung, _seconds(day, second))

    def learn(self, rung: int, day: int, second: float, weight: float) -> None:
        """See Recollection."""
        if weight > 0.0:
            now_s = _seconds(day, second)
            decay = DECAY_BY_ACTIVATION * self._sum(rung, now_s) + DECAY_AT_REST
            self.traces.append((now_s, decay, weight * self.gain, rung))


class HalfLife:
    """Half-lives by counts, after Settles and Meeder."""

    def __init__(self, ease: float, gain: float, step: float, carries_up: float) -> None:
        """ease: log2 of the half-life in days on rung 1 before any practice; gain: weight of the root of the count."""
        self.ease, self.gain, self.step = ease, gain, step
        self.up = [carries_up**n for n in range(6)]
        self.counts = [0.0] * 7
        self.last: tuple[int, float] | None = None

    def chance(self, rung: int, day: int, second: float, shift: float, beside: float) -> float:
        """See Recollection."""
        exponent = self.ease + shift - self.step * (rung - 1) + beside
        exponent += self.gain * sqrt(self.counts[rung])
        days = min(LONGEST_DAYS, max(SHORTEST_DAYS, 2.0 ** max(-9.0, min(9.0, exponent))))
        since = 0.0 if self.last is None else day - self.last[0] + (second - self.last[1]) / SECONDS_A_DAY
        return float(2.0 ** (-(since + FRESH_DAYS) / days))

    def strength(self, rung: int, day: int, second: float) -> float:
        """See Recollection."""
        return self.gain * sqrt(self.counts[rung])

    def learn(self, rung: int, day: int, second: float, weight: float) -> None:
        """See Recollection."""
        counts = self.counts
        for other in RUNGS:
            counts[other] += weight if rung >= other else weight * self.up[other - rung]
        self.last = (day, second)


def days_for(chance: float, since: float) -> float:
    """The half-life at which a chance is left after so many days, by the definition of a half-life."""
    return -(since + FRESH_DAYS) / log2(chance)


def _seconds(day: int, second: float) -> float:
    """Seconds that count since the first day: those of sessions in full, those between them a fortieth."""
    return day * SECONDS_A_DAY * AWAY + second
