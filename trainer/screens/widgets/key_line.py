"""The line of keys at the foot of a screen; a key and its word are never parted."""

from collections.abc import Sequence

from textual.content import Content

from trainer.screens.actions import Action
from trainer.screens.widgets.drawn import Drawn

GAP = 3
"""Cells between two keys."""


class KeyLine(Drawn):
    """The keys of a screen."""

    def __init__(self, actions: Sequence[Action], id: str | None = None) -> None:
        super().__init__(id=id)
        self.actions = tuple(actions)
        self.more = False
        """There is more to read below, so the keys for that are shown too."""
        self.idle: frozenset[str] = frozenset()
        """Actions that have nothing to act on now."""

    def show_actions(self, actions: Sequence[Action]) -> None:
        """Show other keys."""
        self.actions = tuple(actions)
        self.refresh(layout=True)

    def tell_more(self, more: bool) -> None:
        """Say whether there is more to read."""
        if more != self.more:
            self.more = more
            self.changed()

    def rest(self, *ids: str) -> None:
        """Say which actions have nothing to act on now; all others have."""
        if frozenset(ids) != self.idle:
            self.idle = frozenset(ids)
            self.refresh(layout=True)

    def lines(self, width: int) -> list[Content]:
        """The keys in as few lines as they need."""
        shown = [a for a in self.actions if a.in_line or (self.more and a.id == "further") if a.id not in self.idle]
        lines: list[list[Action]] = [[]]
        used = 0
        for action in shown:
            size = len(action.shown) + 1 + len(action.word)
            if lines[-1] and used + GAP + size > width:
                lines.append([])
                used = 0
            used += size + (GAP if lines[-1] else 0)
            lines[-1].append(action)
        return [
            Content(" " * GAP).join(
                Content.assemble((action.shown, "bold $primary"), f" {action.word}") for action in line
            )
            for line in lines
        ]
