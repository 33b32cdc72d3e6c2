"""`keyfarer completion`: the shell's script, made by click, with a word on how to install it."""

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from click import Command

PROGRAM = "keyfarer"
VARIABLE = "_KEYFARER_COMPLETE"
"""The environment variable by which the script asks the program for words."""

INSTALL: dict[str, tuple[str, ...]] = {
    "bash": (
        "To have it in every new shell:",
        "  mkdir -p ~/.local/share/bash-completion/completions",
        "  keyfarer completion bash > ~/.local/share/bash-completion/completions/keyfarer",
        'In this shell only: eval "$(keyfarer completion bash)"',
    ),
    "zsh": (
        "To have it in every new shell, put it into a folder of your fpath, before compinit runs:",
        "  mkdir -p ~/.zfunc && keyfarer completion zsh > ~/.zfunc/_keyfarer",
        "  and in ~/.zshrc: fpath+=(~/.zfunc); autoload -Uz compinit; compinit",
        'In this shell only: eval "$(keyfarer completion zsh)"',
    ),
    "fish": (
        "To have it in every new shell:",
        "  keyfarer completion fish > ~/.config/fish/completions/keyfarer.fish",
        "In this shell only: keyfarer completion fish | source",
    ),
}
"""For each shell, how its script is installed."""


def run_completion(shell: str, command: "Command") -> int:
    """Print the script; the words on installing it are comments at its end."""
    from click.shell_completion import get_completion_class

    made_by = get_completion_class(shell)
    if made_by is None:  # pragma: no cover - click knows all three
        raise click.UsageError(f"there is no completion for {shell}")
    maker = made_by(command, {}, PROGRAM, VARIABLE)
    # The bash script is asked for as it stands: `source` would start bash to look at its version.
    click.echo((maker.source_template % maker.source_vars()).rstrip())
    click.echo("")
    for line in INSTALL[shell]:
        click.echo(f"# {line}")
    return 0
