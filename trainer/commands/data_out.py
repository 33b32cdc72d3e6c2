"""Data on standard output: exact, in UTF-8, wherever it goes; a terminal gets what it can show."""

import sys

import click


def ascii_only() -> bool:
    """Whether JSON is to escape all letters beside ASCII, for the output wouldn't take them as they are."""
    return (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"


def put_data(text: str) -> None:
    """Write rows of values with the line ends that they have."""
    if sys.stdout.isatty():
        click.echo(text, nl=False)
    else:
        click.echo(text.encode("utf-8", "backslashreplace"), nl=False)
