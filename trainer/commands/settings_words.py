"""The words of `keyfarer settings` on the command line; what they do is imported when it is asked for."""

from typing import TYPE_CHECKING, Any

import click

from trainer.commands.examples import examples

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    _Text = click.ParamType[str]
else:
    _Text = click.ParamType


class _Setting(_Text):
    """The name of a setting."""

    name = "setting"

    def convert(self, value: str, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The name as the file has it; what players call it is understood too."""
        from trainer.settings_told import TOLD

        wanted = " ".join(value.casefold().split())
        for row in TOLD.values():
            if wanted.replace("-", "_") == row.name or wanted == row.called.casefold():
                return row.name
        import difflib

        near = difflib.get_close_matches(wanted, TOLD, 3, 0.5)
        hint = f"did you mean {' or '.join(near)}?" if near else f"there are {', '.join(TOLD)}"
        return self.fail(f"there is no setting {value!r}; {hint}", param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """Names that begin so, with what players call them."""
        from click.shell_completion import CompletionItem

        from trainer.settings_told import TOLD

        return [CompletionItem(row.name, help=row.called) for row in TOLD.values() if row.name.startswith(incomplete)]


class _SettingValue(_Text):
    """What a setting shall be; the command reads it."""

    name = "value"

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> "list[CompletionItem]":
        """The words that the setting before it may be and that begin so; numbers are typed."""
        from click.shell_completion import CompletionItem

        from trainer.settings_told import TOLD, told_value

        row = TOLD.get(str(ctx.params.get("name")))
        if row is None:
            return []
        words = {told_value(row.name, stop): stop for stop in row.stops if isinstance(stop, bool | str) and stop != ""}
        meant = row.words
        return [
            CompletionItem(word, help=meant.get(stop, ""))
            for word, stop in words.items()
            if word.startswith(incomplete)
        ]


@click.command(
    context_settings={"ignore_unknown_options": True},  # a level is less than 0
    epilog=examples(
        "keyfarer settings", "keyfarer settings comping", "keyfarer settings minutes 15",
        "keyfarer settings plain yes", "keyfarer settings volume_db -30", "keyfarer settings comping --default",
        "keyfarer settings device", "keyfarer settings --json",
    ),
)  # fmt: skip
@click.argument("name", required=False, type=_Setting(), metavar="[NAME]")
@click.argument("value", required=False, type=_SettingValue(), metavar="[VALUE]")
@click.option("--default", "unset", is_flag=True, help="Set it back to what it usually is.")
@click.option("--json", "form", flag_value="json", help="One JSON object.")
def settings(name: str | None, value: str | None, unset: bool, form: Any) -> int:
    """List your settings, tell one, or set it.

    With NAME all about one: its value, its meaning, what it may be; of the sound device also
    which there are. With VALUE it is set to that; a value with spaces is quoted. In the
    trainer E does the same, and S what belongs to the sound.
    """
    from trainer.commands.set import run_settings

    return run_settings(name, value, unset, form or "text")
