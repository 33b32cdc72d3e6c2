"""Why a chord is read as it is, in a player's words: bars, chords, intervals, never a bare number."""

from dataclasses import dataclass

from trainer.charts.timeline import Place, Span
from trainer.harmony.key import Key
from trainer.reading.degrees import degree_text
from trainer.reading.events import Event
from trainer.reading.heard import ChordClass as K
from trainer.reading.roles import Role


@dataclass(frozen=True, slots=True)
class Seen:
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
    if bars == int(bars):
        return "one bar" if bars == 1 else f"{int(bars)} bars"
    if bars == 0.5:
        return "half a bar"
    if bars < 1:
        return "less than a bar"
    return f"{bars:g} bars"


def _moves_to(seen: Seen, after: Seen) -> str:
    motion = (after.event.root - seen.event.root) % 12
    return f"{seen.event.symbol.text} {_STEP_WORDS.get(motion, 'goes to')} {after.event.symbol.text}"


def reasons(before: Seen | None, seen: Seen, after: Seen | None, pinned: bool) -> tuple[str, ...]:
    """One or two sentences (a third where the player's own word stands)."""
    said: list[str] = []
    if pinned:
        said.append(f"You pinned {seen.key.name} here.")
    said.append(_role_reason(before, seen, after))
    if before is not None and before.key != seen.key:
        said.append(f"Here {seen.key.name} takes over from {before.key.name}.")
    return tuple(said)


def _role_reason(before: Seen | None, seen: Seen, after: Seen | None) -> str:
    name, key = seen.event.symbol.text, seen.key
    same_key_after = after if after is not None and after.key == key else None
    letter = {"R": "D", "r": "P"}.get(seen.role.letter, seen.role.letter)
    if letter == "T":
        return _rest_reason(before, seen)
    if letter == "t":
        return f"{name} stands in the place of the tonic of {key.name}; it shares two of its notes."
    if letter == "D":
        if same_key_after is not None and same_key_after.role.letter == "T":
            kind = "the tritone substitute for the V of" if seen.role.substitute else "the dominant of"
            return f"{_moves_to(seen, same_key_after)}: {kind} {key.name}."
        waits = f" {after.event.symbol.text} comes instead." if after is not None else ""
        return f"{name} is the dominant of {key.name} and waits for its tonic.{waits}"
    if letter == "P":
        if same_key_after is not None and same_key_after.role.letter in "DR":
            return f"{_moves_to(seen, same_key_after)}, the dominant of {key.name}: it prepares it."
        if same_key_after is not None and same_key_after.role.letter == "L":
            return f"{name} prepares {same_key_after.event.symbol.text} on the way home to {key.name} by the back door."
        return f"{name} belongs to {key.name} and moves toward its dominant."
    if letter == "L":
        return f"{name} leads home to {key.name} without its dominant."
    if letter in "Aa":
        return _applied_reason(seen, after, letter)
    if letter == "X":
        ends = [s.event.symbol.text for s in (before, after) if s is not None]
        return f"{name} passes between {' and '.join(ends)} by step." if ends else f"{name} passes by step."
    return f"{name} stands beside {key.name} as a color; nothing leads through it."


def _rest_reason(before: Seen | None, seen: Seen) -> str:
    event = seen.event
    place = " and closes the section" if event.closes else " and opens the section" if event.opens else ""
    lasts = f"{'lasts' if event.bars >= 1 else 'takes'} {bars_word(event.bars)}"
    if before is not None and before.key == seen.key and before.role.letter in "DRL":
        return f"{_moves_to(before, seen)}, which {lasts}{place}: {seen.key.name} is at rest."
    return f"{event.symbol.text} {lasts}{place}: {seen.key.name} is at rest."


def _applied_reason(seen: Seen, after: Seen | None, letter: str) -> str:
    name, key = seen.event.symbol.text, seen.key
    goal = degree_text(seen.role.target, key.mode)
    if letter == "a":
        if after is not None and after.role.letter == "A":
            return f"{name} is the ii before {after.event.symbol.text}, which points to the {goal} of {key.name}."
        return f"{name} is the ii of the {goal} of {key.name}."
    by = "the tritone substitute" if seen.role.substitute else "an applied dominant"
    if seen.event.kind == K.DIMINISHED:
        by = "the leading-tone chord"
    if after is not None and (after.event.root - seen.event.root) % 12 in (5, 11, 1):
        return f"{_moves_to(seen, after)}: {by} of the {goal} inside {key.name}."
    return f"{name} is {by} of the {goal} of {key.name}, which it doesn't reach."


def interruption_reasons(
    prepared: tuple[str, ...], foreign: tuple[str, ...], resumed: tuple[str, ...],
    awaited: Key, heard: Key, place: Place, resumes_at: Place,
) -> tuple[str, ...]:
    """What breaks in, on what, and where the first cadence goes on."""
    return (
        (f"{' '.join(prepared)} prepares {awaited.name}, but in bar {place.bar} {' '.join(foreign)} "
        f"cadences in {heard.name} instead."),
        f"In bar {resumes_at.bar} {' '.join(resumed)} takes the preparation up again and brings {awaited.name}.",
    )

