"""What terminals with few colors or none get in place of colors: no grounds, and scroll bars made of signs."""

from functools import lru_cache
from math import ceil
from typing import ClassVar

from rich.color import Color as RichColor
from rich.color import ColorType
from rich.segment import Segment, Segments
from rich.style import Style
from textual.color import Color
from textual.filter import LineFilter
from textual.scrollbar import ScrollBarRender

from trainer.terminal import Colors

BAR, TRACK = "█", "│"


@lru_cache(1024)
def without_color(style: Style) -> Style:
    """A style with its weight, its line below and its reversal, and what a click on it does."""
    bare = style.without_color
    return bare + Style.from_meta(style.meta) if style.meta else bare


@lru_cache(1024)
def with_few_colors(style: Style) -> Style:
    """A style whose colors are the terminal's own sixteen or its default ones.

    A color that was mixed from others becomes the default: what it stands on isn't known.
    """
    if _is_named(style.color) and _is_named(style.bgcolor):
        return style
    bare = without_color(style)
    return bare + Style.from_color(
        style.color if _is_named(style.color) else None, style.bgcolor if _is_named(style.bgcolor) else None
    )


def _is_named(color: RichColor | None) -> bool:
    return color is None or color.type in (ColorType.DEFAULT, ColorType.STANDARD)


class Bare(LineFilter):
    """Takes the colors out of what is painted, or all but the terminal's own."""

    def __init__(self, colors: Colors) -> None:
        super().__init__()
        self.change = without_color if colors == "none" else with_few_colors

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """A line without them."""
        return [
            Segment(text, None if style is None else self.change(style), control) for text, style, control in segments
        ]


class SignedBar(ScrollBarRender):
    """A scroll bar of two signs."""

    BLANK_GLYPH: ClassVar[str] = TRACK

    @classmethod
    def render_bar(
        cls,
        size: int = 25,
        virtual_size: float = 50,
        window_size: float = 20,
        position: float = 0,
        thickness: int = 1,
        vertical: bool = True,
        back_color: RichColor = RichColor.default(),  # noqa: B008 (as the class that is replaced)
        bar_color: RichColor = RichColor.default(),  # noqa: B008
    ) -> Segments:
        """The bar as long as the part that is seen, at its place in the track."""
        length = max(1, ceil(size * window_size / virtual_size)) if window_size and virtual_size else 0
        most = max(virtual_size - window_size, 1)
        start = round((size - length) * min(1.0, position / most))
        across = thickness if vertical else 1
        grab, above, below = ({"@mouse.down": name} for name in ("grab", "scroll_up", "scroll_down"))
        cells = [
            Segment(BAR * across, Style(meta=grab))
            if start <= cell < start + length
            else Segment(TRACK * across, Style(meta=above if cell < start else below))
            for cell in range(size)
        ]
        if vertical:
            return Segments(cells, new_lines=True)
        return Segments([*cells, Segment.line()] * thickness, new_lines=False)
