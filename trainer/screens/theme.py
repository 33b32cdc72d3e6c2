"""The look: two quiet themes, evening and paper, and one of the strongest contrast, stark.

Text stands at 7:1 or nearly so against its ground, in the stark one at 7:1 and more everywhere. Where a terminal has
sixteen colors or none, all of them look alike: as the terminal itself does.
"""

from dataclasses import replace

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    primary="#d9b26f",
    secondary="#8fb3c9",
    accent="#d9b26f",
    foreground="#ece6da",
    background="#191b20",
    surface="#20232a",
    panel="#2a2e37",
    success="#9ccf9a",
    warning="#e3c078",
    error="#eba292",
    dark=True,
    variables={"quiet": "#b4ae9f"},
)
PAPER = Theme(
    name="paper",
    primary="#6b4410",
    secondary="#1f4a63",
    accent="#6b4410",
    foreground="#23201a",
    background="#f6f1e6",
    surface="#efe8d9",
    panel="#e4dac6",
    success="#1d5423",
    warning="#6b4800",
    error="#842014",
    dark=False,
    variables={"quiet": "#56503f"},
)
STARK = Theme(
    name="stark",
    primary="#ffe066",
    secondary="#9fe0ff",
    accent="#ffe066",
    foreground="#ffffff",
    background="#000000",
    surface="#000000",
    panel="#3a3a3a",
    success="#8dff8d",
    warning="#ffd24a",
    error="#ffb0a8",
    dark=True,
    variables={"quiet": "#e6e6e6"},
)
THEMES = (EVENING, PAPER, STARK)
"""In the order in which one goes through them; their names are what `look` may be in the settings."""
_OWN = "ansi_default"
NAMED = (
    "quiet", "ansi-background", "ansi-foreground", "border", "border-blurred", "block-cursor-foreground",
    "block-cursor-background", "block-hover-background", "input-cursor-background", "input-cursor-foreground",
    "input-selection-background", "input-selection-foreground", "screen-selection-background",
    "screen-selection-foreground", "scrollbar", "scrollbar-hover", "scrollbar-active", "scrollbar-background",
    "scrollbar-corner-color", "scrollbar-background-hover", "scrollbar-background-active",
)  # fmt: skip
"""Colors that Textual mixes from others where a theme doesn't name them; from the terminal's own it can't."""


def as_the_terminal(theme: Theme) -> Theme:
    """The look of a terminal with few colors or none, under a theme's name.

    Words are in the terminal's own color on its own ground, for what stands out from a ground that isn't known is
    known of no other pair. Magenta alone is far enough from black and from white for what a word says already.
    """
    return replace(
        theme, ansi=True, primary=_OWN, secondary=_OWN, accent=_OWN, foreground=_OWN, background=_OWN, surface=_OWN,
        panel=_OWN, boost=_OWN, success=_OWN, warning="ansi_magenta", error="ansi_magenta",
        variables=dict.fromkeys(NAMED, _OWN),
    )  # fmt: skip


QUIET = EVENING.variables["quiet"]
"""The color of what stands back, until a theme of ours is on."""
