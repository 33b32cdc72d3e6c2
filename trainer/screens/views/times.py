"""When the middle answer of each type comes: bars from the end of the sound, to the left where it comes before.

    plagal           2.1 s       │━━━━
    backdoor         1.5 s early │
                             ━━━━│
"""

from statistics import median

from trainer.memory.progress import UnitProgress
from trainer.memory.share import FEW
from trainer.practice.progress_words import after_sound
from trainer.practice.words import name_of
from trainer.screens.views.view import Shown, View
from trainer.screens.widgets.sheet import GAP, Head, Table, sizes

BAR, END, GOES_ON = "━", "│", "»"
"""A piece of a bar, the end of the sound, and a bar that is longer than there is room."""
LEAST_S = 4.0
"""A scale holds so much at least."""
MOST_OF_MIDDLE = 3.0
"""A scale ends at so many times the middle of all types, so that one slow type leaves the others to be read."""
LEAST_ROOM = 12
"""Cells of the longest bar at least."""
LEGEND = f"The middle one of the newest answers, counted from the sound's end ({END}). Early: before it ended."


def timed(shown: Shown) -> tuple[UnitProgress, ...]:
    """The types that have a time, the slowest first."""
    rows = [row for row in shown.seen.rows if row.median_after_s is not None]
    return tuple(sorted(rows, key=lambda row: (-(row.median_after_s or 0.0), row.unit)))


def units(shown: Shown) -> tuple[str, ...]:
    """The slowest first."""
    return tuple(row.unit for row in timed(shown))


def sum_of(shown: Shown) -> str:
    """The middle of all types."""
    rows = timed(shown)
    if not rows:
        return "So far no answer has a time."
    return f"Over all types the middle answer comes {after_sound(median(row.median_after_s or 0.0 for row in rows))}."


def table(shown: Shown, width: int) -> Table:
    """A row a type with its bar."""
    rows = timed(shown)
    after = [row.median_after_s or 0.0 for row in rows]
    words = Table(
        (Head("type", gives=True, most=44), Head("comes", right=True), Head("answers", right=True)),
        tuple((name_of(row.unit), time_word(s), f"{row.trials}") for row, s in zip(rows, after, strict=True)),
    )
    room = max(LEAST_ROOM, width - sum(sizes(words, width * 2 // 3)) - 3 * GAP)
    bars = bars_of(after, room)
    named = words.heads[0].word
    head = Head(named, gives=True, most=sizes(words, width * 2 // 3)[0])
    heads = (head, *words.heads[1:], Head(scale_word(after, room), style="$primary", most=room))
    return Table(heads, tuple((*row, bar) for row, bar in zip(words.rows, bars, strict=True)))


def time_word(after_s: float) -> str:
    """A time as it stands in the table."""
    return f"{abs(after_s):.1f} s{' early' if after_s < 0 else ''}"


def scale_of(after: list[float], room: int) -> tuple[int, float]:
    """Cells before the sound's end, and seconds of one cell."""
    early = max([0.0, *(-s for s in after)])
    late = max([0.0, *after])
    if after:
        late = min(late, MOST_OF_MIDDLE * max(LEAST_S, median(map(abs, after))))
        early = min(early, MOST_OF_MIDDLE * max(LEAST_S, median(map(abs, after))))
    a_cell = max(early + late, LEAST_S) / max(1, room - 2)
    return round(early / a_cell), a_cell


def bars_of(after: list[float], room: int) -> list[str]:
    """A bar for each time."""
    before, a_cell = scale_of(after, room)
    longest = room - before - 1
    bars = []
    for s in after:
        cells = round(abs(s) / a_cell)
        if s < 0:
            bar = BAR * cells if cells <= before else f"{GOES_ON}{BAR * (before - 1)}"
            bars.append(f"{bar.rjust(before)}{END}")
        else:
            bar = BAR * cells if cells <= longest else f"{BAR * (longest - 1)}{GOES_ON}"
            bars.append(f"{' ' * before}{END}{bar}")
    return bars


def scale_word(after: list[float], room: int) -> str:
    """What stands above the bars: the end of the sound, and a round number of seconds further on."""
    before, a_cell = scale_of(after, room)
    far = (room - before - 2) * a_cell
    mark_s = next((s for s in (60, 30, 20, 10, 5, 2, 1) if s <= far), 1)
    mark = f"{mark_s} s"
    start = f"{' ' * before}0"
    return f"{start:<{before + round(mark_s / a_cell) - len(mark) + 1}}{mark}"[:room]


def about(shown: Shown, at: int) -> str:
    """When one type's middle answer comes, from both ends of the sound."""
    row = timed(shown)[at]
    told = f"{name_of(row.unit)}: the middle answer comes {after_sound(row.median_after_s or 0.0)}"
    if row.median_answer_s is not None:
        told += f", {row.median_answer_s:.1f} s from its start"
    if row.accuracy is None or row.trials < FEW:
        return f"{told}."
    return f"{told}. {row.accuracy:.0%} of the newest answers are right."


VIEW = View("times", sum_of, LEGEND, table, about, units)
