"""The kinds of drill, and how a question is drawn, built again, read and marked."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from operator import attrgetter
from random import Random
from types import MappingProxyType
from typing import Protocol

from trainer.drills import (
    catch_interruption,
    dictation,
    finish_it,
    follow_route,
    guide_voice,
    key_moves,
    name_cadence,
    name_functions,
    tell_apart,
)
from trainer.drills.answer import Answer
from trainer.drills.mark import Mark
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question, as_it_was, sound_s
from trainer.drills.rungs import DrillError, KeyBag, allowed_tonics, draw_key, find_rung
from trainer.drills.told_by_ear import fitting_pause_s
from trainer.drills.units import ROUTE
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.records import dataclass
from trainer.voicing.performance import Performance, joined

TUNE_SHARE = 0.5
"""How often a rung with a phrase takes it from a tune that has one; else the table gives it."""


class _Builds(Protocol):
    def __call__(
        self,
        unit: str,
        rung: int,
        tune: TuneMaterial | None,
        rng: Random,
        *,
        key: Key,
        seed: int,
        against: str | None = None,
    ) -> Question: ...


class _Reads(Protocol):
    def __call__(self, question: Question, text: str) -> Answer: ...


class _Marks(Protocol):
    def __call__(
        self,
        question: Question,
        answer: Answer,
        *,
        answer_s: float = 0.0,
        sound_s: float = 0.0,
        helps: Sequence[str] = (),
    ) -> Mark: ...


class _Heard(Protocol):
    def __call__(self, question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance: ...


class _Has(Protocol):
    def __call__(self, unit: str, tune: TuneMaterial) -> bool: ...


class _Mode(Protocol):
    def __call__(self, unit: str) -> Mode: ...


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of drill."""

    id: str
    name: str
    """As players say it."""
    about: str
    units: tuple[str, ...]
    """The units it can train, those that belong to one tune aside."""
    trains: Callable[[str], bool]
    """Whether it can train a unit, those that belong to one tune as well."""
    build: _Builds
    read: _Reads
    mark: _Marks
    stretches: _Has
    """Whether a tune has something to ask for a unit."""
    mode_of: _Mode
    accepts: Callable[[Question], str]
    """What may be typed as an answer, in a sentence or two."""
    heard: _Heard
    """The question as an answer has it, to be set beside what was asked."""
    by_ear: Callable[[Question], Performance]
    """What it was, for who listens away from a screen."""
    how: str
    """What sounds in `by_ear`, after the key, in a player's words."""
    as_it_was: Callable[[Question], Performance] = as_it_was
    """What is set beside an answer."""
    told: Callable[[Question], str] = attrgetter("correct")
    """The right answer in a sentence's words."""


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        module.ID: Kind(
            module.ID, module.NAME, module.ABOUT, module.UNITS, module.trains,
            module.build, module.read, module.mark, module.stretches, module.mode_of,
            module.accepts, module.heard, module.by_ear, module.HOW,
            getattr(module, "as_it_was", as_it_was), getattr(module, "told", attrgetter("correct")),
        )
        for module in (
            name_functions, name_cadence, finish_it, guide_voice, catch_interruption, tell_apart, key_moves,
            follow_route, dictation,
        )
    }
)  # fmt: skip
"""By id, in the order players meet them."""


def find_kind(id: str) -> Kind:
    """Find a kind by its id. Raises DrillError."""
    if (kind := KINDS.get(id)) is None:
        raise DrillError(f"there is no kind of drill {id!r}; there are {', '.join(KINDS)}")
    return kind


def right_answer(question: Question) -> str:
    """What is right, in a sentence's words."""
    return find_kind(question.kind).told(question)


def kinds_for(unit: str) -> tuple[str, ...]:
    """The kinds that can train a unit."""
    return tuple(kind.id for kind in KINDS.values() if kind.trains(unit))


def _must_train(drill: Kind, unit: str) -> None:
    if not drill.trains(unit):
        raise DrillError(f"{drill.name!r} can't train {unit!r}; it trains {', '.join(drill.units)}")


def wants_tunes(unit: str, rung: int) -> bool:
    """Whether a question of a unit may come from a tune: in a phrase, and always where it is a tune's own."""
    return find_rung(rung).phrase or unit.startswith(ROUTE)


def build(
    kind: str,
    unit: str,
    rung: int,
    seed: int,
    tune: TuneMaterial | None = None,
    key: Key | None = None,
    against: str | None = None,
) -> Question:
    """The question that a seed makes of kind, unit, rung and material; the same every time.

    key: the question's key where a bag chose it; None draws one by the seed. A phrase of a tune is for the
    rungs that have phrases. against: the unit that is set beside it, for the kind that tells two apart.
    Raises DrillError.
    """
    drill, step = find_kind(kind), find_rung(rung)
    _must_train(drill, unit)
    if tune is not None and not wants_tunes(unit, rung):
        raise DrillError(f"rung {rung} asks a cadence alone; a tune's phrase is for rungs 5 and 6")
    rng = Random(f"{kind} {unit} {rung} {seed}")
    drawn = rng.choice(allowed_tonics(step, drill.mode_of(unit)))
    chosen = key or simplest_key(drawn, drill.mode_of(unit))
    question = drill.build(unit, rung, tune, rng, key=chosen, seed=seed, against=against)
    return question if against is None else replace(question, against=against)


def draw(
    kind: str,
    unit: str,
    rung: int,
    rng: Random,
    bag: KeyBag | None = None,
    tunes: Sequence[TuneMaterial] = (),
    against: str | None = None,
    tune_share: float = TUNE_SHARE,
) -> tuple[Question, KeyBag]:
    """A new question and the bag after it: the key from the bag, the phrase from a tune or the table.

    tune_share: how often a phrase is a tune's where one has it; 1: always.
    Give back `question.key`, its material and its seed to `build` for the same question.
    """
    drill, step = find_kind(kind), find_rung(rung)
    _must_train(drill, unit)
    key, left = draw_key(bag or KeyBag(), step, drill.mode_of(unit), rng)
    if unit.startswith(ROUTE):
        own = _some_tune(drill, unit, tunes, rng)
        if own is not None and not follow_route.other_key(rung, own, key):
            key, left = draw_key(left, step, drill.mode_of(unit), rng)
        return build(kind, unit, rung, rng.randrange(2**31), own, key, against), left
    tune = _some_tune(drill, unit, tunes, rng) if step.phrase and rng.random() < tune_share else None
    return build(kind, unit, rung, rng.randrange(2**31), tune, key, against), left


def _some_tune(drill: Kind, unit: str, tunes: Sequence[TuneMaterial], rng: Random) -> TuneMaterial | None:
    """Any of the tunes that have something to ask, each as likely; looked for in turn, since a look may read one."""
    may = [tune for tune in tunes if tune.may_have(unit)]
    return next((tune for tune in rng.sample(may, len(may)) if drill.stretches(unit, tune)), None)


def read_answer(question: Question, text: str) -> Answer:
    """Read an answer to a question. Raises AnswerError, which says what is accepted."""
    return find_kind(question.kind).read(question, text)


def mark_answer(question: Question, answer: Answer, answer_s: float = 0.0, helps: Sequence[str] = ()) -> Mark:
    """Mark an answer that was read.

    answer_s: seconds from the start of the sound to the answer. helps: those taken, each as often as taken.
    """
    return find_kind(question.kind).mark(question, answer, answer_s=answer_s, sound_s=sound_s(question), helps=helps)


def what_is_accepted(question: Question) -> str:
    """What may be typed as an answer, in a sentence or two."""
    return find_kind(question.kind).accepts(question)


def heard_answer(question: Question, answer: Answer, helps: Sequence[str] = ()) -> Performance:
    """The question as an answer has it, to be set beside what was asked; roles are `answer`."""
    return find_kind(question.kind).heard(question, answer, helps)


def asked_again(question: Question) -> Performance:
    """What it was, to be set beside an answer: the question with its ending, or the voice that was asked."""
    return find_kind(question.kind).as_it_was(question)


def answer_by_ear(question: Question) -> Performance:
    """What it was, for the ear."""
    return find_kind(question.kind).by_ear(question)


def with_answer(question: Question, pause_s: float | None = None) -> Performance:
    """The question, a pause of so many seconds or up to a bar more, and the answer; None is a fitting pause."""
    asked = question.performance()
    return joined(asked, answer_by_ear(question), fitting_pause_s(question) if pause_s is None else pause_s)


def how_answers_sound() -> str:
    """What the answers for the ear are, kind by kind, in a player's words."""
    each = " ".join(f"{kind.name}: {kind.how}." for kind in KINDS.values())
    return f"First the key by its cadence. {each} At the end the question once more."
