"""The words of `keyfarer exercise` on the command line; what they do is imported when it is asked for."""

from pathlib import Path
from typing import Any

import click

from trainer.commands.asked import Commands
from trainer.commands.examples import examples

_FILE = click.argument("file", type=click.Path(dir_okay=False), metavar="FILE")
_NAME = click.option("--name", default="", metavar="NAME", help="Your name in the results; asked for if not given.")


@click.group(
    cls=Commands,
    for_a_file="exercise open",
    invoke_without_command=True,
    epilog=examples(
        'keyfarer drill --to week --count 5 --seed 3 --title "Week three"',
        "keyfarer exercise open week/week-three.exercise --results ada.csv --name Ada",
        "keyfarer exercise gather ada.csv",
    ),
)
@click.pass_context
def exercise(context: click.Context) -> int:
    """Answer what a teacher chose; gather students' results."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
    return 0


@exercise.command(
    name="open",
    epilog=examples(
        "keyfarer drill --to week --count 5 --seed 3", "keyfarer exercise open week/questions.exercise",
        "keyfarer exercise open week/questions.exercise --results ada.csv --name Ada",
    ),
)  # fmt: skip
@_FILE
@click.option("--results", type=click.Path(path_type=Path), metavar="PATH",
              help="Write your results to this file (CSV), anew after each answer.")  # fmt: skip
@_NAME
@click.option("--plain", is_flag=True, help="Lines of text, for screen readers, braille and pipes.")
@click.option("--again", is_flag=True, help="Begin anew, whatever you answered before.")
@click.option("--yes", is_flag=True, help="Write over another file of that name.")
def open_(**asked: Any) -> int:
    """Be asked just what a teacher chose, in order.

    Stop whenever you like: opened again, it goes on with the next question. Your answers
    count in your own memory too.
    """
    from trainer.commands.exercise import run_exercise_open
    from trainer.commands.options import ExerciseOptions

    return run_exercise_open(ExerciseOptions(**asked))


@exercise.command(
    epilog=examples(
        "keyfarer drill --to week --count 5 --seed 3",
        "printf 'skip\\n' | keyfarer exercise open week/questions.exercise",
        "keyfarer exercise results week/questions.exercise --name Ada --to ada.csv",
    )
)
@_FILE
@click.option("--to", "results", type=click.Path(path_type=Path), metavar="PATH", help="Write to this file instead.")
@_NAME
@click.option("--yes", is_flag=True, help="Write over another file of that name.")
def results(**asked: Any) -> int:
    """Print what you answered, as CSV for your teacher.

    A row a question, from your own memory: it can be written at any time. A cell that a
    spreadsheet might take for a formula has an apostrophe before it.
    """
    from trainer.commands.exercise import run_exercise_results
    from trainer.commands.options import ExerciseOptions

    return run_exercise_results(ExerciseOptions(name_needed=True, **asked))


@exercise.command(
    epilog=examples(
        "keyfarer drill --to week --count 5 --seed 3",
        "keyfarer exercise open week/questions.exercise --results ada.csv --name Ada",
        "keyfarer exercise gather ada.csv", "keyfarer exercise gather ada.csv --csv > all.csv",
    )
)  # fmt: skip
@click.argument("files", nargs=-1, required=True, type=click.Path(dir_okay=False), metavar="FILE...")
@click.option("--json", "form", flag_value="json", help="One JSON object.")
@click.option("--csv", "form", flag_value="csv", help="Comma-separated values with a header, a row a thing counted.")
def gather(files: tuple[str, ...], form: Any) -> int:
    """Put students' results together: by student, question, type.

    Faults are told with file and line; files without one still count.
    """
    from trainer.commands.gather import run_gather
    from trainer.commands.options import GatherOptions

    return run_gather(GatherOptions(files, form or "text"))
