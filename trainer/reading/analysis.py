"""The whole reading of a tune: search, then everything that follows from the path it found."""

from collections.abc import Sequence

from trainer.charts.timeline import Span, Timeline
from trainer.harmony.function import Function
from trainer.harmony.key import Key, Mode, simplest_key
from trainer.harmony.numeral import PLAIN_DEGREES, numeral_of
from trainer.reading.cadences import find_cadences
from trainer.reading.costs import COSTS, RIVAL_LEAST_SHARE, RIVALS_SHOWN, Costs
from trainer.reading.degrees import degree_note
from trainer.reading.events import Event, events_of
from trainer.reading.form import sections_of
from trainer.reading.functions import FUNCTION_OF
from trainer.reading.heard import ChordClass, heard
from trainer.reading.homes import Weighed, weigh
from trainer.reading.interruptions import interruptions_of
from trainer.reading.reasons import Around, Seen, bars_word, reasons
from trainer.reading.roles import Role
from trainer.reading.route import route_of
from trainer.reading.sections_found import FoundSection, unnamed_sections
from trainer.reading.slots import FUNCTIONS
from trainer.reading.trellis.shares import told
from trainer.reading.values import Analysis, ChordReading, FoundCadence, Home, Interruption, Rival, RouteStep
from trainer.records import dataclass

OPEN_CLASSES = frozenset(
    {
        ChordClass.DOMINANT, ChordClass.SUSPENDED, ChordClass.DIMINISHED, ChordClass.AUGMENTED,
        ChordClass.HALF_DIMINISHED, ChordClass.MINOR_SEVENTH,
    }
)  # fmt: skip
"""A tune that ends on one of these goes on into its first chord."""

_FUNCTIONS: tuple[Function, ...] = ("tonic", "predominant", "dominant", "plagal", "passing", "color")
_PLACE = {function: place for place, function in enumerate(_FUNCTIONS)}
"""The functions in the order of the trellis's shares."""


@dataclass(frozen=True, slots=True)
class _Names:
    """Turns the search's numbers into spelled keys."""

    zero: int
    """Pitch class of the first chord's root."""
    prefer_flats: bool

    def plain(self, key: int) -> Key:
        """The key as it is spelled where no chord of rest says otherwise."""
        mode: Mode = "minor" if key & 1 else "major"
        return simplest_key((key >> 1) + self.zero, mode, self.prefer_flats)


def analyze(timeline: Timeline, costs: Costs = COSTS) -> Analysis:
    """Read a tune. Pure and deterministic; transposing the chart transposes the reading."""
    found = unnamed_sections(timeline)
    events = events_of(timeline, found)
    if not events:
        silent = tuple(_silence(span) for span in timeline.spans)
        return _assemble(timeline, found, silent, None, (), (), ())
    first = events[0].symbol
    zero = heard(first).root
    printed = None
    if timeline.key is not None:
        printed = 2 * ((timeline.key.tonic.pitch_class - zero) % 12) + (timeline.key.mode == "minor")
    names = _Names(zero, timeline.key is not None and timeline.key.fifths < 0)
    pins = {
        n: 2 * ((event.pin.center.tonic.pitch_class - zero) % 12) + (event.pin.center.mode == "minor")
        for n, event in enumerate(events)
        if event.pin is not None and event.pin.center is not None
    }
    closed = len(events)
    events = wrapped(events)
    weighed = weigh(events, pins, printed, costs)
    keys = _spelled(events, weighed.found.path, names)
    seen = tuple(
        Seen(event, role, key, timeline.spans[event.spans[0]] if event.spans else timeline.spans[0])
        for event, (_, role), key in zip(events, weighed.found.path, keys, strict=True)
    )
    chords = _chords(timeline, seen, closed, weighed, names)
    interruptions = interruptions_of(timeline, seen, weighed.found.interruptions)
    inside = frozenset(n for interruption in interruptions for n in interruption.chords)
    route = route_of(chords, inside, timeline)
    home = _home(timeline, weighed, seen[:closed], names)
    cadences = find_cadences(timeline, seen, closed, interruptions)
    return _assemble(timeline, found, chords, home, cadences, interruptions, route)


def _assemble(
    timeline: Timeline,
    found: Sequence[FoundSection],
    chords: tuple[ChordReading, ...],
    home: Home | None,
    cadences: tuple[FoundCadence, ...],
    interruptions: tuple[Interruption, ...],
    route: tuple[RouteStep, ...],
) -> Analysis:
    return Analysis(
        timeline.title, timeline.file, timeline.key, float(timeline.tempo), timeline.form,
        home, chords, cadences, interruptions, route, sections_of(timeline, found),
    )  # fmt: skip


def wrapped(events: tuple[Event, ...]) -> tuple[Event, ...]:
    """The events, and where the last one stays open the first once more; a minor seventh after its V is at rest."""
    if len(events) < 2 or events[-1].kind not in OPEN_CLASSES:
        return events
    before, last = events[-2:]
    led = before.kind == ChordClass.DOMINANT and (last.root - before.root) % 12 in (5, 11)
    if last.kind == ChordClass.MINOR_SEVENTH and led:
        return events
    return (*events, _again(events[0]))


def _again(event: Event) -> Event:
    """The first chord once more, at the end of a tune that stays open."""
    return Event(
        (), event.symbol, event.root, event.bass, event.kind, event.lean, event.six_four,
        event.bars, event.strong, False, False, False, None,
    )  # fmt: skip


def _silence(span: Span) -> ChordReading:
    return ChordReading(span, None, None, "none", None, None, 1.0, ("Nothing sounds.",), ())


def _spelled(events: Sequence[Event], path: Sequence[tuple[int, Role]], names: _Names) -> list[Key]:
    """A spelled key for each event: as the stretch's chord of rest is written, else the tune's, else plainly."""
    whole: dict[int, Key] = {}
    for event, (key, role) in zip(events, path, strict=True):
        if role.letter == "T" and key not in whole:
            whole[key] = _as_written(event, names.plain(key))
    out: list[Key] = []
    start = 0
    for n in range(1, len(events) + 1):
        if n < len(events) and path[n][0] == path[start][0]:
            continue
        key = path[start][0]
        spelled = whole.get(key, names.plain(key))
        for event, (_, role) in zip(events[start:n], path[start:n], strict=True):
            if role.letter == "T":
                spelled = _as_written(event, names.plain(key))
                break
        out.extend([spelled] * (n - start))
        start = n
    return out


def _as_written(event: Event, plain: Key) -> Key:
    root = event.symbol.root
    return Key(root, plain.mode) if root.pitch_class == plain.tonic.pitch_class else plain


def _chords(
    timeline: Timeline, seen: tuple[Seen, ...], closed: int, weighed: Weighed, names: _Names
) -> tuple[ChordReading, ...]:
    shares = _shares(weighed, seen, names)
    out: list[ChordReading] = [_silence(span) for span in timeline.spans]
    for n, one in enumerate(seen[:closed]):
        why = reasons(one, _around(seen, n, weighed))
        share, rivals = shares[n]
        target, leads = _goal(one)
        for index in one.event.spans:
            span = timeline.spans[index]
            assert span.symbol is not None
            numeral = numeral_of(span.symbol, one.key)
            out[index] = ChordReading(
                span, one.key, numeral, FUNCTION_OF[one.role.letter],
                PLAIN_DEGREES[target] if target is not None else None,
                degree_note(leads, one.key) if leads is not None else None,
                share, why, rivals,
            )  # fmt: skip
    return tuple(out)


def _around(seen: tuple[Seen, ...], n: int, weighed: Weighed) -> Around:
    """What the reason of an event tells of its surroundings."""
    waits_behind = breaks_into = None
    comes_back = False
    for edge, _ in weighed.found.interruptions:
        if n == edge.first - 1:
            waits_behind = seen[edge.first]
        elif n == edge.first:
            breaks_into = seen[edge.first - 1].key
        elif n == edge.last + 1:
            comes_back = True
    return Around(
        seen[n - 1] if n else None,
        seen[n + 1] if n + 1 < len(seen) else None,
        _begins_pin(seen, n),
        waits_behind if n + 1 < len(seen) and seen[n + 1].key != seen[n].key else None,
        breaks_into,
        comes_back,
    )


def _begins_pin(seen: tuple[Seen, ...], n: int) -> bool:
    """Whether the player's word on a center begins to hold at an event."""
    pin = seen[n].event.pin
    if pin is None or pin.center is None:
        return False
    before = seen[n - 1].event.pin if n else None
    return before is None or before.center != pin.center


def _goal(seen: Seen) -> tuple[int | None, int | None]:
    """The degree an applied chord points to, and the degree that the chord awaits as a tonic."""
    letter = seen.role.letter
    if letter in "Aa":
        return seen.role.target, seen.role.target
    return None, 0 if letter in "PDLRr" else None


def _shares(weighed: Weighed, seen: tuple[Seen, ...], names: _Names) -> list[tuple[float, tuple[Rival, ...]]]:
    """For each event the share of its reading and its rivals."""
    own = [key * FUNCTIONS + _PLACE[FUNCTION_OF[role.letter]] for key, role in weighed.found.path]
    out: list[tuple[float, tuple[Rival, ...]]] = []
    for one, (mine, others) in zip(seen, told(weighed.shares, own, RIVALS_SHOWN, RIVAL_LEAST_SHARE), strict=True):
        rivals: list[Rival] = []
        rest = 1.0 - mine
        for place, share in others:
            key = names.plain(place // FUNCTIONS)
            rivals.append(Rival(key, numeral_of(one.event.symbol, key), _FUNCTIONS[place % FUNCTIONS], share))
            rest -= share
        if rest > 1e-12:
            rivals.append(Rival(None, None, "other", rest))
        out.append((mine, tuple(rivals)))
    return out


def _home(timeline: Timeline, weighed: Weighed, seen: tuple[Seen, ...], names: _Names) -> Home:
    plain = names.plain(weighed.home)
    written = [one.key for one in seen if one.key.tonic.pitch_class == plain.tonic.pitch_class]
    key = next((spelled for spelled in written if spelled.mode == plain.mode), plain)
    bars = sum(one.event.bars for one in seen if one.key == key)
    whole = sum(one.event.bars for one in seen)
    why: list[str] = []
    last, first = seen[-1], seen[0]
    if last.key == key:
        does = "ends at rest on" if last.role.letter == "T" else "ends by leading back home from"
        why.append(f"The tune {does} {last.event.symbol.text}.")
    if first.key == key:
        why.append(f"It starts in {key.name}.")
    why.append(f"{_capital(bars_word(bars))} of {bars_word(whole)} are in {key.name}.")
    if timeline.key is not None and timeline.key.tonic.pitch_class == key.tonic.pitch_class:
        if timeline.key.mode == key.mode:
            why.append("The printed signature agrees.")
    if weighed.blues:
        why.append("It is a blues: its tonic and its IV bear a minor seventh and are at rest.")
    return Home(key, weighed.confidence, tuple(why))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
