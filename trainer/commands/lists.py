"""`keyfarer types` and `keyfarer tunes`: what there is to be asked for by name."""

import textwrap

WIDTH = 80


def list_types(id: str | None) -> int:
    """Print the cadence types, or one of them in full."""
    from trainer.drills.kinds import kinds_for
    from trainer.harmony.cadence import CADENCES, find_cadence

    if id is None:
        for row in CADENCES:
            print(f"{row.id}: {row.name}")
        return 0
    row = find_cadence(id)
    print(f"{row.name} ({row.id}), in {row.mode}")
    print(f"  {' '.join(row.formula)}")
    for line in textwrap.wrap(row.about, WIDTH - 2):
        print(f"  {line}")
    for variant in row.variants:
        print(f"  also: {' '.join(variant)}")
    if row.degrees:
        print(f"  toward: {', '.join(row.degrees)}")
    if row.taken_for:
        print(f"  often taken for: {', '.join(find_cadence(other).name for other in row.taken_for)}")
    if row.after:
        print(f"  builds on: {', '.join(find_cadence(other).name for other in row.after)}")
    print(f"  drills: {', '.join(kinds_for(row.id))}")
    return 0


def list_tunes() -> int:
    """Print the exercise tunes and what they train."""
    from trainer.charts.library import exercise_tunes, load

    for tune, _ in exercise_tunes():
        chart = load(tune)
        for line in textwrap.wrap(f"{tune}: {chart.title}. Trains: {chart.trains}", WIDTH, subsequent_indent="  "):
            print(line)
    return 0
