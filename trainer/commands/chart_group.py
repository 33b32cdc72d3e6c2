"""The words of `keyfarer chart` on the command line; what they do is imported when it is asked for."""

from pathlib import Path
from typing import Any

import click

from trainer.commands.asked import KEY, NUMERALS, STEPS, TUNE, Commands
from trainer.commands.examples import examples


@click.group(
    cls=Commands,
    for_a_file="chart check",
    invoke_without_command=True,
    epilog=examples(
        "keyfarer chart check charts/", "keyfarer chart tidy my-tune.chart",
        "keyfarer chart transpose my-tune.chart --key Eb",
    ),
)  # fmt: skip
@click.pass_context
def chart(context: click.Context) -> int:
    """Look after chart files: check, tidy, transpose, convert."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
    return 0


@chart.command(epilog=examples("keyfarer chart check my-tune.chart", "keyfarer chart check charts/"))
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=TUNE)
def check(files: tuple[str, ...]) -> int:
    """Tell every fault of charts; exit 2 where there is one."""
    from trainer.commands.chart import run_chart_check

    return run_chart_check(files)


_TO = click.option("--to", type=click.Path(path_type=Path), metavar="PATH", help="Write to this file instead.")
_YES = click.option("--yes", "sure", is_flag=True, help="Write over a file that is there without asking.")


@chart.command(
    epilog=examples("keyfarer chart tidy my-tune.chart", "keyfarer chart tidy my-tune.chart --write --yes")
)  # fmt: skip
@click.argument("file", type=TUNE)
@_TO
@click.option("--write", is_flag=True, help="Write it back into its own file; asks first.")
@click.option("--own-spelling", is_flag=True, help="Leave the chords spelled as they are (C-7, not Cm7).")
@_YES
def tidy(file: str, to: Path | None, write: bool, own_spelling: bool, sure: bool) -> int:
    """Write a chart anew: bars under one another, one spelling.

    Comments, pins and everything else in it stay. It is printed unless told otherwise.
    """
    from trainer.commands.chart import run_chart_tidy

    return run_chart_tidy(file, to, write, own_spelling, sure)


@chart.command(
    epilog=examples(
        "keyfarer chart transpose my-tune.chart --by m3",
        "keyfarer chart transpose coal-barge --key D --to coal-in-d.chart",
        "keyfarer chart transpose - --by -2 < my-tune.chart",
    )
)  # fmt: skip
@click.argument("file", type=TUNE)
@click.option("--by", type=STEPS, metavar="STEPS",
              help='An interval up (m3, "minor third") or down (-M2, "down a fifth"), or half steps: -2.')  # fmt: skip
@click.option("--key", type=KEY, metavar="KEY",
              help="The key that the tune's home becomes, such as Eb; a relative moves the printed key.")  # fmt: skip
@_TO
@_YES
def transpose(file: str, by: str | None, key: str | None, to: Path | None, sure: bool) -> int:
    """Write a chart in another key, spelled as players read it there.

    It is printed unless told otherwise. Pins move with it; chords named in comments stay.
    """
    from trainer.commands.chart import run_chart_transpose

    return run_chart_transpose(file, by, key, to, sure)


@chart.command(
    epilog=examples(
        "keyfarer chart convert my-tune.chart --to my-tune.musicxml", "keyfarer chart convert coal-barge --to coal.lab",
        "keyfarer chart convert coal-barge --to .musicxml > coal.musicxml",
    )
)  # fmt: skip
@click.argument("file", type=TUNE)
@click.option("--to", type=click.Path(path_type=Path), required=True, metavar="PATH",
              help="A .chart, .musicxml, .mxl, .mid or .lab (timed chords) file; an ending alone prints.")  # fmt: skip
@click.option("--bare", is_flag=True, help="Chord symbols alone, no key centers and functions as words.")
@click.option("--numerals", type=NUMERALS, metavar="WAY", help="roman (ii7), upper (IIm7) or arabic (2-7).")
@_YES
def convert(file: str, to: Path, bare: bool, numerals: Any, sure: bool) -> int:
    """Write a chart as another kind of file.

    MusicXML bears the reading as words, key centers above and functions below;
    MIDI has block chords with the same as markers and lyrics.
    """
    from trainer.commands.chart_convert import run_chart_convert

    return run_chart_convert(file, to, bare, numerals, sure)
