"""`keyfarer types` and `keyfarer tunes`: what there is to name after a command."""

import click

from trainer.commands.words import table, width, wrapped


def run_types() -> int:
    """List the cadence types: id, name, formula, and a sentence about each."""
    from trainer.harmony.cadence import CADENCES

    columns = width()
    for cadence in CADENCES:
        click.echo(cadence.id)
        for line in wrapped(f"{cadence.name}: {' '.join(cadence.formula)}", columns, "  "):
            click.echo(line)
        for line in wrapped(cadence.about, columns, "  "):
            click.echo(line)
    return 0


def run_type(id: str) -> int:
    """Tell all about one cadence type."""
    from trainer.drills.kinds import kinds_for
    from trainer.harmony.cadence import CADENCE

    row, columns = CADENCE[id], width()
    told = [("in", row.mode), ("chords", " ".join(row.formula))]
    told += [("or", " ".join(variant)) for variant in row.variants]
    if row.degrees:
        told.append(("toward", ", ".join(row.degrees)))
    told += [("taken for", f"{CADENCE[other].name} ({other})") for other in row.taken_for]
    told += [("builds on", f"{CADENCE[other].name} ({other})") for other in row.after]
    told.append(("drills", ", ".join(kinds_for(row.id))))
    for line in (
        *wrapped(f"{row.name} ({row.id})", columns),
        *wrapped(row.about, columns),
        *table(told, columns, "  "),
    ):
        click.echo(line)
    return 0


def run_tunes() -> int:
    """List the exercise tunes: name, title, key and what each trains."""
    from trainer.charts.library import exercise_tunes, load

    columns = width()
    for name, _ in exercise_tunes():
        chart = load(name)
        key = "no key given" if chart.key is None else chart.key.name
        click.echo(name)
        tempo = "" if chart.tempo is None else f", at {float(chart.tempo):g}"
        for line in wrapped(f"{chart.title}: {key}, {chart.meter}{tempo}", columns, "  "):
            click.echo(line)
        for line in wrapped(f"trains {chart.trains}" if chart.trains else "", columns, "  "):
            click.echo(line)
    return 0
