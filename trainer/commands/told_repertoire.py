"""A repertoire in words: what it is made of, a line a thing, and what to learn next for it."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import PurePath
from typing import TypeVar

from trainer.charts.lexer import shortened
from trainer.commands.standing import NEW, learned_of
from trainer.commands.words import counted, joined, table, wrapped
from trainer.harmony.note_names import Naming, key_told
from trainer.reading.repertoire import (
    Counted,
    KindOfInterruption,
    KindOfMove,
    NextTypes,
    Repertoire,
    TuneInShort,
    most_centers,
    next_types,
    not_learned,
)
from trainer.reading.route import MOVE_NAMES
from trainer.reading.values import InterruptionShape

SHOWN = 15
"""So many lines of each kind; the JSON has them all."""
TUNES_SHOWN = 5
NAMED = 8
"""So many tunes or types are named in one sentence."""
INDENT = "  "

SHAPES: dict[InterruptionShape, str] = {
    "after-two": "after the ii",
    "after-two-and-again": "after the ii, which comes again",
    "after-two-five": "after ii V",
    "after-two-five-and-again": "after ii V, which come again",
    "after-five": "after the V",
}
"""Where another key's cadence breaks in."""

What = TypeVar("What")


def told_repertoire(
    repertoire: Repertoire, standing: Mapping[str, str], columns: int, naming: Naming = "english"
) -> list[str]:
    """All of it as lines; `standing` says of each type ever asked where the player stands with it."""
    learned = learned_of(standing)
    blocks = [
        [f"{counted(len(repertoire.tunes), 'tune')}, {counted(repertoire.bars, 'bar')}"],
        _counts("Cadence types", repertoire.cadences, lambda type: type, repertoire, columns, standing),
        _counts("Homes", repertoire.homes, lambda key: key_told(key, naming), repertoire, columns),
        _counts("Key centers", repertoire.centers, lambda key: key_told(key, naming), repertoire, columns),
        _counts("Moves of the center", repertoire.moves, _move, repertoire, columns),
        _counts("Interruptions", repertoire.interruptions, _interruption, repertoire, columns),
        _centers(most_centers(repertoire), columns),
        _next(repertoire, not_learned(repertoire, learned), next_types(repertoire, learned), columns),
    ]
    return [line for block in blocks if block for line in ("", *block)][1:]


def _counts(
    head: str,
    rows: Sequence[Counted[What]],
    name: Callable[[What], str],
    repertoire: Repertoire,
    columns: int,
    standing: Mapping[str, str] | None = None,
) -> list[str]:
    """A line for each of the first things of a kind: in how many tunes, how often, and where one stands with it."""
    each_once = all(row.times == row.tunes for row in rows)
    cells = [
        (
            name(row.what),
            counted(row.tunes, "tune"),
            f"{row.tunes / len(repertoire.tunes):.0%}",
            "" if each_once else "once" if row.times == 1 else f"{row.times} times",
            "" if standing is None else standing.get(str(row.what), NEW),
        )
        for row in rows[:SHOWN]
    ]
    if not cells:
        return []
    wide = [max(len(row[n]) for row in cells) for n in range(5)]
    lines = [
        (INDENT + "  ".join((row[0].ljust(wide[0]), *(row[n].rjust(wide[n]) for n in (1, 2, 3)), row[4]))).rstrip()
        for row in cells
    ]
    if len(rows) > SHOWN:
        lines.append(f"{INDENT}and {len(rows) - SHOWN} more")
    return [head, *(line if len(line) <= columns else line[: columns - 1] + "…" for line in lines)]


def _move(move: KindOfMove) -> str:
    return move.name + (", in minor" if move.mode_from == move.mode_to == "minor" else "")


def _interruption(one: KindOfInterruption) -> str:
    apart = MOVE_NAMES.get(abs(one.semitones), "")
    far = (
        f"{apart} {'up' if one.semitones > 0 else 'down'}"
        if apart
        else "a tritone away"
        if one.semitones
        else "parallel"
    )
    return f"{far}, {SHAPES[one.shape]}"


def _centers(tunes: Sequence[TuneInShort], columns: int) -> list[str]:
    """The tunes that live in most keys."""
    if not tunes:
        return []
    return ["Most key centers", *table([(str(t.centers), _title(t)) for t in tunes[:TUNES_SHOWN]], columns, INDENT)]


def _next(
    repertoire: Repertoire, missing: Sequence[Counted[str]], choices: Sequence[NextTypes], columns: int
) -> list[str]:
    """What isn't learned yet, and the few types that open most tunes."""
    if not missing:
        return ["You have learned every cadence type of these tunes."] if repertoire.cadences else []
    told = f"Not learned yet: {_few([row.what for row in missing])}."
    lines = [*wrapped(told, columns, "", INDENT), ""]
    lines.append("Learn next")
    for choice in choices:
        told = "which most of these tunes need; three types alone open no tune yet"
        if choice.opens:
            more = counted(len(choice.opens), "more tune")
            told = f"and you know every type of {more}: {_few(map(_title, choice.opens))}"
        lines += wrapped(f"{joined(choice.types)}, {told}", columns, INDENT, INDENT * 2)
    return lines


def _few(words: Iterable[str]) -> str:
    """The first of many, and how many more."""
    all_words = list(words)
    if len(all_words) > NAMED:
        all_words = [*all_words[: NAMED - 1], f"{len(all_words) - NAMED + 1} more"]
    return joined(all_words)


def _title(tune: TuneInShort) -> str:
    return shortened(tune.title or PurePath(tune.file).stem, 60)
