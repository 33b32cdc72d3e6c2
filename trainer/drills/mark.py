"""What an answer is worth: part by part, by one table of rules that each say why.

Credit runs from 0 to 1. A mark keeps what was heard beside what was right, the helps taken and the
times, so that marks can be computed again when the rules improve: raise RULES_VERSION then. What
each kind of miss is worth is our own judgement as teachers, no source.
"""

from collections.abc import Mapping, Sequence
from math import prod
from types import MappingProxyType
from typing import Any

from trainer.drills.question import HELPS, Question
from trainer.drills.rungs import DrillError
from trainer.records import dataclass

RULES_VERSION = 2

WHOLE = 0.999
"""Credit from which all of it is right."""


@dataclass(frozen=True, slots=True)
class MarkRule:
    """What one kind of answer to one part is worth, and why."""

    id: str
    credit: float
    why: str


RULES: Mapping[str, MarkRule] = MappingProxyType(
    {
        rule.id: rule
        for rule in (
            # a row of degrees
            MarkRule("right", 1.0, "That is it."),
            MarkRule("other-quality", 0.6, "The degree is right; the chord's color was another."),
            MarkRule(
                "substitute", 0.5,
                "A tritone apart, they share third and seventh: the pull was heard, the bass was not.",
            ),
            MarkRule(
                "same-dominant", 0.5,
                "The diminished chord on the leading tone and the dominant share all but the root.",
            ),
            MarkRule(
                "relative-key", 0.5,
                "Every chord was heard right, but counted from the relative key's tonic.",
            ),
            MarkRule("same-function", 0.4, "It does the same work here and shares two notes or more."),
            MarkRule("inflection", 0.3, "The step is right, the accidental before it is not."),
            MarkRule(
                "other-tonic", 0.25,
                "The roots moved just so, but home is elsewhere: sing the tonic before you count.",
            ),
            MarkRule("left-out", 0.0, "Left out."),
            MarkRule("missed", 0.0, "That is another chord with other work to do."),
            # an interruption
            MarkRule("none-there", 0.0, "Nothing broke in: no preparation was left open and taken up again."),
            MarkRule("not-noticed", 0.0, "Another key broke in, and then the first cadence came back."),
            MarkRule("one-chord-off", 0.5, "Next to the place: the key turned one chord away from there."),
            MarkRule("wrong-direction", 0.5, "The interval is right, the direction is the other."),
            MarkRule("swapped", 0.25, "That is the key that broke in, not the one that was awaited."),
            # key centers and their moves
            MarkRule("other-mode", 0.6, "The tonic is right, the mode is the other one."),
            MarkRule("relative-center", 0.5, "The relative key: nearly all notes are shared, home is another."),
            MarkRule(
                "counted-from-first", 0.5,
                "The key itself is right, counted from the first one and not from the one before it.",
            ),
            MarkRule("missed-center", 0.0, "That is another key: sing the new tonic, then the old one."),
            MarkRule("no-move", 0.0, "The center doesn't move there."),
            MarkRule("move-not-noticed", 0.0, "The center moved: listen for a new dominant, and for its rest."),
            MarkRule("counted-elsewhere", 0.5, "The chord is right, but counted from another center."),
            # a named cadence
            MarkRule(
                "other-colors", 0.5,
                "The roots moved just so; the chords' colors were others: listen for the third of the last one.",
            ),
            MarkRule(
                "its-end", 0.5,
                "That is how it ends; what came before belongs to it as well.",
            ),
            MarkRule("more-than-it", 0.4, "It would have begun earlier: only the end of that one sounded."),
            MarkRule("near-it", 0.25, "The two are often taken for each other: hear them one after the other."),
            MarkRule("other-cadence", 0.0, "That is another cadence."),
            # a goal
            MarkRule("surprise", 0.4, "It may go there as a surprise; what it awaits is its goal."),
            MarkRule("still-there", 0.2, "That is the chord that sounds last, not the one that it leads to."),
            MarkRule("other-goal", 0.0, "It doesn't lead there: sing the root of the last chord and let it fall."),
            MarkRule("goal-mode", 0.0, "The chord that is awaited has the other third: hear what leans to it."),
            # a voice of guide tones
            MarkRule("other-voice", 0.4, "That is the chord's other guide tone: the voice you follow went elsewhere."),
            MarkRule(
                "root-or-fifth", 0.25,
                "It is in the chord, but not its third or seventh, and those tell what the chord does.",
            ),
            MarkRule("other-note", 0.0, "That note is not in the chord."),
            # two stretches
            MarkRule("other-way-round", 0.0, "The difference was heard, but each was taken for the other."),
            MarkRule("difference-missed", 0.0, "They are not the same: one of them is it, the other is not."),
            MarkRule("none-differs", 0.25, "Nothing differs: what is true of one is true of the other."),
            MarkRule("same-but-other", 0.25, "That nothing differs was heard; the type is the other one."),
        )
    }
)  # fmt: skip
"""The table; the drills decide which rule fits, in the order given there."""

WRONG_PICK = 0.5
"""A wrong choice was perhaps only the nearest on offer, so it shows half of what a free answer would."""

HELP_FACTORS: Mapping[str, float] = MappingProxyType(
    {"again": 0.9, "slower": 0.8, "arpeggio": 0.7, "bass": 0.7, "guide": 0.7, "key": 0.6}
)
"""How much of what an answer proves is left after each help: the more of the hearing it does, the less."""


@dataclass(frozen=True, slots=True)
class MarkedPart:
    """One part of an answer."""

    label: str
    """What was asked."""
    credit: float
    heard: str
    right: str
    rule: str
    """Which row of RULES decided."""
    weight: float = 1.0
    """Its share of the mark against the other parts; 0 where the choices gave it away."""

    @property
    def why(self) -> str:
        """The rule's reason."""
        return RULES[self.rule].why


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """What an answer is worth."""

    credit: float
    """Share of the answer that was heard right, 0 to 1, helps not counted."""
    exact: bool
    """All of it is right."""
    parts: tuple[MarkedPart, ...]
    guess_chance: float
    helps: tuple[str, ...]
    helps_factor: float
    """What the helps leave of what it proves."""
    answer_s: float
    """Seconds from the start of the sound to the answer."""
    sound_s: float
    """How long the question sounds."""
    rules_version: int
    confusion: tuple[str, str] | None
    """The unit asked and the one that the answer names instead; None where it names none."""

    @property
    def proves(self) -> float:
        """Credit as far as the helps let it count."""
        return self.credit * self.helps_factor

    @property
    def taken_for(self) -> str | None:
        """The unit that the answer names instead."""
        return None if self.confusion is None else self.confusion[1]


def helps_factor(helps: Sequence[str]) -> float:
    """What some helps leave, each as often as it was taken. Raises DrillError for an unknown one."""
    for word in helps:
        if word not in HELP_FACTORS:
            raise DrillError(f"there is no help {word!r}; there are {', '.join(HELPS)}")
    return prod((HELP_FACTORS[word] for word in helps), start=1.0)


def part(label: str, rule: str, heard: str, right: str, weight: float = 1.0) -> MarkedPart:
    """One part by one rule."""
    return MarkedPart(label, RULES[rule].credit, heard, right, rule, weight)


def marked(
    question: Question,
    parts: Sequence[MarkedPart],
    *,
    picked_wrong: bool = False,
    answer_s: float = 0.0,
    sound_s: float = 0.0,
    helps: Sequence[str] = (),
    taken_for: str | None = None,
) -> Mark:
    """A mark from its parts."""
    total = sum(one.weight for one in parts)
    credit = sum(one.credit * one.weight for one in parts) / total if total else 0.0
    if picked_wrong:
        credit *= WRONG_PICK
    exact = credit >= WHOLE
    return Mark(
        credit=1.0 if exact else max(0.0, credit),
        exact=exact,
        parts=tuple(parts),
        guess_chance=question.guess_chance,
        helps=tuple(helps),
        helps_factor=helps_factor(helps),
        answer_s=answer_s,
        sound_s=sound_s,
        rules_version=RULES_VERSION,
        confusion=None if taken_for in (None, question.unit) or exact else (question.unit, str(taken_for)),
    )


def parts_json(mark: Mark) -> list[dict[str, Any]]:
    """The parts as plain values, for the log."""
    return [
        {"label": one.label, "credit": one.credit, "heard": one.heard, "right": one.right, "rule": one.rule,
         "weight": one.weight}
        for one in mark.parts
    ]  # fmt: skip


def told(mark: Mark) -> tuple[str, ...]:
    """What the player is told of a mark, a line for each part that wasn't right."""
    return tuple(
        f"{one.label}: you heard {one.heard or 'nothing'}, it was {one.right}. {one.why}"
        for one in mark.parts
        if one.credit < WHOLE
    )
