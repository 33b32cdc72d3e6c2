"""The words of `keyfarer keys` on the command line; what they do is imported when it is asked for."""

import click

from trainer.commands.examples import examples


@click.command(epilog=examples("keyfarer keys", "keyfarer keys again F10", "keyfarer keys again --usual"))
@click.argument("id", required=False, metavar="[ACTION]")
@click.argument("key", required=False, metavar="[KEY]")
@click.option("--usual", is_flag=True, help="Give the action its usual key back; without one, all of them.")
def keys(id: str | None, key: str | None, usual: bool) -> int:
    """List the keys of the terminal app, or choose others.

    A key is a sign or one such as F10, Space or PgDn, also behind Ctrl+.
    """
    from trainer.commands.keys import run_keys

    return run_keys(id, key, usual)
