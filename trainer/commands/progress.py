"""`keyfarer progress`: how far each cadence type is. Imports neither numpy nor the scheduler's library."""

from datetime import date

from trainer import places, settings
from trainer.memory.progress import UnitProgress, progress, progress_csv, progress_json
from trainer.memory.schedule import Settings as MemorySettings
from trainer.memory.store import Store, open_store
from trainer.memory.unit import Status
from trainer.practice.clock import SystemClock, today
from trainer.practice.words import due_word


def run_progress(form: str) -> int:
    """Show progress as text, json or csv; returns the exit code. Raises KeyfarerError."""
    chosen = settings.load(places.settings_file())
    day = today(SystemClock(), chosen.day_ends_hour)
    place = places.memory_file()
    if not place.exists():
        rows: tuple[UnitProgress, ...] = ()
        lines = ["Nothing has been practised yet.", "Begin with: keyfarer drill"]
    else:
        remembers = MemorySettings(day_ends_hour=chosen.day_ends_hour, retention=chosen.wanted_recall)
        with open_store(place, remembers) as store:
            store.refresh()
            rows = progress(store, day)
            lines = progress_lines(rows, store, day)
    if form == "json":
        print(progress_json(rows, day))
    elif form == "csv":
        print(progress_csv(rows), end="")
    else:
        print("\n".join(lines))
    return 0


def progress_lines(rows: tuple[UnitProgress, ...], store: Store, day: date) -> list[str]:
    """The rows as a player reads them: what is due, then every type, then what is taken for what."""
    from trainer.harmony.cadence import CADENCE

    met = [row for row in rows if row.status != Status.NEW]
    if not met:
        return ["Nothing has been practised yet.", "Begin with: keyfarer drill"]
    names = {row.unit: CADENCE[row.unit].name if row.unit in CADENCE else row.unit for row in rows}
    due = [row for row in met if row.due_day is not None and row.due_day <= day]
    known = sum(row.status == Status.KNOWN for row in met)
    lines = [f"{len(met)} types met, {known} known by ear, {len(due)} due today."]
    for row in met:
        lines.append("")
        lines.append(f"{names[row.unit]} ({row.unit})")
        when = "" if row.due_day is None else f", due {due_word(row.due_day, day)}"
        every = "" if row.interval_days is None else f" (interval {_days(row.interval_days)})"
        lines.append(f"  {row.status}{when}{every}")
        chance = f"{row.chance.p:.0%} on rung {row.rung}, {row.chance_on_top:.0%} on the top rung"
        lines.append(f"  your chance of hearing it: {chance}")
        if row.accuracy is not None and row.median_answer_s is not None:
            lines.append(
                f"  {row.accuracy:.0%} heard lately, {row.trials} answers, usually after {row.median_answer_s:.1f} s"
            )
    confused = [(unit, other, times) for unit, other, times in store.confusions() if times > 1]
    if confused:
        lines += ["", "Taken for something else"]
        for unit, other, times in confused[:10]:
            lines.append(f"  {names.get(unit, unit)} for {names.get(other, other)}, {times} times")
    return lines


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
