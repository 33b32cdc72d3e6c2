"""The views of the progress, from left to right."""

from trainer.screens.views import by_key, confusions, times, types, weeks
from trainer.screens.views.view import View

VIEWS: tuple[View, ...] = (types.VIEW, by_key.VIEW, confusions.VIEW, times.VIEW, weeks.VIEW)
