"""The words of `keyfarer tunes` on the command line; what they do is imported when it is asked for."""

from datetime import UTC, datetime
from typing import Any

import click

from trainer.commands.asked import OWN_TUNE, TUNE, TUNE_ID, Commands
from trainer.commands.examples import examples

_JSON = click.option("--json", "form", flag_value="json", help="One JSON object.")
_CSV = click.option("--csv", "form", flag_value="csv", help="Comma-separated values with a header.")


def _now() -> datetime:
    """This moment, with the player's offset from UTC."""
    return datetime.now(UTC).astimezone()


@click.group(
    cls=Commands,
    for_a_file="tunes add",
    invoke_without_command=True,
    epilog=examples(
        "keyfarer tunes", "keyfarer tunes add charts/", "keyfarer tunes show coal-barge",
        "keyfarer tunes --csv > tunes.csv",
    ),
)  # fmt: skip
@_JSON
@_CSV
@click.pass_context
def tunes(context: click.Context, form: Any) -> int:
    """List and keep tunes, yours and the exercise tunes.

    Your own tunes steer your practice: what they are made of comes first, and
    questions are taken from them.
    """
    if context.invoked_subcommand is not None:
        if form:
            raise click.UsageError(
                f"--{form} belongs behind the command: {context.invoked_subcommand} --{form}", context
            )
        return 0
    from trainer.commands.tunes_list import run_tunes

    return run_tunes(form or "text", _now())


@tunes.command(epilog=examples("keyfarer tunes add my-tune.chart", "keyfarer tunes add charts/ --replace"))
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=TUNE)
@click.option("--replace", is_flag=True, help="A chart takes the place of a kept one of its title.")
@click.option("--learn", is_flag=True, help="Mark them as tunes to learn, as `keyfarer tunes learn` does.")
def add(**asked: Any) -> int:
    """Keep charts of yours, copied into a folder of your own.

    FILE is a chart, a MusicXML or MIDI file, timed chords, a folder, or - for standard
    input. What is no chart text is made into it, and you are told what that leaves out.
    """
    from trainer.commands.options import TunesAddOptions
    from trainer.commands.tunes import run_tunes_add

    return run_tunes_add(TunesAddOptions(**asked))


@tunes.command(epilog=examples("keyfarer tunes show coal-barge", "keyfarer tunes show coal-barge --json"))
@click.argument("id", type=TUNE_ID, metavar="ID")
@_JSON
@_CSV
def show(id: str, form: Any) -> int:
    """Show what a tune is made of and what of it you hear.

    Cadence types and key moves with their bars, which you hear reliably, and what to
    learn next to hear the tune.
    """
    from trainer.commands.tunes_list import run_tunes_show

    return run_tunes_show(id, form or "text", _now())


@tunes.command(epilog=examples("keyfarer tunes learn the-courier-turns-back"))
@click.argument("ids", nargs=-1, required=True, type=TUNE_ID, metavar="ID...")
def learn(ids: tuple[str, ...]) -> int:
    """Mark tunes to learn.

    A tune's route of key centers becomes part of your practice once all that the tune
    is made of was met. What it is made of comes before what other tunes are made of.
    """
    from trainer.commands.tunes import run_tunes_mark

    return run_tunes_mark(ids, learning=True)


@tunes.command(epilog=examples("keyfarer tunes rest the-courier-turns-back"))
@click.argument("ids", nargs=-1, required=True, type=TUNE_ID, metavar="ID...")
def rest(ids: tuple[str, ...]) -> int:
    """Let tunes rest, their routes no longer planned."""
    from trainer.commands.tunes import run_tunes_mark

    return run_tunes_mark(ids, learning=False)


@tunes.command(epilog=examples("keyfarer tunes add my-tune.chart && keyfarer tunes remove two-lamps"))
@click.argument("ids", nargs=-1, required=True, type=OWN_TUNE, metavar="ID...")
def remove(ids: tuple[str, ...]) -> int:
    """Keep tunes no longer.

    Their charts are put aside in a folder that is named; what you have practised stays.
    """
    from trainer.commands.tunes import run_tunes_remove

    return run_tunes_remove(ids)
