"""What a repertoire consists of: cadence types, key centers, moves, homes and interruptions, counted over tunes.

Counting alone: nothing is judged and nothing weighed. Keys that sound the same are one, in the spelling
that the tunes write most. A cadence within another one counts as well. A tune is open to who has
learned all its types, and all that the table puts before these.
"""

from collections import Counter
from collections.abc import Callable, Collection, Hashable, Iterable, Mapping, Sequence
from itertools import combinations
from typing import Generic, TypeVar

from trainer.harmony.cadence import CADENCE
from trainer.harmony.key import Key, Mode
from trainer.reading.route import short_way
from trainer.reading.values import Analysis, InterruptionShape
from trainer.records import dataclass

FEW = 3
"""So many types at most are named as the next to learn."""

What = TypeVar("What", bound=Hashable)


@dataclass(frozen=True, slots=True)
class KindOfMove:
    """A step from one key center to the next, wherever it starts."""

    semitones: int
    """The short way round, -5 to 6; 6 is the tritone, 0 is parallel."""
    mode_from: Mode
    mode_to: Mode
    name: str
    """As the route names it."""


@dataclass(frozen=True, slots=True)
class KindOfInterruption:
    """An interruption, wherever it stands."""

    shape: InterruptionShape
    semitones: int
    """From the awaited tonic to the one that is heard, the short way round."""


@dataclass(frozen=True, slots=True)
class TuneCount:
    """What one tune has, and how often."""

    file: str
    title: str
    bars: int
    """As played, without a pickup."""
    home: Key | None
    centers: Mapping[Key, int]
    """Stretches of the route in each."""
    moves: Mapping[KindOfMove, int]
    cadences: Mapping[str, int]
    interruptions: Mapping[KindOfInterruption, int]


@dataclass(frozen=True, slots=True)
class Counted(Generic[What]):
    """How often a thing is met, and in how many tunes."""

    what: What
    times: int
    tunes: int


@dataclass(frozen=True, slots=True)
class TuneInShort:
    """One tune of a repertoire."""

    file: str
    title: str
    centers: int
    """Different key centers."""
    types: frozenset[str]


@dataclass(frozen=True, slots=True)
class Repertoire:
    """Many tunes counted together; each list begins with what the most tunes have."""

    tunes: tuple[TuneInShort, ...]
    """In the order they were given."""
    bars: int
    homes: tuple[Counted[Key], ...]
    centers: tuple[Counted[Key], ...]
    moves: tuple[Counted[KindOfMove], ...]
    cadences: tuple[Counted[str], ...]
    interruptions: tuple[Counted[KindOfInterruption], ...]


@dataclass(frozen=True, slots=True)
class NextTypes:
    """A few types to learn, and the tunes that then are open."""

    types: tuple[str, ...]
    """In the order of the table."""
    opens: tuple[TuneInShort, ...]
    """None where no tune can be opened by so few: then these are what most tunes want."""


def count_tune(analysis: Analysis) -> TuneCount:
    """Count what one tune has."""
    moves = (step.move for step in analysis.route if step.move is not None)
    return TuneCount(
        file=analysis.file,
        title=analysis.title,
        bars=sum(section.until.bar - max(section.from_.bar, 1) for section in analysis.sections),
        home=None if analysis.home is None else analysis.home.key,
        centers=Counter(step.center for step in analysis.route),
        moves=Counter(KindOfMove(move.semitones, move.mode_from, move.mode_to, move.name) for move in moves),
        cadences=Counter(cadence.type for cadence in analysis.cadences),
        interruptions=Counter(
            KindOfInterruption(one.shape, short_way(one.heard.tonic.pitch_class - one.awaited.tonic.pitch_class))
            for one in analysis.interruptions
        ),
    )


def repertoire_of(tunes: Iterable[TuneCount]) -> Repertoire:
    """Add tunes together; each is taken once and little of it is kept."""
    homes, centers = _Tally[Key](_same_key), _Tally[Key](_same_key)
    moves, interruptions = _Tally[KindOfMove](), _Tally[KindOfInterruption]()
    cadences = _Tally[str]()
    short = []
    bars = 0
    for tune in tunes:
        bars += tune.bars
        homes.add({} if tune.home is None else {tune.home: 1})
        centers.add(tune.centers)
        moves.add(tune.moves)
        cadences.add(tune.cadences)
        interruptions.add(tune.interruptions)
        different = len(set(map(_same_key, tune.centers)))
        short.append(TuneInShort(tune.file, tune.title, different, frozenset(tune.cadences)))
    return Repertoire(
        tuple(short), bars, homes.counted(), centers.counted(), moves.counted(), cadences.counted(),
        interruptions.counted(),
    )  # fmt: skip


def most_centers(repertoire: Repertoire) -> tuple[TuneInShort, ...]:
    """The tunes with more than one key center, those with most first."""
    moving = [tune for tune in repertoire.tunes if tune.centers > 1]
    return tuple(sorted(moving, key=lambda tune: -tune.centers))


def not_learned(repertoire: Repertoire, learned: Collection[str]) -> tuple[Counted[str], ...]:
    """The types of the tunes that aren't among the learned ones, those of most tunes first."""
    return tuple(counted for counted in repertoire.cadences if counted.what not in learned)


def next_types(repertoire: Repertoire, learned: Collection[str], most: int = FEW) -> tuple[NextTypes, ...]:
    """For one type, two, up to `most`: those that together open the most tunes, where they open more than fewer do.

    Every choice of so few is tried, so none opens more; of equals the one earliest in the table is taken.
    Where no tune is so near, the one answer is what most tunes want first. Empty where all tunes are open.
    """
    missing = [_missing(tune.types, learned) for tune in repertoire.tunes]
    near = Counter(types for types in missing if 0 < len(types) <= most)
    places = {id: place for place, id in enumerate(CADENCE)}
    candidates = sorted(frozenset[str]().union(*near), key=lambda id: places.get(id, len(places)))
    out: list[NextTypes] = []
    best = 0
    for size in range(1, most + 1):
        found: tuple[str, ...] = ()
        for choice in combinations(candidates, size):
            opened = sum(near[part] for part in _parts(choice))
            if opened > best:
                found, best = choice, opened
        if found:
            wanted = set(_parts(found))
            opens = (tune for tune, types in zip(repertoire.tunes, missing, strict=True) if types in wanted)
            out.append(NextTypes(found, tuple(opens)))
    return tuple(out) or _wanted_first(missing, most)


def _wanted_first(missing: Sequence[frozenset[str]], most: int) -> tuple[NextTypes, ...]:
    """The types that the most tunes want, of those that can be learned next; empty where none is wanted."""
    wanted = Counter(id for types in missing for id in types)
    places = {id: place for place, id in enumerate(CADENCE)}
    chosen: list[str] = []
    while len(chosen) < most:
        met = [id for id in wanted if id not in chosen and all(b in chosen or b not in wanted for b in _after(id))]
        if not met:
            break
        chosen.append(max(met, key=lambda id: (wanted[id], -places.get(id, len(places)))))
    return (NextTypes(tuple(sorted(chosen, key=lambda id: places.get(id, len(places)))), ()),) if chosen else ()


def _parts(choice: Sequence[str]) -> Iterable[frozenset[str]]:
    """Every choice of one or more out of a few."""
    return (frozenset(part) for size in range(1, len(choice) + 1) for part in combinations(choice, size))


def _missing(types: Iterable[str], learned: Collection[str]) -> frozenset[str]:
    """The types still to be learned for these, with those that come before them."""
    out: set[str] = set()
    waiting = list(types)
    while waiting:
        id = waiting.pop()
        if id not in learned and id not in out:
            out.add(id)
            waiting += _after(id)
    return frozenset(out)


def _after(id: str) -> tuple[str, ...]:
    """What is learned before a type."""
    return CADENCE[id].after if id in CADENCE else ()


def _same_key(key: Key) -> Hashable:
    return key.tonic.pitch_class, key.mode


class _Tally(Generic[What]):
    """Adds up how often things are met, and in how many tunes."""

    def __init__(self, same: Callable[[What], Hashable] = lambda what: what) -> None:
        self.same = same
        self.spelled: dict[Hashable, Counter[What]] = {}
        self.tunes: Counter[Hashable] = Counter()

    def add(self, counts: Mapping[What, int]) -> None:
        """Add what one tune has."""
        for what, times in counts.items():
            self.spelled.setdefault(self.same(what), Counter())[what] += times
        self.tunes.update({self.same(what) for what in counts})

    def counted(self) -> tuple[Counted[What], ...]:
        """All of it, what most tunes have first, then what is met most; equals as they came."""
        rows = [
            Counted(spelled.most_common(1)[0][0], spelled.total(), self.tunes[same])
            for same, spelled in self.spelled.items()
        ]
        return tuple(sorted(rows, key=lambda row: (-row.tunes, -row.times)))
