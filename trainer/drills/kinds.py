"""The kinds of drill, and how a question is drawn, built again, read and marked."""

from collections.abc import Mapping, Sequence
from random import Random
from types import MappingProxyType
from typing import Protocol

from trainer.drills import catch_interruption, name_functions
from trainer.drills.answer import Answer
from trainer.drills.mark import Mark
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question, sound_s
from trainer.drills.rungs import DrillError, KeyBag, allowed_tonics, draw_key, find_rung
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.records import dataclass

TUNE_SHARE = 0.5
"""How often a rung with a phrase takes it from a tune that has one; else the table gives it."""


class _Builds(Protocol):
    def __call__(
        self, unit: str, rung: int, tune: TuneMaterial | None, rng: Random, *, key: Key, seed: int
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
    """The units it can train."""
    build: _Builds
    read: _Reads
    mark: _Marks
    stretches: _Has
    """Whether a tune has something to ask for a unit."""
    mode_of: _Mode


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        module.ID: Kind(
            module.ID, module.NAME, module.ABOUT, module.UNITS,
            module.build, module.read, module.mark, module.stretches, module.mode_of,
        )
        for module in (name_functions, catch_interruption)
    }
)  # fmt: skip
"""By id, in the order players meet them."""


def find_kind(id: str) -> Kind:
    """Find a kind by its id. Raises DrillError."""
    if (kind := KINDS.get(id)) is None:
        raise DrillError(f"there is no kind of drill {id!r}; there are {', '.join(KINDS)}")
    return kind


def kinds_for(unit: str) -> tuple[str, ...]:
    """The kinds that can train a unit."""
    return tuple(kind.id for kind in KINDS.values() if unit in kind.units)


def build(
    kind: str, unit: str, rung: int, seed: int, tune: TuneMaterial | None = None, key: Key | None = None
) -> Question:
    """The question that a seed makes of kind, unit, rung and material; the same every time.

    key: the question's key where a bag chose it; None draws one by the seed. A phrase of a tune is for the
    rungs that have phrases. Raises DrillError.
    """
    drill, step = find_kind(kind), find_rung(rung)
    if unit not in drill.units:
        raise DrillError(f"{drill.name!r} can't train {unit!r}; it trains {', '.join(drill.units)}")
    if tune is not None and not step.phrase:
        raise DrillError(f"rung {rung} asks a cadence alone; a tune's phrase is for rungs 5 and 6")
    rng = Random(f"{kind} {unit} {rung} {seed}")
    drawn = rng.choice(allowed_tonics(step, drill.mode_of(unit)))
    chosen = key or simplest_key(drawn, drill.mode_of(unit))
    return drill.build(unit, rung, tune, rng, key=chosen, seed=seed)


def draw(
    kind: str,
    unit: str,
    rung: int,
    rng: Random,
    bag: KeyBag | None = None,
    tunes: Sequence[TuneMaterial] = (),
) -> tuple[Question, KeyBag]:
    """A new question and the bag after it: the key from the bag, the phrase from a tune or the table.

    Give back `question.key`, its material and its seed to `build` for the same question.
    """
    drill, step = find_kind(kind), find_rung(rung)
    if unit not in drill.units:
        raise DrillError(f"{drill.name!r} can't train {unit!r}; it trains {', '.join(drill.units)}")
    key, left = draw_key(bag or KeyBag(), step, drill.mode_of(unit), rng)
    fitting = [tune for tune in tunes if drill.stretches(unit, tune)] if step.phrase else []
    tune = rng.choice(fitting) if fitting and rng.random() < TUNE_SHARE else None
    return build(kind, unit, rung, rng.randrange(2**31), tune, key), left


def read_answer(question: Question, text: str) -> Answer:
    """Read an answer to a question. Raises AnswerError, which says what is accepted."""
    return find_kind(question.kind).read(question, text)


def mark_answer(question: Question, answer: Answer, answer_s: float = 0.0, helps: Sequence[str] = ()) -> Mark:
    """Mark an answer that was read.

    answer_s: seconds from the start of the sound to the answer. helps: those taken, each as often as taken.
    """
    return find_kind(question.kind).mark(
        question, answer, answer_s=answer_s, sound_s=sound_s(question), helps=helps
    )
