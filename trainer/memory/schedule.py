"""From a unit's trials of one day to one review, and from its reviews to the day it falls due.

The table RULES turns a day into one rating; the first row that fits decides, and each row says why. The day's
first trial counts most: what follows it on the same day also comes from a memory minutes old. Reviews drive
the forgetting model of the library `fsrs` (stability, difficulty and power-law forgetting: J. Ye, J. Su and
Y. Cao, "A Stochastic Shortest Path Algorithm for Optimizing Spaced Repetition Scheduling", KDD 2022, and
later versions), with fuzzing off and no steps within a day, so that due dates are whole days. The library is
imported when a review is computed and at no other time.
"""

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime, time
from enum import IntEnum
from functools import cache, lru_cache
from operator import attrgetter
from typing import TYPE_CHECKING, Any

from trainer.errors import KeyfarerError
from trainer.memory.trial import DAY_ENDS_HOUR, RIGHT, Counted
from trainer.records import dataclass

if TYPE_CHECKING:
    from fsrs import Card, Scheduler, State

RATING_RULES_VERSION = 1
"""Raised whenever RULES or a bound below changes, so that stores compute their reviews anew."""

LOST_BELOW = 0.5
"""Credit above guessing under which the day's first trial counts as not heard."""
WHOLE_FROM = 0.85
"""Credit above guessing from which small faults no longer count."""
LATER_BELOW = 0.6
"""Mean credit above guessing of the later trials under which a right first one is not trusted."""
LUCK_FROM = 0.3
"""Chance that all of the day's right answers were guessed from which they prove little."""
SURE_LUCK_BELOW = 0.1
"""The same chance, under which an answer may count as heard at once."""
SLOW_S = 15.0
"""Seconds beyond twice the sound after which an answer was worked out rather than heard."""
QUICK_S = 6.0
"""Seconds beyond the sound within which an answer comes at once: room for typing it, no more."""
UNCONFIRMED_FROM = 4
"""From this rung on the key is not confirmed."""
SMALL_HELP = "again"
"""Hearing the same once more; other helps change what is heard."""


class Rating(IntEnum):
    """How a unit held on one day; the numbers are those of the forgetting model's four ratings."""

    LOST = 1
    SHAKY = 2
    HELD = 3
    AT_ONCE = 4


@dataclass(frozen=True, slots=True)
class Settings:
    """What the player can set about remembering."""

    day_ends_hour: int = DAY_ENDS_HOUR
    retention: float = 0.9
    """Wanted chance of still remembering a unit on the day it falls due: higher means shorter intervals."""

    def __post_init__(self) -> None:
        if not 0 <= self.day_ends_hour <= 12:
            raise KeyfarerError(f"the practice day can end at 0 to 12 o'clock, not at {self.day_ends_hour}")
        if not 0.7 <= self.retention <= 0.97:
            raise KeyfarerError(f"wanted retention goes from 0.7 to 0.97; found {self.retention}")


DEFAULT_SETTINGS = Settings()


@dataclass(frozen=True, slots=True)
class DayEvidence:
    """What the trials of one unit on one day say, slips left out."""

    first: float
    """Credit of the first trial above guessing: 0 as good as a guess (or worse), 1 all of it right."""
    helps: tuple[str, ...]
    """Helps taken in the first trial."""
    rung: int
    answer_s: float
    sound_s: float
    later: tuple[float, ...]
    """Credits above guessing of the later trials."""
    later_helped: bool
    luck: float
    """Chance that every right answer of the day was a guess; 1 when there was none."""

    @property
    def later_mean(self) -> float:
        """Mean credit above guessing of the later trials; 1 where there are none."""
        return sum(self.later) / len(self.later) if self.later else 1.0


@dataclass(frozen=True, slots=True)
class RatingRule:
    """One row of the table."""

    id: str
    rating: Rating
    fits: Callable[[DayEvidence], bool]
    reason: str


def _held_later(day: DayEvidence) -> bool:
    return len(day.later) >= 2 and min(day.later) >= RIGHT and not day.later_helped


RULES: tuple[RatingRule, ...] = (
    RatingRule(
        "missed-then-held", Rating.SHAKY, lambda day: day.first < LOST_BELOW and _held_later(day),
        "The first was missed, yet two or more others, in other keys or drills, were right unaided: "
        "the type is not lost, but it did not come when called.",
    ),
    RatingRule(
        "missed", Rating.LOST, lambda day: day.first < LOST_BELOW,
        "The day's first hearing is the only one that no earlier answer of the day has helped.",
    ),
    RatingRule(
        "helped", Rating.SHAKY, lambda day: len(day.helps) > 1 or any(h != SMALL_HELP for h in day.helps),
        "A help that changes the sound, or several, shows that it can be found, not that it is heard.",
    ),
    RatingRule(
        "partly", Rating.SHAKY, lambda day: day.first < WHOLE_FROM,
        "Part of the answer was wrong: the outline is remembered, the detail is not.",
    ),
    RatingRule(
        "lucky", Rating.SHAKY, lambda day: day.luck >= LUCK_FROM,
        "Among so few choices the day's right answers may be guesses; one more day will tell.",
    ),
    RatingRule(
        "fell-off", Rating.SHAKY, lambda day: day.later_mean < LATER_BELOW,
        "The first was right, but in other keys or drills of the same day it failed.",
    ),
    RatingRule(
        "slow", Rating.SHAKY, lambda day: day.answer_s > 2 * day.sound_s + SLOW_S,
        "An answer that takes this long after the sound is worked out; on the bandstand it comes too late.",
    ),
    RatingRule(
        "easy-rung", Rating.HELD, lambda day: day.rung < UNCONFIRMED_FROM,
        "With the key confirmed it is an easy presentation: a memory of it is no ground for a long rest.",
    ),
    RatingRule(
        "at-once", Rating.AT_ONCE,
        lambda day: not day.helps
        and day.answer_s <= day.sound_s + QUICK_S
        and day.luck < SURE_LUCK_BELOW
        and all(credit >= WHOLE_FROM for credit in day.later),
        "Heard at once, unaided, in a key that had to be found, and it held all day.",
    ),
    RatingRule(
        "held", Rating.HELD, lambda day: True,
        "Right, with nothing that speaks against it.",
    ),
)  # fmt: skip
"""The table; the first row that fits decides."""


@dataclass(frozen=True, slots=True)
class Review:
    """One unit's review of one day and what follows from it."""

    unit: str
    day: date
    rating: Rating
    rule: str
    """Which row of RULES decided."""
    stability: float
    """Days until the chance of remembering has fallen to 0.9."""
    difficulty: float
    """1 to 10."""
    due_day: date
    trials: int = 0
    """Trials that went in, slips left out."""

    @property
    def interval_days(self) -> int:
        """Days from this review to the day it falls due."""
        return (self.due_day - self.day).days


def above_guessing(outcome: Counted) -> float:
    """Credit rescaled so that a guess is worth 0 and a full answer 1."""
    return max(0.0, (outcome.credit - outcome.guess_chance) / (1.0 - outcome.guess_chance))


_moment = attrgetter("at_utc")


def evidence(outcomes: Sequence[Counted]) -> DayEvidence:
    """What one unit's trials of one day say; at least one, slips already left out.

    In any order; of two at the same moment the one that is handed over first is the earlier.
    """
    if len(outcomes) == 1:
        (one,) = outcomes
        credit = above_guessing(one)
        luck = one.guess_chance if credit >= WHOLE_FROM else 1.0
        return DayEvidence(credit, one.helps, one.rung, one.answer_s, one.sound_s, (), False, luck)
    ordered = sorted(outcomes, key=_moment)
    first, credits, luck, later_helped = ordered[0], [], 1.0, False
    for one in ordered:
        credit = above_guessing(one)
        credits.append(credit)
        if credit >= WHOLE_FROM:
            luck *= one.guess_chance
        if one.helps and one is not first:
            later_helped = True
    later = tuple(credits[1:])
    return DayEvidence(credits[0], first.helps, first.rung, first.answer_s, first.sound_s, later, later_helped, luck)


def rated(outcomes: Sequence[Counted]) -> RatingRule:
    """The row of the table that decides one unit's day."""
    day = evidence(outcomes)
    for rule in RULES:
        if rule.fits(day):
            return rule
    raise AssertionError("the last row of the table fits every day")


def reviewed(
    previous: Review | None, unit: str, day: date, rule: RatingRule, settings: Settings = DEFAULT_SETTINGS
) -> Review:
    """The review of a day, after the one before it (None: the unit's first)."""
    scheduler, card_of, resting, ratings = _library(settings.retention)
    if previous is None:
        card = card_of(card_id=1)
    else:
        card = card_of(
            card_id=1,
            state=resting,
            stability=previous.stability,
            difficulty=previous.difficulty,
            last_review=_noon(previous.day),
        )
    card, _ = scheduler.review_card(card, ratings[rule.rating], _noon(day))
    assert card.stability is not None
    assert card.difficulty is not None
    return Review(unit, day, rule.rating, rule.id, card.stability, card.difficulty, card.due.date())


class Succession:
    """A unit's reviews from its first on, as `reviewed` gives them one by one, in less time.

    The library's card is kept from one review to the next.
    """

    def __init__(self, settings: Settings) -> None:
        self._scheduler, card_of, _, self._ratings = _library(settings.retention)
        self._card = card_of(card_id=1)

    def next(self, day: date, rule: RatingRule) -> tuple[float, float, date]:
        """Stability, difficulty and due day after the next review; days come in order."""
        self._card, _ = self._scheduler.review_card(self._card, self._ratings[rule.rating], _noon(day))
        card = self._card
        assert card.stability is not None
        assert card.difficulty is not None
        return card.stability, card.difficulty, card.due.date()


@cache
def _library(retention: float) -> "tuple[Scheduler, type[Card], State, dict[Rating, Any]]":
    """The library's scheduler with whole days and no dice, which keeps no state, and what it is asked with."""
    from fsrs import Card, Scheduler, State
    from fsrs import Rating as ModelRating

    class OwnCard(Card):
        """A card that nobody else holds: the library, which copies cards before it changes them, may change it."""

        def __copy__(self) -> "OwnCard":
            return self

    scheduler = Scheduler(desired_retention=retention, learning_steps=(), relearning_steps=(), enable_fuzzing=False)
    return scheduler, OwnCard, State.Review, {rating: ModelRating(int(rating)) for rating in Rating}


def model_version() -> str:
    """Name and version of the forgetting model's library, so that one store never mixes two."""
    from importlib.metadata import version

    return f"fsrs {version('fsrs')}"


FORGETTING_DECAY = 0.1542
"""Exponent of the forgetting curve (default of FSRS version 6)."""


def recall(stability: float, days: float) -> float:
    """Chance of remembering after so many days; used to order what rests, never shown."""
    factor: float = 0.9 ** (-1.0 / FORGETTING_DECAY) - 1.0
    shrunk: float = (1.0 + factor * max(0.0, days) / stability) ** -FORGETTING_DECAY
    return shrunk


@lru_cache(maxsize=1024)
def _noon(day: date) -> datetime:
    return datetime.combine(day, time(12), UTC)
