"""A word of the glossary as every skin tells it, each line a paragraph."""

from collections.abc import Sequence
from itertools import groupby

from trainer.drills.rungs import DrillError
from trainer.drills.units import MOVE, ROUTE, find_unit
from trainer.harmony.glossary import TERM, Stated, Term, stated
from trainer.harmony.key import Key
from trainer.harmony.note_names import Naming, chord_told, key_told, named

GROUP_NAMES = {
    "functions": "What a chord does",
    "cadences": "Cadences",
    "keys": "Keys",
    "chords": "Chords",
    "playing": "How it is played",
    "practice": "Practice",
}
"""Each group's heading."""
PLAYED = {
    "close": "", "shells": "as shells", "rootless": "without roots in the keys", "drop-2": "in drop 2",
    "spread": "spread", "quartal": "in fourths",
}  # fmt: skip
"""How a style is told after an example."""


def term_of(unit: str) -> Term | None:
    """The word that a unit is explained by: its own, or that of moves or routes; None for an unknown id."""
    if unit.startswith((MOVE, ROUTE)):
        return TERM["move" if unit.startswith(MOVE) else "route"]
    return TERM.get(unit)


def term_lines(term: Term, key: Key | None = None, naming: Naming = "english") -> list[str]:
    """Name, meaning, other names, chords and what is near it."""
    lines = [term.name if term.name == term.id else f"{term.name} ({term.id})", named(term.says, naming)]
    if term.also:
        lines.append(f"Also: {', '.join(term.also)}.")
    if term.example is not None:
        lines.append(f"Heard: {example_told(term, key, naming)}.")
    if term.near:
        lines.append(f"Near it: {', '.join(term.near)}.")
    return lines


def example_told(term: Term, key: Key | None = None, naming: Naming = "english") -> str:
    """A word's example: its numerals and its chords, key by key, and how they are played."""
    example = term.example
    assert example is not None
    chords = stated(example, key)
    parts = [_in_key(now, tuple(some), naming) for now, some in groupby(chords, key=lambda chord: chord.key)]
    told = "; then ".join(parts)
    if example.hearing == "guide-tones":
        return f"{told}, guide tones alone"
    if example.comping:
        return f"{told}, with bass"
    manner = PLAYED[example.style]
    return f"{told}, {manner}" if manner else told


def _in_key(key: Key, chords: Sequence[Stated], naming: Naming) -> str:
    numerals = " ".join(chord.numeral for chord in chords)
    symbols = " ".join(chord_told(chord.symbol.text, naming) for chord in chords)
    return f"{numerals} in {key_told(key, naming)}, {symbols}"


def first_met(unit: str, explained: str) -> str:
    """What is said of a unit that was never met before, unless it was explained already; empty for an unknown one."""
    term = term_of(unit)
    if term is None:
        return ""
    try:
        name = find_unit(unit).name
    except DrillError:
        return ""
    told = f"New to you: {name}."
    return told if term.says in explained else f"{told} {term.says}"
