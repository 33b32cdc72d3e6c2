"""The look: two quiet themes, evening and paper, and one of the strongest contrast, stark.

Text stands at 7:1 or nearly so against its ground, in the stark one at 7:1 and more everywhere.
"""

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
QUIET = EVENING.variables["quiet"]
"""The color of what stands back, until a theme of ours is on."""
