"""Questions drawn by a teacher's choice: types, kinds, rung, keys and tempo; the same every time for a seed.

With keys of one's own there is one bag of them for all questions, so that each comes as often as the others, give
or take one; a key that a question can't be asked in (the other mode, not on that rung) waits for the next.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from random import Random

from trainer.drills.kinds import TUNE_SHARE, draw, find_kind, kinds_for, wants_tunes
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS, DrillError, KeyBag, allowed_tonics
from trainer.drills.units import ROUTE
from trainer.harmony.key import Mode, parse_key
from trainer.memory.chance import start
from trainer.memory.plan import Asked
from trainer.practice.from_tunes import from_tunes
from trainer.practice.items import Fixed, fixed
from trainer.practice.options import DrillOptions
from trainer.records import dataclass

ALL = "all"
"""In a key's place: all twelve."""


@dataclass(frozen=True, slots=True)
class WantedKey:
    """A key that was asked for."""

    tonic: int
    """Half steps above C."""
    mode: Mode | None
    """None is the mode of the type that is asked."""


def read_keys(words: Sequence[str]) -> tuple[WantedKey, ...]:
    """The keys that words such as `Eb`, `G minor`, `f`, `C,F,Bb` and `all` ask for; a tonic alone is in any mode.

    Raises KeyNameError.
    """
    wanted: list[WantedKey] = []
    for word in (part.strip() for text in words for part in text.split(",")):
        if word.casefold() == ALL:
            wanted += [WantedKey(tonic, None) for tonic in range(12)]
            continue
        key = parse_key(word)
        bare = word == str(key.tonic)
        wanted.append(WantedKey(key.tonic.pitch_class, None if bare else key.mode))
    return tuple(dict.fromkeys(wanted))


def drawn_questions(
    options: DrillOptions, seed: int, count: int, tunes: Callable[[], Sequence[TuneMaterial]]
) -> tuple[Question, ...]:
    """The questions that a seed makes of a choice. Raises KeyfarerError for what can't be asked.

    tunes: called when a question first may come from a tune.
    """
    rng = Random(seed)
    keys = read_keys(options.keys)
    chosen = (options.types, options.kinds, options.rung, count, start(), rng)
    items = from_tunes(tunes(), *chosen) if options.tunes else fixed(*chosen)
    share = 1.0 if options.tunes else TUNE_SHARE
    rungs = (options.rung,) if options.rung else tuple(RUNGS)
    if keys:
        items = _in_keys(items, options, keys, rungs)
    bags: dict[str, KeyBag] = {}
    shared = KeyBag()
    asked: list[Asked] = []
    questions: list[Question] = []
    for _ in range(count):
        item = items.next(asked, None)
        assert item is not None
        mode = find_kind(item.kind).mode_of(item.unit)
        high = [rung for rung in rungs if options.rung or rung >= items.least_of(item.unit)]
        open_rungs = [rung for rung in high if not keys or _fitting(keys, mode, rung)]
        rung = options.rung or rng.choice(open_rungs)
        material = tunes() if wants_tunes(item.unit, rung) else ()
        if keys:
            bag, rest = _taken(shared, keys, mode, rung, rng)
            question, _ = draw(item.kind, item.unit, rung, rng, bag, material, item.against, share)
            shared = rest
        else:
            question, bags[item.unit] = draw(
                item.kind, item.unit, rung, rng, bags.get(item.unit), material, item.against, share
            )
        asked.append(Asked(item.unit, item.kind, True))
        questions.append(question if options.tempo is None else replace(question, tempo=_exact(options.tempo)))
    return tuple(questions)


def _in_keys(items: Fixed, options: DrillOptions, keys: Sequence[WantedKey], rungs: Sequence[int]) -> Fixed:
    """The items whose types can be asked in one of the keys. Raises DrillError where a type that was named can't.

    A tune's route has keys of its own on each rung.
    """
    fits = {
        unit: not unit.startswith(ROUTE)
        and all(
            any(_fitting(keys, find_kind(kind).mode_of(unit), rung) for rung in rungs)
            for kind in kinds_for(unit)
            if kind in items.kinds
        )
        for unit in items.types
    }
    if lost := [unit for unit in options.types if not fits[unit]]:
        raise DrillError(f"{lost[0]!r} can't be asked in {_told(options.keys)}{_why(lost[0], items, keys, rungs)}")
    if not any(fits.values()):
        where = f" on rung {options.rung}" if options.rung else ""
        raise DrillError(f"nothing can be asked in {_told(options.keys)}{where}")
    return replace(items, types=tuple(unit for unit in items.types if fits[unit]))


def _why(unit: str, items: Fixed, keys: Sequence[WantedKey], rungs: Sequence[int]) -> str:
    if unit.startswith(ROUTE):
        return ": a tune's route has its own keys on each rung"
    modes = {find_kind(kind).mode_of(unit) for kind in kinds_for(unit) if kind in items.kinds}
    if not any(key.mode in (None, *modes) for key in keys):
        return f": it is in {' and '.join(sorted(modes))}; a tonic alone, such as Eb, is in the type's own mode"
    return f": rung {rungs[0]} has the easiest keys only; from rung 2 on there are all twelve"


def _told(keys: Sequence[str]) -> str:
    return ", ".join(keys)


def _fitting(keys: Sequence[WantedKey], mode: Mode, rung: int) -> list[int]:
    """The tonics that some keys have for a mode and a rung."""
    allowed = allowed_tonics(RUNGS[rung], mode)
    return [key.tonic for key in keys if key.mode in (None, mode) and key.tonic in allowed]


def _exact(tempo: float) -> Fraction:
    return Fraction(tempo).limit_denominator(100)


def _taken(bag: KeyBag, keys: Sequence[WantedKey], mode: Mode, rung: int, rng: Random) -> tuple[KeyBag, KeyBag]:
    """A bag with nothing but the next tonic that fits, and the shared bag without it."""
    fitting = _fitting(keys, mode, rung)
    left = list(bag.left)
    if not any(tonic in fitting for tonic in left):
        fresh = [tonic for tonic in dict.fromkeys(key.tonic for key in keys) if tonic not in left]
        rng.shuffle(fresh)
        left += fresh
    tonic = next(tonic for tonic in left if tonic in fitting)
    left.remove(tonic)
    return KeyBag((tonic,)), KeyBag(tuple(left))
