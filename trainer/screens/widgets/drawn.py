"""A widget that is drawn as lines of text for the width it is given."""

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget


class Drawn(Widget):
    """Subclasses say their lines; height and wrapping at a resize follow from that."""

    DEFAULT_CSS = """
    Drawn { width: 100%; height: auto; }
    """

    def lines(self, width: int) -> list[Content]:
        """The lines for a width, none of them wider."""
        raise NotImplementedError

    def render(self) -> Content:
        """All lines."""
        return Content("\n").join(self.lines(self.content_size.width))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as there are lines."""
        return len(self.lines(width))

    def changed(self) -> None:
        """Paint anew what is drawn; the screen is laid out again only where another height is needed."""
        size = self.content_size
        self.refresh(layout=not size.width or len(self.lines(size.width)) != size.height)

    def drawn(self) -> str:
        """What stands there, as plain text."""
        return "\n".join(line.plain.rstrip() for line in self.lines(self.content_size.width or 74))
