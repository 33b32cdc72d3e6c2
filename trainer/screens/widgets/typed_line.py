"""How a line looks that is typed on, wherever it stands."""

from textual.widgets import Input


class TypedLine(Input):
    """The line."""

    DEFAULT_CSS = """
    TypedLine, TypedLine:focus {
        height: 1; max-width: 72; padding: 0 1; background: $panel; background-tint: $panel 0%;
        border: none; border-left: outer $primary;
    }
    TypedLine > .input--placeholder, TypedLine > .input--suggestion { color: $quiet; }
    TypedLine > .input--cursor { background: $foreground; color: $background; text-style: none; }
    TypedLine > .input--selection { background: $primary; color: $background; }
    """
