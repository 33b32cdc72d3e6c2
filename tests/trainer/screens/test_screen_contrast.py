"""Text stands out against its ground, by what is painted, in every theme on every screen."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, typed
from tests.trainer.screens.practised import practised
from trainer.screens.app import KeyfarerApp
from trainer.screens.theme import PAPER, STARK, THEMES
from trainer.screens.views.in_order import VIEWS

LEAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, for text of usual size."""
STARK_LEAST = 7.0
"""WCAG 2.2, success criterion 1.4.6, for the look of the strongest contrast."""
SHAPES = set("━─▶╰╯▌▐▎▏▔▁│┄└┘┏┓┗┛┃ ")
"""Rules, braces and edges: shapes, which 1.4.3 is not about."""


def luminance(color: tuple[int, int, int]) -> float:
    """Relative luminance (WCAG 2.2, definitions)."""
    parts = [part / 255 for part in color]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: tuple[int, int, int], other: tuple[int, int, int]) -> float:
    """Contrast ratio of two colors (WCAG 2.2, definitions)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_ratio_is_that_of_the_standard() -> None:
    """Black on white is 21:1, and #767676 on white the known least gray (WCAG 2.2, from memory: 4.54)."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((0x76, 0x76, 0x76), (255, 255, 255)) == pytest.approx(4.54, abs=0.01)


def faint(app: KeyfarerApp) -> list[str]:
    """The texts on the screen whose contrast is too small."""
    found, least = [], STARK_LEAST if app.theme == STARK.name else LEAST
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if style is None or not set(segment.text) - SHAPES:
                continue
            assert style.color is not None, segment
            assert style.bgcolor is not None, segment
            front, ground = style.color.get_truecolor(), style.bgcolor.get_truecolor()
            if style.reverse:
                front, ground = ground, front
            assert not style.dim, segment
            assert not style.blink, segment
            if contrast(tuple(front), tuple(ground)) < least:
                found.append(f"{segment.text!r}: {front} on {ground}")
    return found


@pytest.mark.parametrize(
    "theme",
    [pytest.param(theme.name, marks=pytest.mark.long) if theme is PAPER else theme.name for theme in THEMES],
)
def test_all_that_is_painted_stands_out(tmp_path: Path, theme: str) -> None:
    """On every screen, refusals and answers too, text has 4.5:1, in the stark one 7:1, none dim or blinking."""
    practised(tmp_path)
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))

    async def play(pilot: Pilot[int]) -> None:
        seen = 0

        async def look(*keys: str, answer: str = "") -> None:
            nonlocal seen
            await press(pilot, *keys)
            if answer:
                await typed(pilot, answer)
            await settled(pilot)
            assert [] == faint(app), (theme, keys, answer)
            seen += 1

        app.theme = theme
        await look()
        await look("l")
        await look("escape", "s", "m", "right")
        await look("down", "down", "enter", answer="squeak")
        await look("escape", "escape", "e", *["down"] * 5)
        await look("escape", "t")
        await look(*["down"] * 10, "enter", "down")
        await look("escape", "escape", "f1")
        await look("escape", "enter")
        await look("f4", answer="purple")
        await look(answer="2 5 6")
        await look("m")
        await look("enter", "f8")
        await look("enter", answer="2 5 1")
        await look("s")
        await look("escape")
        await look("p")
        for _ in VIEWS:
            await look("right", "down")
        await look("enter")
        assert 18 + len(VIEWS) == seen

    piloted(app, play)
