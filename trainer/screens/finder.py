"""Finding what can be done on a screen by a word of it, over Textual's own list."""

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING

from textual.command import CommandPalette, DiscoveryHit, Hit, Hits, Provider

if TYPE_CHECKING:
    from trainer.screens.base import Page


class Deeds(Provider):
    """What can be done on the screen beneath, as its help words it."""

    async def discover(self) -> Hits:
        """Everything, in the order of the registry."""
        for words, help, do in self.deeds():
            yield DiscoveryHit(words, do, help=help)

    async def search(self, query: str) -> Hits:
        """What the typed letters fit."""
        matcher = self.matcher(query)
        for words, help, do in self.deeds():
            score = matcher.match(words)
            if score > 0:
                yield Hit(score, matcher.highlight(words), do, text=words, help=help)

    def deeds(self) -> list[tuple[str, str, Callable[[], object]]]:
        """What it is, its key, and what does it."""
        from trainer.screens.base import Page

        page = self.screen
        if not isinstance(page, Page):
            return []
        return [
            (page.keyed(action.about), action.shown, partial(perform, page, action.id))
            for action in page.actions
            if action.id != "find"
        ]


def perform(page: "Page", id: str) -> None:
    """Do an action of a screen."""
    getattr(page, f"action_{id}")()


def finder_over(page: "Page") -> CommandPalette:
    """The list of what can be done on a screen."""
    return CommandPalette([Deeds], placeholder="What do you want to do?")
