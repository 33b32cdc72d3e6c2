"""`keyfarer types`: the cadence types that can be named after a command."""

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
