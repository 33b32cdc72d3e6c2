"""One table of the progress as lines: columns with a head, in words where data have codes."""

from collections.abc import Mapping, Sequence

from trainer.commands.words import wrapped
from trainer.harmony.note_names import Naming, named
from trainer.practice.progress_words import after_sound

WORDS: Mapping[str, str] = {
    "taken_for": "taken for", "first_day": "met", "shown_day": "shown", "median_after_s": "answer",
    "heard_low": "from", "heard_high": "to", "share_by_chance": "by chance", "first_month": "first",
    "last_month": "last", "stands_out": "stands out", "cadences_known": "known", "median_answer_s": "answered",
}  # fmt: skip
"""Heads that read better than the column's name."""
PERCENT = frozenset(
    ("accuracy", "heard", "heard_low", "heard_high", "share", "share_by_chance", "chance", "share_known",
     "share_learned")
)  # fmt: skip
SHOWN: Mapping[str, tuple[str, ...]] = {
    "types": ("unit", "status", "heard", "heard_low", "heard_high", "due_day"),
    "keys": ("unit", "key", "answers", "heard", "heard_low", "heard_high", "median_after_s"),
    "voicings": ("unit", "voicing", "answers", "heard", "heard_low", "heard_high", "median_after_s"),
    "tempi": ("unit", "tempo", "answers", "heard", "heard_low", "heard_high", "median_after_s"),
    "drills": ("unit", "drill", "answers", "heard", "heard_low", "heard_high", "median_after_s"),
    "confusions": ("unit", "taken_for", "times", "share", "share_by_chance", "last_month"),
    "days": ("day", "minutes", "answers", "right", "helped", "heard"),
    "weeks": ("week", "answers", "right", "heard", "heard_low", "heard_high", "median_after_s"),
    "firsts": ("unit", "first_day", "rung_1", "rung_3", "rung_6", "shown_day"),
}
"""The columns that fit a terminal; the data have them all."""
LEGENDS: Mapping[str, str] = {
    "keys": "heard: above guessing, of the answers of late; from, to: where the truth lies nineteen times in twenty; "
    "answer: the middle time after the sound. The surest weakness stands first; few: fewer than six answers.",
    "confusions": "share: of its answers; by chance: what even spreading over the others would give.",
    "days": "minutes: from sound to answer, with pauses up to two minutes.",
    "firsts": "The first right answers without help on rungs 1, 3 and 6; shown: eight of the last ten on the top rung, "
    "in six keys, in every drill asked by then.",
}
LEGEND_OF = {"voicings": "keys", "tempi": "keys", "drills": "keys", "weeks": "keys"}
TUNES_ARE = "Learned: the type rests from one day to a later one, or is known by ear on the top rung."
ROWS_SHOWN = 60
"""So many rows are shown; the data have them all."""
LEAST = 12
"""Cells that a long column keeps at least."""


def told_table(
    what: str, rows: Sequence[Mapping[str, object]], columns: int, naming: Naming = "english"
) -> list[str]:
    """A table as lines; empty where it has no rows."""
    if not rows:
        return []
    if what == "tunes":
        return _tunes(rows, columns)
    names, left_out = SHOWN[what], max(0, len(rows) - ROWS_SHOWN)
    if left_out:  # days and weeks are in order of time, all else begins with what matters most
        rows = rows[left_out:] if what in ("days", "weeks") else rows[:ROWS_SHOWN]
    cells = [[WORDS.get(name, name.replace("_", " ")) for name in names]]
    cells += [[_cell(name, row, naming) for name in names] for row in rows]
    wide = [max(len(row[n]) for row in cells) for n in range(len(names))]
    over = sum(wide) + 2 * (len(wide) - 1) - columns
    while over > 0 and max(wide) > LEAST:
        longest = wide.index(max(wide))
        wide[longest] -= 1
        over -= 1
    lines = [
        "  ".join(_set(cell, w, name) for cell, w, name in zip(row, wide, names, strict=True)).rstrip() for row in cells
    ]
    legend = LEGENDS.get(LEGEND_OF.get(what, what))
    if left_out:
        lines.append(f"and {left_out} more, {'earlier' if what in ('days', 'weeks') else 'below'}: --csv has them all")
    return [*lines, "", *wrapped(legend, columns)] if legend else lines


def _tunes(rows: Sequence[Mapping[str, object]], columns: int) -> list[str]:
    """A tune with what is heard of it, and below what is still to be learned."""
    lines: list[str] = []
    for row in rows:
        shares = [f"{float(str(row[name])):.0%}" for name in ("share_known", "share_learned")]
        told = f"{row['tune']}: {row['cadences']} cadences, {shares[0]} known by ear, {shares[1]} learned"
        lines += wrapped(told, columns, "", "    ")
        missing = str(row["missing"]).split()
        lines += wrapped(
            f"to learn: {', '.join(missing)}" if missing else "nothing left to learn", columns, "  ", "    "
        )
    return [*lines, "", *wrapped(TUNES_ARE, columns)]


def _cell(name: str, row: Mapping[str, object], naming: Naming) -> str:
    value = row[name]
    if name in ("heard", "heard_low", "heard_high") and row.get("few"):
        return "few" if name == "heard" else "-"
    if value is None or value == "":
        return "-"
    if name == "median_after_s":
        return (
            after_sound(float(str(value))).replace(" after the sound", "").replace(" before the sound's end", " early")
        )
    if name in PERCENT:
        return f"{max(0.0, float(str(value))):.0%}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return named(str(value), naming) if name == "key" else str(value)


def _set(cell: str, wide: int, name: str) -> str:
    if len(cell) > wide:
        cell = cell[: wide - 1] + "…"
    words = name in ("unit", "key", "voicing", "tempo", "drill", "taken_for", "tune", "missing", "status")
    return cell.ljust(wide) if words else cell.rjust(wide)
