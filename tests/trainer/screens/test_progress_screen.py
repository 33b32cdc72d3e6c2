"""The progress by its keys: from view to view, from row to row, all about one type, and at every size."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, shown, words
from tests.trainer.screens.practised import UNITS, practised
from trainer.commands.told_unit import told_unit
from trainer.memory.store import StoreError
from trainer.memory.unit import Status
from trainer.practice.unit_told import unit_told
from trainer.practice.words import name_of
from trainer.screens.progress import ProgressPage
from trainer.screens.today import TodayPage
from trainer.screens.type import TypePage
from trainer.screens.views import by_key
from trainer.screens.views.in_order import VIEWS
from trainer.screens.widgets.listing import CURSOR, Listing


def page_of(pilot: Pilot[int]) -> ProgressPage:
    """The screen on top."""
    page = pilot.app.screen
    assert isinstance(page, ProgressPage)
    return page


def painted(pilot: Pilot[int]) -> list[str]:
    """The lines of the terminal, without any style."""
    strips = pilot.app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip).rstrip() for strip in strips]


def test_right_and_left_go_through_the_views(tmp_path: Path) -> None:
    """Right goes through all views and round, Left back; the one on top has the pointer, and the type stays marked."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", "down", "down")
        unit = page_of(pilot).unit
        for n in range(1, len(VIEWS) + 1):
            await press(pilot, "right")
            view = VIEWS[n % len(VIEWS)]
            assert f"{CURSOR}{view.name}" in painted(pilot)[0] + painted(pilot)[1] + painted(pilot)[2]
            assert view.sum(page_of(pilot).seen) in words(app)  # type: ignore[arg-type]
            if view.name in ("keys", "times"):
                assert unit == page_of(pilot).unit
        assert 0 == page_of(pilot).at
        await press(pilot, "left")
        assert VIEWS[-1] is page_of(pilot).view

    piloted(app, play)


def test_the_marked_row_is_told_beneath(tmp_path: Path) -> None:
    """Down, Up and the page keys mark a row, keep it in sight and tell all about it."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        for at, key in ((1, "down"), (2, "down"), (1, "up"), (7, "pagedown"), (0, "pageup"), (0, "up")):
            await press(pilot, *[key] * (1 if key in ("down", "up") else 4))
            page = page_of(pilot)
            assert at == page.query_one(Listing).cursor
            told = page.view.about(page.seen, at)  # type: ignore[arg-type]
            assert told in words(app)
            assert any(line.strip().startswith(CURSOR) for line in painted(pilot))

    piloted(app, play, size=(80, 16))


def test_enter_tells_all_about_one_type(tmp_path: Path) -> None:
    """All that `keyfarer progress TYPE` tells of the marked type stands on its screen; Esc leads back to its row."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", "down", "right", "enter")
        assert isinstance(app.screen, TypePage)
        unit, store, day = app.screen.unit, app.doors.store, app.doors.day()
        told = unit_told(store, unit, day)
        assert told is not None
        on_screen = words(app)
        for word, value in told.standing:
            assert f"{word} {value}".strip() in on_screen
        for facet in told.facets:
            assert facet.head in on_screen
            for part in facet.parts:
                assert part.name in on_screen
        numbers = {word for line in told_unit(store, unit, day, 80) for word in line.split() if "%" in word}
        assert not {number.strip("(),;") for number in numbers} - {one.strip("(),;") for one in on_screen.split()}
        for one in told.pairs[:8]:
            assert one.pair.unit == unit or f"{name_of(one.pair.unit)[1:]} was taken for it" in on_screen
        await press(pilot, "escape")
        assert unit == page_of(pilot).unit
        assert "keys" == page_of(pilot).view.name

    piloted(app, play)


def test_every_row_leads_to_its_type(tmp_path: Path) -> None:
    """In each view with types Enter opens the one of the marked row; weeks have none, and don't offer it."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        for view in VIEWS:
            units = view.units(page_of(pilot).seen)  # type: ignore[arg-type]
            assert bool(units) == ("Enter open" in words(app))
            await press(pilot, "enter")
            if units:
                assert isinstance(app.screen, TypePage)
                await press(pilot, "escape")
            await press(pilot, "right")

    piloted(app, play)


def test_nothing_practised_says_what_to_do(tmp_path: Path) -> None:
    """Without an answer the screen says how to begin, offers no views, and its keys do no harm."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        assert "Nothing has been practised yet. Esc, then Enter begins." in words(app)
        assert "view on" not in words(app)
        await press(pilot, "right", "left", "down", "pagedown", "enter")
        assert "Nothing has been practised yet" in words(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, TodayPage)

    piloted(app, play)


def test_a_broken_memory_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the memory can't be read its words stand there in place of the views, on both screens."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")

        def broken() -> bool:
            raise StoreError("the memory is torn")

        monkeypatch.setattr(app.doors.store, "refresh", broken)
        await press(pilot, "enter")
        assert "the memory is torn" in words(app)
        await press(pilot, "escape", "escape", "p")
        assert "the memory is torn" in words(app)

    piloted(app, play)


@pytest.mark.parametrize("view", range(len(VIEWS)), ids=[view.name for view in VIEWS])
def test_a_view_stands_at_every_size(tmp_path: Path, view: int) -> None:
    """Resized from large to small and back it has its rows as wide as there is room, and the marked one in sight."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", *["right"] * view, *["down"] * 4)
        marked = page_of(pilot).query_one(Listing).cursor
        for size in ((200, 60), (120, 40), (80, 24), (60, 18), (120, 40)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            lines = painted(pilot)
            assert size[1] == len(lines)
            assert marked == page_of(pilot).query_one(Listing).cursor
            rows = [line for line in lines if line.strip().startswith(CURSOR)]
            assert 1 == len(rows)
            table = page_of(pilot).view.table(page_of(pilot).seen, 80)  # type: ignore[arg-type]
            listing = page_of(pilot).query_one(Listing)
            if len(table.rows) > listing.in_sight():
                assert f"of {len(table.rows)}" in "\n".join(lines)
            assert "Esc back" in "\n".join(lines)

    piloted(app, play)


def test_what_the_signs_are_stands_in_the_help_too(tmp_path: Path) -> None:
    """F1 tells the signs of every view, for terminals too low to have them on the view itself."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", "right")
        assert by_key.LEGEND.split()[0] not in "\n".join(painted(pilot))
        await press(pilot, "f1")
        for view in VIEWS:
            assert view.legend[1:] in words(app)

    piloted(app, play, size=(80, 16))


def test_two_tables_stand_beside_each_other_where_there_is_room(tmp_path: Path) -> None:
    """In 200 cells a type's tables by key and by voicing stand in the same lines, in 80 beneath each other."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p", "enter")
        for size, beside in (((200, 60), True), ((80, 60), False)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            assert beside == any("By key" in line and "By voicing" in line for line in painted(pilot))

    piloted(app, play)


def test_a_click_marks_a_row_and_one_more_opens_it(tmp_path: Path) -> None:
    """The pointer of a mouse does what the keys do."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        await pilot.click(Listing, offset=(5, 3))
        await settled(pilot)
        assert 2 == page_of(pilot).query_one(Listing).cursor
        await pilot.click(Listing, offset=(5, 3))
        await settled(pilot)
        assert isinstance(app.screen, TypePage)

    piloted(app, play)


def test_what_stands_of_each_type_is_its_status(tmp_path: Path) -> None:
    """All types that were met are there, each with one of the words that the player knows."""
    practised(tmp_path)
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "p")
        told = shown(app)
        assert all(name_of(unit) in told for unit in UNITS)
        assert any(status.value in told for status in Status)

    piloted(app, play, size=(120, 40))
