"""Settings: every one there is, with its value, its meaning and what it may be, changed in place."""

from typing import ClassVar

from textual.binding import BindingType

from trainer.screens.actions import SETTINGS, bindings_on
from trainer.screens.adjusting import AdjustPage
from trainer.settings_told import TOLD


class SettingsPage(AdjustPage):
    """All settings."""

    NAME = SETTINGS
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(SETTINGS)
    SHOWN = tuple(TOLD.values())

    def begin(self) -> None:
        """Say where they are kept."""
        super().begin()
        self.headline("Settings", "kept at once")
