"""Remarks and errors: one line each on standard error, so that data alone goes to standard output."""

import click

BAD_INPUT = 2
"""The exit code where a file was bad."""


def told_error(error: Exception) -> None:
    """Say what is wrong, each line of it with the program's name before it."""
    for line in str(error).splitlines() or [type(error).__name__]:
        click.echo(f"keyfarer: {line}", err=True)


def told_remark(text: str) -> None:
    """Say what is worth knowing but no fault."""
    click.echo(f"keyfarer: {text}", err=True)
