"""All about one type in words: where it stands and why, by key, voicing, tempo and drill, confusions, its history."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from trainer.commands.told_progress import after_sound, due_in, how_often
from trainer.commands.words import counted, table, wrapped
from trainer.drills.units import unit_name
from trainer.harmony.cadence import CADENCE
from trainer.harmony.note_names import Naming, named
from trainer.memory.progress import UnitProgress, progress, why_today
from trainer.memory.progress_tables import RUNGS, confused
from trainer.memory.seen import Faceted, Firsts, beside, faceted, firsts, weeks
from trainer.memory.share import FEW
from trainer.memory.unit import tonic_place

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store

FIFTHS = ("C", "F", "Bb", "Eb", "Ab", "Db", "F#", "B", "E", "A", "D", "G")
"""The twelve tonics down the circle of fifths."""
WEEKS_SHOWN = 8
PAIRS_SHOWN = 8
TELLING = 0.05
"""From so much more or less than usual on it is told."""
HEARD_IS = (
    "Heard: above guessing, of the answers of late, and where the truth lies nineteen times in twenty. After, early: "
    "the middle answer, from the sound's end. Better or worse: hundredths of credit more or less than this type "
    "earns elsewhere on the same rungs in the same drills."
)


def told_unit(store: "Store", unit: str, day: date, columns: int, naming: Naming = "english") -> list[str]:
    """One type's progress as lines, from a store that was refreshed; a type never asked says so."""
    row = next((row for row in progress(store, day) if row.unit == unit), None)
    name = unit_name(unit)
    lines = wrapped(name if name == unit else f"{name} ({unit})", columns)
    if row is None:
        return [
            *lines,
            *wrapped("Not yet met: nothing is known of it. It comes when what it builds on is sure.", columns),
        ]
    lines += [f"Practice day {day.isoformat()}", "", *_standing(row, _first_days(store, unit), day, columns)]
    for head, facet, called, order in (
        ("By key", "key", lambda value: named(value, naming), FIFTHS),
        ("By voicing", "voicing", str, ()),
        ("By tempo, quarters a minute", "tempo", lambda value: value or "no tempo", ()),
        ("By kind of drill", "kind", str, ()),
    ):
        lines += ["", *_by(store, unit, head, facet, called, order, columns)]
    lines += ["", *wrapped(HEARD_IS, columns)]
    if told := _confusions(store, unit, day, columns):
        lines += ["", "Confusions", *told]
    return [*lines, "", *_weeks(store, unit, columns)]


def _first_days(store: "Store", unit: str) -> Firsts:
    return next((one for one in firsts(store) if one.unit == unit), Firsts(unit, {}, None))


def _standing(row: UnitProgress, first: Firsts, day: date, columns: int) -> list[str]:
    """Status, due day and why, chance, answers, firsts: a line each."""
    told = [("stands", row.status.value)]
    if row.due_day is not None and row.interval_days is not None:
        told.append(
            ("due", f"{row.due_day.isoformat()}, {_due(row.due_day, day)}; rests {counted(row.interval_days, 'day')}")
        )
    told.append(("today", why_today(row, day) or "not asked for"))
    chance = row.chance
    told.append(
        (
            "chance",
            f"{chance.p:.0%} of hearing it today on rung {row.rung} of 6, from {chance.low:.0%} to {chance.high:.0%}",
        )
    )
    told.append(("answers", f"{row.trials} in all"))
    if row.share is not None and row.accuracy is not None and row.median_after_s is not None:
        newest = (
            f"the newest: {row.accuracy:.0%} right with part credit, {_share(row.share.heard)} heard above guessing"
        )
        told.append(("", f"{newest} ({_share(row.share.low)} to {_share(row.share.high)})"))
        told.append(("", f"the middle one comes {after_sound(row.median_after_s)}"))
    if row.first_day is not None:
        told.append(("met", row.first_day.isoformat()))
    for rung in RUNGS:
        if when := first.rungs.get(rung):
            told.append((f"rung {rung}", f"first right without help on {when.isoformat()}"))
    if first.shown is not None:
        told.append(
            ("reliable", f"first on {first.shown.isoformat()}: eight of ten right on the top rung, in six keys")
        )
    return table(told, columns, "  ")


def _due(due: date, day: date) -> str:
    told = due_in(due, day)
    return "today" if told == "today" else told.replace(" d", " days" if abs((due - day).days) != 1 else " day")


def _by(
    store: "Store", unit: str, head: str, facet: str, named: Callable[[str], str], order: Sequence[str], columns: int
) -> list[str]:
    """A line for each value of a facet, in the order given, else in its own."""
    place = tonic_place if facet == "key" else str
    found = {place(row.value): row for row in faceted(store, unit, facet)}
    usual = {} if facet == "kind" else beside(store, unit, facet)
    since = next(iter(found.values())).since if found else ""
    ordered = [place(value) for value in order] or sorted(found, key=_tempo_first)
    shown = dict(zip(ordered, order, strict=True)) if order else {}
    lines: list[tuple[str, ...]] = []
    for value in ordered:
        row = found.get(value)
        label = named(row.value if row is not None else shown.get(value, value))
        lines.append((label, *(("not asked of late",) if row is None else _cells(row, usual.get(value)))))
    year, quarter = since.split("-") if since else ("", "1")
    return [f"{head}, since {year}-{3 * int(quarter) - 2:02}", *_laid_out(lines, columns)]


def _laid_out(rows: Sequence[Sequence[str]], columns: int) -> list[str]:
    """Rows under each other; where a line would be too wide, each by itself and wrapped."""
    wide = [max((len(cells[n]) for cells in rows if n < len(cells) - 1), default=0) for n in range(max(map(len, rows)))]
    lines = ["  " + "  ".join(cell.ljust(w) for cell, w in zip(cells, wide, strict=False)).rstrip() for cells in rows]
    if max(map(len, lines)) <= columns:
        return lines
    return [line for cells in rows for line in wrapped(", ".join(filter(None, cells)), columns, "  ", "    ")]


def _tempo_first(value: str) -> tuple[int, str]:
    """Bands of tempi by their number, all else by name."""
    low = value.split("-", 1)[0]
    return (int(low), "") if low.isdigit() else (0, value)


def _cells(row: Faceted, usual: float | None) -> tuple[str, ...]:
    went = row.counted
    answers = counted(went.answers, "answer")
    if went.answers < FEW:
        return answers, "too few to tell"
    share = went.share
    beside = ""
    if usual is not None and abs(usual) >= TELLING:
        beside = f"{abs(usual) * 100:.0f} {'better' if usual > 0 else 'worse'}"
    after = "" if went.after_s is None else f"{abs(went.after_s):.1f} s {'after' if went.after_s >= 0 else 'early'}"
    return answers, f"heard {_share(share.heard)}", f"({_share(share.low)} to {_share(share.high)})", after, beside


def _share(value: float) -> str:
    return f"{max(0.0, value):.0%}"


def _confusions(store: "Store", unit: str, day: date, columns: int) -> list[str]:
    """What the type is, then each pair with how often, and how the two differ."""
    pairs = confused(store, day, unit)
    if not pairs:
        return []
    lines = [line for told in what_it_is(unit) for line in wrapped(told, columns, "  ", "    ")]
    told_of: set[str] = set()
    for one in pairs[:PAIRS_SHOWN]:
        other = one.pair.taken_for if one.pair.unit == unit else one.pair.unit
        told = f"taken for {other}" if one.pair.unit == unit else f"{other} was taken for it"
        lines += wrapped(f"{told}, {how_often(one)}, {one.by_chance:.0%} by chance", columns, "  ", "    ")
        if other not in told_of:
            lines += [line for told in differences(unit, other) for line in wrapped(told, columns, "    ", "      ")]
        told_of.add(other)
    if len(pairs) > PAIRS_SHOWN:
        lines += wrapped(f"and {len(pairs) - PAIRS_SHOWN} more: --what confusions has them all", columns, "  ")
    return lines


def what_it_is(unit: str) -> list[str]:
    """A cadence type's chords and what is heard in them; nothing of what is none."""
    row = CADENCE.get(unit)
    return [] if row is None else [f"{row.id}: {' '.join(row.formula)}. {row.about}"]


def differences(unit: str, other: str) -> list[str]:
    """What another cadence type is and how it differs from this one; nothing where either is none."""
    first, second = CADENCE.get(unit), CADENCE.get(other)
    if first is None or second is None:
        return []
    told = what_it_is(other)
    if len(first.formula) != len(second.formula):
        return [*told, f"They differ in length: {len(first.formula)} chords here, {len(second.formula)} there."]
    apart = [
        f"chord {place}: {one} here, {two} there"
        for place, (one, two) in enumerate(zip(first.formula, second.formula, strict=True), 1)
        if one != two
    ]
    if first.mode != second.mode:
        apart.append(f"{first.mode} here, {second.mode} there")
    return [*told, f"Listen to {'; '.join(apart)}."] if apart else told


def _weeks(store: "Store", unit: str, columns: int) -> list[str]:
    lines = ["Lately, week by week"]
    for week in reversed(weeks(store, unit)[-WEEKS_SHOWN:]):
        went = week.counted
        told = f"week of {week.monday.isoformat()}: {counted(went.answers, 'answer')}, "
        told += "too few to tell" if went.answers < FEW else f"heard {_share(went.above_guessing)}"
        if went.after_s is not None:
            told += f", {after_sound(went.after_s)}"
        lines += wrapped(told, columns, "  ", "    ")
    return lines
