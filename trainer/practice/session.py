"""One practice session: a state machine under every skin.

    Asking -> (hear, skip, answer) -> Told -> (hear, slip, go_on) -> Asking ... -> Done

Clock, rng, store and sound are passed in. An answer is logged, and durable, before `answer` returns;
nothing else has to be saved, so a session may be broken off anywhere.
"""

import json
from collections.abc import Callable, Sequence
from dataclasses import field, replace
from random import Random
from uuid import uuid4

from trainer.drills.answer import Answer
from trainer.drills.kinds import (
    TUNE_SHARE,
    asked_again,
    draw,
    heard_answer,
    mark_answer,
    read_answer,
    wants_tunes,
    what_is_accepted,
)  # fmt: skip
from trainer.drills.mark import Mark, parts_json
from trainer.drills.material import TuneMaterial
from trainer.drills.question import HELPS, Question, question_json, sound_s
from trainer.drills.rungs import ALL_KEYS, KeyBag
from trainer.errors import KeyfarerError
from trainer.memory.chance import Model, start
from trainer.memory.plan import Asked, PlannedItem
from trainer.memory.store import Store
from trainer.memory.trial import Trial
from trainer.practice.clock import Clock
from trainer.practice.given import Given
from trainer.practice.items import Items
from trainer.practice.sounding import Sounding
from trainer.records import dataclass
from trainer.voicing.sheet import Performance

SKIPPED = "?"
"""What is logged as the answer of a question that was passed over."""


class SessionError(KeyfarerError):
    """Something was asked of a session that it can't do now."""


@dataclass(frozen=True, slots=True)
class Asking:
    """A question sounds or has sounded and waits for its answer."""

    number: int
    """From 1."""
    of: int
    """Questions meant in all."""
    item: PlannedItem
    question: Question
    helps: tuple[str, ...] = ()
    paused: bool = False
    """The sound is stopped, and no time counts until it goes on."""


@dataclass(frozen=True, slots=True)
class Told:
    """The answer is marked and logged."""

    number: int
    of: int
    item: PlannedItem
    question: Question
    answer: Answer | None
    """None where the question was passed over."""
    mark: Mark
    trial: Trial
    slip: bool = False
    new: bool = False
    """The unit was never asked before."""


@dataclass(frozen=True, slots=True)
class Done:
    """The session is over."""

    why: str


State = Asking | Told | Done


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A question that may be asked next, and what is to be taken back if it isn't."""

    item: PlannedItem
    question: Question
    bag: KeyBag
    """Of the unit's keys, without this question's."""
    performance: Performance
    chance: object
    """The generator's state before."""


@dataclass(slots=True)
class Session:
    """The machine; `state` is where it stands."""

    store: Store
    items: Items
    sounding: Sounding
    clock: Clock
    rng: Random
    tunes: Callable[[], Sequence[TuneMaterial]]
    """Called when a question first may come from a tune."""
    seconds: float | None = None
    """How long the session may last; None is until the items end."""
    seeded: bool = False
    """The same seed shall ask the same: keys come from a fresh bag, not from what the log has had."""
    tune_share: float = TUNE_SHARE
    """How often a phrase is a tune's where one has it; 1: always."""
    id: str = field(default_factory=lambda: uuid4().hex)
    logged: Callable[[], None] | None = None
    """Called when an answer, or a word on it, has been logged."""
    state: State = field(default_factory=lambda: Done("not begun"))
    told: list[Told] = field(default_factory=list)
    """All that was answered, in order."""
    known_before: Model = field(default_factory=start)
    """What was modelled of the player when the session began."""
    _bags: dict[str, KeyBag] = field(default_factory=dict)
    _drawn: _Drawn | None = None
    _began_s: float = 0.0
    _asked_s: float = 0.0
    _paused_s: float | None = None
    """When the pause began; None is no pause."""

    def begin(self) -> State:
        """Ask the first question."""
        self.store.refresh()
        self._began_s = self.clock.monotonic_s()
        if isinstance(self.items, Given):
            self.id = self.items.session
        state = self._ask()
        self.known_before = self.store.model()  # while the question sounds
        return state

    def hear(self, help: str) -> Asking:
        """Hear the question once more, in one of the ways of HELPS; it is counted. Raises SessionError."""
        state = self.state
        if not isinstance(state, Asking):
            raise SessionError("there is no question to be heard again now")
        if help not in HELPS:
            raise SessionError(f"there is no help {help!r}; there are {', '.join(HELPS)}")
        self._end_pause()
        helps = (*state.helps, help)
        self.sounding.play(state.question.performance((help,)))
        self.state = Asking(state.number, state.of, state.item, state.question, helps)
        return self.state

    def pause(self) -> Asking:
        """Stop the sound and the clock, or go on: from the beginning, which counts as hearing it again.

        An answer or any help goes on too. Raises SessionError.
        """
        state = self._asking()
        if state.paused:
            return self.hear("again")
        self.sounding.stop()
        self._paused_s = self.clock.monotonic_s()
        self.state = Asking(state.number, state.of, state.item, state.question, state.helps, paused=True)
        return self.state

    def answer(self, text: str) -> Told:
        """Mark an answer and log it. Raises AnswerError for one that can't be read; it counts as nothing."""
        state = self._asking()
        return self._tell(state, read_answer(state.question, text), text)

    def skip(self) -> Told:
        """Pass the question over: it counts as not heard, and the answer is told."""
        state = self._asking()
        return self._tell(state, None, SKIPPED)

    def accepted(self) -> str:
        """What may be typed now."""
        return what_is_accepted(self._asking().question)

    def slip(self) -> Told:
        """Say that the last answer was a slip of the finger: it no longer counts. Raises SessionError."""
        if not self.told:
            raise SessionError("nothing has been answered yet in this session")
        last = self.told[-1]
        self.store.slip(last.trial.id, self.clock.now_utc())
        slipped = replace(last, slip=True)
        self.told[-1] = slipped
        self._was_logged()
        if isinstance(self.state, Told):
            self.state = slipped
        return slipped

    def hear_right(self) -> None:
        """After the answer: hear what was asked."""
        self.sounding.play(asked_again(self._told().question))

    def hear_mine(self) -> None:
        """After the answer: hear the stretch as the answer has it. Raises SessionError where none was given."""
        told = self._told()
        if told.answer is None:
            raise SessionError("no answer was given, so there is none to be heard")
        self.sounding.play(heard_answer(told.question, told.answer))

    def prepare(self) -> None:
        """While the answer is read: draw the question that will likely be asked next, and make its sound."""
        if isinstance(self.state, Told) and self._drawn is None:
            item = self._next_item()
            if item is not None:
                self._drawn = self._draw(item)
                self.sounding.prepare(self._drawn.performance)

    def go_on(self) -> State:
        """Ask the next question, or end."""
        self._told()
        return self._ask()

    def stop(self) -> Done:
        """End the session here."""
        return self._end("you stopped")

    @property
    def seconds_spent(self) -> float:
        """Since the session began, pauses left out."""
        now = self.clock.monotonic_s() if self._paused_s is None else self._paused_s
        return now - self._began_s

    def _end_pause(self) -> None:
        if self._paused_s is not None:
            lasted = self.clock.monotonic_s() - self._paused_s
            self._began_s, self._asked_s, self._paused_s = self._began_s + lasted, self._asked_s + lasted, None

    def _ask(self) -> State:
        drawn, self._drawn = self._drawn, None
        item = self._next_item()
        if drawn is not None and drawn.item != item:  # a slip, or the time, has changed what comes next
            self.rng.setstate(drawn.chance)  # type: ignore[arg-type]
            drawn = None
        if item is None:
            left = self._seconds_left()
            return self._end("that was all for now" if left is None or left > 60 else "the time is up")
        drawn = drawn or self._draw(item)
        self._bags[item.unit] = drawn.bag
        asked = len(self.told)
        number = self.items.number(asked) if isinstance(self.items, Given) else asked + 1
        self.state = Asking(number, max(number, self.items.count), item, drawn.question)
        self.sounding.play(drawn.performance)
        self._asked_s = self.clock.monotonic_s()
        return self.state

    def _seconds_left(self) -> float | None:
        return None if self.seconds is None else self.seconds - self.seconds_spent

    def _next_item(self) -> PlannedItem | None:
        asked = [Asked(t.item.unit, t.item.kind, t.mark.exact or t.slip) for t in self.told]
        return self.items.next(asked, self._seconds_left())

    def _draw(self, item: PlannedItem) -> _Drawn:
        chance = self.rng.getstate()
        if isinstance(self.items, Given):
            question = self.items.question(len(self.told))
            return _Drawn(item, question, self._bags.get(item.unit, KeyBag()), question.performance(), chance)
        tunes = self.tunes() if wants_tunes(item.unit, item.rung) else ()
        bag = self._bags.get(item.unit) or self._bag(item.unit)
        question, left = draw(item.kind, item.unit, item.rung, self.rng, bag, tunes, item.against, self.tune_share)
        return _Drawn(item, question, left, question.performance(), chance)

    def _bag(self, unit: str) -> KeyBag:
        """The unit's bag of keys as the log left it: what the last round has had is out."""
        had: list[int] = []
        newest = () if self.seeded else self.store.recent(unit, limit=len(ALL_KEYS) * 2)
        for outcome in reversed(newest):
            tonic = _pitch_class(outcome.key)
            if tonic in had:
                had = []
            had.append(tonic)
        left = [tonic for tonic in ALL_KEYS if tonic not in had]
        self.rng.shuffle(left)
        return KeyBag(tuple(left))

    def _tell(self, state: Asking, answer: Answer | None, text: str) -> Told:
        self._end_pause()
        answered_s = self.clock.monotonic_s() - self._asked_s
        self.sounding.stop()
        question = state.question
        if answer is None:
            mark = nothing_heard(question, answered_s, sound_s(question), state.helps)
        else:
            mark = mark_answer(question, answer, answered_s, state.helps)
        unit = state.item.unit
        new = all(one.item.unit != unit for one in self.told) and not self.store.recent(unit, limit=1)
        trial = self.store.append(self._trial(state, mark, text))
        told = Told(state.number, state.of, state.item, question, answer, mark, trial, new=new)
        self.told.append(told)
        self.state = told
        self._was_logged()
        return told

    def _was_logged(self) -> None:
        if self.logged is not None:
            self.logged()

    def _trial(self, state: Asking, mark: Mark, text: str) -> Trial:
        question = state.question
        return Trial(
            at_utc=self.clock.now_utc(),
            utc_offset_minutes=self.clock.utc_offset_minutes(),
            session=self.id,
            unit=state.item.unit,
            kind=state.item.kind,
            rung=state.item.rung,
            key=question.key.name,
            voicing=question.style if question.with_bass else f"{question.style}, no bass",
            tempo_bpm=float(question.tempo),
            credit=mark.credit,
            guess_chance=mark.guess_chance,
            helps=mark.helps,
            answer_s=mark.answer_s,
            sound_s=mark.sound_s,
            taken_for=mark.taken_for,
            seed=question.seed,
            material=question.material,
            question=json.dumps(question_json(question), ensure_ascii=False),
            answer=text,
            correct=" ".join(question.accepted[0]),
            parts=json.dumps(parts_json(mark), ensure_ascii=False),
            rules_version=mark.rules_version,
        )

    def _end(self, why: str) -> Done:
        self.sounding.stop()
        if self.told:
            self.store.refresh()
        self.state = Done(why)
        return self.state

    def _asking(self) -> Asking:
        if not isinstance(self.state, Asking):
            raise SessionError("no question waits for an answer now")
        return self.state

    def _told(self) -> Told:
        if not isinstance(self.state, Told):
            raise SessionError("no answer has just been given")
        return self.state


def _pitch_class(key: str) -> int:
    from trainer.harmony.key import parse_key

    return parse_key(key).tonic.pitch_class


def nothing_heard(question: Question, answer_s: float, sound_s: float, helps: Sequence[str]) -> Mark:
    """The mark of a question that was passed over: every part left out."""
    from trainer.drills.mark import marked, part

    rights = zip(question.fields, question.accepted[0], strict=False)
    parts = [part(label, "left-out", "", right) for label, right in rights]
    return marked(question, parts, answer_s=answer_s, sound_s=sound_s, helps=helps)
