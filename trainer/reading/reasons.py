"""Why a chord is read as it is, in a player's words: bars, chords, intervals, never a bare number."""

from typing import NamedTuple

from trainer.charts.timeline import Place, Span
from trainer.harmony.key import Key
from trainer.reading.degrees import degree_text
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass as K
from trainer.reading.roles import Role
from trainer.records import dataclass


class Seen(NamedTuple):
    """One event as it was read."""

    event: Event
    role: Role
    key: Key
    first: Span


_STEP_WORDS = {
    5: "falls a fifth to",
    11: "slides down a half step to",
    1: "rises a half step to",
    7: "rises a fifth to",
    2: "steps up to",
    10: "steps down to",
    0: "stays on the root of",
}


def bars_word(bars: float) -> str:
    """A length as players say it."""
    whole, rest = divmod(bars, 1)
    half = abs(rest - 0.5) < 1e-9
    if bars == 1:
        return "a bar"
    if rest == 0:
        return f"{int(whole)} bars"
    if bars < 1:
        return "half a bar" if half else "less than a bar"
    if half:
        return "a bar and a half" if whole == 1 else f"{int(whole)} bars and a half"
    return f"more than {'a bar' if whole == 1 else f'{int(whole)} bars'}"


@dataclass(frozen=True, slots=True)
class Around:
    """What stands around an event, as far as its reason tells of it."""

    before: Seen | None
    after: Seen | None
    pinned: bool = False
    """The player's word on its center begins to hold here."""
    waits_behind: Seen | None = None
    """It is a preparation, and this is the first chord of the cadence that breaks in after it."""
    breaks_into: Key | None = None
    """It begins an interruption of this key's cadence."""
    comes_back: bool = False
    """It takes up a preparation again after an interruption."""


def _moves_to(seen: Seen, after: Seen) -> str:
    motion = (after.event.root - seen.event.root) % 12
    return f"{seen.event.symbol.text} {_STEP_WORDS.get(motion, 'goes to')} {after.event.symbol.text}"


def reasons(seen: Seen, around: Around) -> tuple[str, ...]:
    """One or two sentences (a third where the player's own word stands)."""
    said: list[str] = []
    if around.pinned:
        said.append(f"You pinned {seen.key.name} here.")
    said.append(_role_reason(seen, around))
    if around.breaks_into is not None:
        said.append(f"Here {seen.key.name} breaks in on {around.breaks_into.name}.")
    elif around.comes_back:
        said.append(f"Here {seen.key.name} comes back to finish its cadence.")
    elif around.before is not None and around.before.key != seen.key:
        said.append(f"Here {seen.key.name} takes over from {around.before.key.name}.")
    return tuple(said)


def _role_reason(seen: Seen, around: Around) -> str:
    name, key, before = seen.event.symbol.text, seen.key, around.before
    after = around.after if around.after is not None and around.after.key == key else None
    letter = {"R": "D", "r": "P"}.get(seen.role.letter, seen.role.letter)
    if letter == "T":
        return _rest_reason(before, seen)
    if letter == "t":
        return f"{name} stands in the place of the tonic of {key.name}; it shares two of its notes."
    if letter in "DP":
        return _open_reason(seen, around, after, letter)
    if letter == "L":
        return f"{name} leads home to {key.name} without its dominant."
    if letter in "Aa":
        return _applied_reason(seen, around.after, letter)
    if letter == "X":
        ends = [one.event.symbol.text for one in (before, around.after) if one is not None]
        return f"{name} passes between {' and '.join(ends)} by step." if ends else f"{name} passes by step."
    if before is not None and before.event.root == seen.event.root:
        return f"The root of {before.event.symbol.text} stays and a line moves inside it to {name}."
    return f"{name} stands beside the tonic of {key.name} as a color."


def _open_reason(seen: Seen, around: Around, after: Seen | None, letter: str) -> str:
    """A dominant or what comes before it, on its way or left waiting."""
    name, key = seen.event.symbol.text, seen.key
    what = "the tritone substitute for the dominant of" if seen.role.substitute else "the dominant of"
    if around.waits_behind is not None:
        waits = "its tonic" if letter == "D" else "its dominant"
        return f"{name} prepares {key.name} and waits for {waits}; {around.waits_behind.event.symbol.text} breaks in."
    if letter == "D":
        if after is not None and after.role.letter == "T":
            return f"{_moves_to(seen, after)}: {what} {key.name}."
        if after is not None and after.event.root == seen.event.root and after.role.letter in "DR":
            return f"{name} is {what} {key.name}, held back; it resolves into {after.event.symbol.text}."
        instead = f"; {around.after.event.symbol.text} comes instead" if around.after is not None else ""
        return f"{name} is {what} {key.name} and waits for its tonic{instead}."
    if after is not None and after.role.letter in "DR":
        dominant = "the tritone substitute for the dominant" if after.role.substitute else "the dominant"
        return f"{name} prepares {after.event.symbol.text}, {dominant} of {key.name}."
    if after is not None and after.role.letter == "L":
        return f"{name} prepares {after.event.symbol.text} on the way home to {key.name} by the back door."
    if after is not None and after.role.letter not in "Aa":
        return f"{name} belongs to {key.name} and goes on to {after.event.symbol.text}."
    return f"{name} belongs to {key.name} and moves toward its dominant."


def _rest_reason(before: Seen | None, seen: Seen) -> str:
    event = seen.event
    place = " and closes the section" if event.closes else " and opens the section" if event.opens else ""
    lasts = f"{'lasts' if event.bars >= 1 else 'takes'} {bars_word(event.bars)}"
    rest = f"{seen.key.name} is at rest" if event.bars >= 1 or place else f"the tonic of {seen.key.name}"
    if before is not None and before.key == seen.key and before.role.letter in "DRL":
        return f"{_moves_to(before, seen)}, which {lasts}{place}: {rest}."
    return f"{event.symbol.text} {lasts}{place}: {rest}."


def _applied_reason(seen: Seen, after: Seen | None, letter: str) -> str:
    name, key = seen.event.symbol.text, seen.key
    goal = f"the {degree_text(seen.role.target, key.mode)} of {key.name}"
    if letter == "a":
        if after is not None and after.role.letter == "A":
            return f"{name} is the ii before {after.event.symbol.text}, which points to {goal}."
        return f"{name} is the ii of {goal}."
    by = f"an applied dominant of {goal}"
    if seen.role.substitute:
        by = f"the tritone substitute for the dominant of {goal}"
    if seen.event.kind == K.DIMINISHED:
        by = f"the leading-tone chord of {goal}"
    if after is not None and after.event.root == seen.event.root and after.event.kind != seen.event.kind:
        return f"{name} is {by}; {after.event.symbol.text} on the same root comes first."
    if after is not None and (after.event.root - seen.event.root) % 12 in (5, 11, 1):
        return f"{_moves_to(seen, after)}: {by}."
    return f"{name} is {by}, which it doesn't reach."


def interruption_reasons(
    prepared: tuple[str, ...],
    foreign: tuple[str, ...],
    resumed: tuple[str, ...],
    awaited: Key,
    heard: Key,
    place: Place,
    resumes_at: Place,
) -> tuple[str, ...]:
    """What breaks in, on what, and where the first cadence goes on."""
    prepare = "prepare" if len(prepared) > 1 else "prepares"
    breaks_in = f"in bar {place.bar} {' '.join(foreign)} cadence in {heard.name} instead"
    return (
        f"{' '.join(prepared)} {prepare} {awaited.name}, but {breaks_in}.",
        f"In bar {resumes_at.bar} {' '.join(resumed)} take the preparation up again and bring {awaited.name}.",
    )
