"""Interruptions as found by the search, told with what they delay: shape, preparation, resumption."""

from fractions import Fraction

from trainer.charts.timeline import Place, Timeline
from trainer.reading.reasons import Seen, interruption_reasons
from trainer.reading.search import Foreign
from trainer.reading.values import Interruption, InterruptionShape


def interruptions_of(
    timeline: Timeline, seen: tuple[Seen, ...], found: tuple[tuple[Foreign, int], ...]
) -> tuple[Interruption, ...]:
    """Spell out each interruption of the path; chords are counted as spans."""
    return tuple(_told(timeline, seen, edge) for edge, _ in found)


def _told(timeline: Timeline, seen: tuple[Seen, ...], edge: Foreign) -> Interruption:
    first, last = edge.first, edge.last
    awaited = seen[first - 1].key
    prepared = [first - 1]
    if seen[first - 1].role.letter in "DR":
        while _holds(seen, prepared[0] - 1, prepared[0]):
            prepared.insert(0, prepared[0] - 1)
        two = prepared[0] - 1
        if two >= 0 and seen[two].key == awaited and _is_two(seen[two]):
            prepared.insert(0, two)
    resumed = [last + 1]
    while resumed[-1] + 1 < len(seen) and seen[resumed[-1]].role.letter != "T":
        resumed.append(resumed[-1] + 1)
    shape = _shape(seen, prepared, resumed)
    inner = tuple(range(first, last + 1))
    start = timeline.spans[seen[first].event.spans[0]].place
    end_span = seen[last].event.spans[-1] + 1
    until = (
        timeline.spans[end_span].place
        if end_span < len(timeline.spans)
        else Place(timeline.bars[-1].number + 1, Fraction(1))
    )
    why = interruption_reasons(
        _texts(seen, prepared), _texts(seen, inner), _texts(seen, resumed),
        awaited, seen[first].key, start, seen[last + 1].first.place,
    )  # fmt: skip
    return Interruption(
        shape, awaited, seen[first].key, start, until,
        _spans(seen, inner), _spans(seen, prepared), _spans(seen, resumed), why,
    )  # fmt: skip


def _is_two(one: Seen) -> bool:
    return one.role.letter in "Pr" and one.role.degree == 2


def _holds(seen: tuple[Seen, ...], n: int, after: int) -> bool:
    """Whether an event is the same dominant as the one after it, held back or recolored."""
    if n < 0 or seen[n].key != seen[after].key or seen[n].role.letter not in "DR":
        return False
    return seen[n].event.root == seen[after].event.root


def _shape(seen: tuple[Seen, ...], prepared: list[int], resumed: list[int]) -> InterruptionShape:
    again = seen[resumed[0]].role.letter == "r"
    if seen[prepared[0]].role.letter not in "DR" and seen[prepared[-1]].role.letter in "DR":
        return "after-two-five-and-again" if again else "after-two-five"
    if seen[prepared[0]].role.letter in "DR":
        return "after-five"
    return "after-two-and-again" if again else "after-two"


def _texts(seen: tuple[Seen, ...], places: list[int] | tuple[int, ...]) -> tuple[str, ...]:
    return tuple(seen[n].event.symbol.text for n in places)


def _spans(seen: tuple[Seen, ...], places: list[int] | tuple[int, ...]) -> tuple[int, ...]:
    return tuple(index for n in places for index in seen[n].event.spans)
