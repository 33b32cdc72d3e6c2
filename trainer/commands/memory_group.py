"""The words of `keyfarer memory` on the command line; what they do is imported when it is asked for."""

from datetime import UTC, datetime
from pathlib import Path

import click

from trainer.commands.asked import Commands
from trainer.commands.examples import examples


@click.group(
    cls=Commands,
    for_a_file="memory import",
    invoke_without_command=True,
    epilog=examples(
        "keyfarer memory check", "keyfarer memory backup memory-backup.db", "keyfarer memory export answers.jsonl",
    ),
)  # fmt: skip
@click.pass_context
def memory(context: click.Context) -> int:
    """Look after your memory: check, back up, merge.

    Every answer is kept as it was given; due days, chances and all else are computed from them.
    """
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
    return 0


_FILE = click.argument("file", type=click.Path(path_type=Path, allow_dash=True), metavar="FILE")
_YES = click.option("--yes", "sure", is_flag=True, help="Write over a file that is there without asking.")


@memory.command(epilog=examples("keyfarer memory check"))
def check() -> int:
    """Tell what is in it and whether it is sound.

    Exit 1 where it isn't.
    """
    from trainer.commands.memory import run_memory_check

    return run_memory_check(datetime.now(UTC))


@memory.command(epilog=examples("keyfarer memory rebuild"))
def rebuild() -> int:
    """Compute everything anew from the answers.

    Answers that were marked by other rules are marked again by those of this keyfarer.
    The answers themselves are never changed.
    """
    from trainer.commands.memory import run_rebuild

    return run_rebuild()


@memory.command(epilog=examples("keyfarer memory export answers.jsonl", "keyfarer memory export - | head -n 3"))
@_FILE
@_YES
def export(file: Path, sure: bool) -> int:
    """Write every answer into a file of JSON lines.

    - prints them. README tells what each line holds.
    """
    from trainer.commands.memory import run_export

    return run_export(file, sure)


@memory.command("import", epilog=examples("keyfarer memory import laptop.jsonl", "keyfarer memory import laptop.db"))
@click.argument("files", type=click.Path(path_type=Path, allow_dash=True), nargs=-1, required=True, metavar="FILE...")
def import_(files: tuple[Path, ...]) -> int:
    """Add the answers of another machine's memory.

    A file is what `export` wrote, a backup, or a memory itself. What is here already isn't
    counted twice, however often and in whatever order files are imported. Lines that can't
    be read are told; all others are taken.
    """
    from trainer.commands.memory import run_import

    return run_import(files)


@memory.command(epilog=examples("keyfarer memory backup memory-backup.db"))
@_FILE
@_YES
def backup(file: Path, sure: bool) -> int:
    """Copy it whole into one file, even in mid-session."""
    from trainer.commands.memory import run_backup

    return run_backup(file, sure)


@memory.command(epilog=examples("keyfarer memory restore backup-of-monday.db"))
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
def restore(file: Path) -> int:
    """Put a backup in the memory's place.

    It is checked first. The memory that was there is kept beside it, under a name that is
    told; what it has more can be imported from it.
    """
    from trainer.commands.memory import run_restore

    return run_restore(file)
