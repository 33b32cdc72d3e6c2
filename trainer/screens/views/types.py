"""Each type: when it is due and why, the chance of hearing it, its rung, how it goes, how long it rests."""

from datetime import date

from trainer.memory.progress import UnitProgress, why_today
from trainer.practice.progress_words import due_when
from trainer.practice.words import due_word, name_of
from trainer.screens.views.view import WIDE, WIDER, Shown, View
from trainer.screens.widgets.sheet import Cell, Head, Table

BAR = 5
"""Signs that a chance is drawn with."""
HEARD, NOT_HEARD = "━", "─"
NONE = "–"
"""Where there is no value."""
LEGEND = (
    "Chance: of hearing it today on its rung of six. Right: of the newest answers. Answer: middle time from the "
    "sound's start. Rests: between reviews."
)


def met(shown: Shown) -> str:
    """How many were met and how many are due."""
    rows, day = shown.seen.rows, shown.seen.day
    due = sum(row.due_day is not None and row.due_day <= day for row in rows)
    return f"{len(rows)} {'type' if len(rows) == 1 else 'types'} met, {due} due today."


def units(shown: Shown) -> tuple[str, ...]:
    """What falls due first stands first."""
    return tuple(row.unit for row in shown.seen.rows)


def table(shown: Shown, width: int) -> Table:
    """A row a type."""
    wide, wider = width >= WIDE, width >= WIDER
    heads = [Head("type", gives=True), Head("due"), Head("chance", right=True), Head("rung", right=True)]
    heads += [Head("right", right=True), Head("answer", right=True), Head("rests", right=True)]
    heads += [Head("answers", right=True), Head("stands", style="$secondary")] * wide
    heads += [Head("why today", gives=True, style="$secondary")] * wider
    day = shown.seen.day
    return Table(tuple(heads), tuple(cells(row, day, wide, wider) for row in shown.seen.rows))


def cells(row: UnitProgress, day: date, wide: bool = False, wider: bool = False) -> tuple[Cell, ...]:
    """One type's row."""
    told: list[Cell] = [
        name_of(row.unit),
        NONE if row.due_day is None else due_word(row.due_day, day),
        f"{chance_bar(row.chance.p)} {row.chance.p:.0%}" if wide else f"{row.chance.p:.0%}",
        f"{row.rung}",
        NONE if row.accuracy is None else f"{row.accuracy:.0%}",
        NONE if row.median_answer_s is None else f"{row.median_answer_s:.1f} s",
        NONE if row.interval_days is None else f"{row.interval_days} d",
    ]
    told += [f"{row.trials}", row.status.value] * wide
    told += [(why_today(row, day) or "").removeprefix(f"{row.status.value}, ")] * wider
    return tuple(told)


def chance_bar(p: float) -> str:
    """A chance as a bar."""
    whole = round(BAR * min(1.0, max(0.0, p)))
    return HEARD * whole + NOT_HEARD * (BAR - whole)


def about(shown: Shown, at: int) -> str:
    """Where one type stands and why it comes today, with the bounds of its chance."""
    row, day = shown.seen.rows[at], shown.seen.day
    why = why_today(row, day)
    if why is None:
        heard_today = row.last_day is not None and row.last_day >= day
        why = f"{row.status.value}, {'heard today' if heard_today else 'not asked for today'}"
    elif not why.startswith(row.status.value):
        why = f"{row.status.value}, {why}"
    chance = row.chance
    told = f"{name_of(row.unit)}: {why}. Its chance is {chance.p:.0%}, from {chance.low:.0%} to {chance.high:.0%}"
    told = f"{told}, on rung {row.rung} of 6."
    due = "" if row.due_day is None else f" Due {due_when(row.due_day, day)}, {row.due_day.isoformat()}."
    answers = "1 answer" if row.trials == 1 else f"{row.trials} answers"
    return f"{told}{due} {answers} so far."


VIEW = View("types", met, LEGEND, table, about, units)
