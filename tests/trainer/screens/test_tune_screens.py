"""Tunes in the app: the list, the chart with its reading, the bar under the cursor, and what is played."""

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import DataTable

from tests.trainer.practice.practising import Remembering
from tests.trainer.screens.piloted import app_in, piloted, press, shown, words, written
from trainer.charts.library import exercise_tunes
from trainer.drills.material import TuneMaterial
from trainer.practice.listening_level import level_told
from trainer.practice.materials import exercise_material
from trainer.screens.level import LevelPage
from trainer.screens.tune import TunePage, why
from trainer.screens.tunes import TunesPage
from trainer.screens.widgets.chart_view import A_LINE, CURSOR, PLAYING, ChartView, bars_of, fitting, lines_of
from trainer.screens.widgets.file_line import FileLine, first_that_fits
from trainer.screens.widgets.route_view import RouteView, rows_of
from trainer.settings import load

TUNES = {tune.id: tune for tune in exercise_material()}
BREAKS_IN = "the-clockmender-starts-again"


def view_of(tune: TuneMaterial) -> ChartView:
    """The chart as the widget draws it."""
    view = ChartView()
    view.bars, view.interruptions = bars_of(tune.timeline, tune.analysis), tune.analysis.interruptions
    return view


@pytest.mark.parametrize("width", [30, 40, 74, 92, 200])
@pytest.mark.parametrize("id", TUNES)
def test_all_that_is_played_and_read_is_drawn(id: str, width: int) -> None:
    """Each chord and each function in its order, each line's centers by name, at any width, and nothing wider."""
    tune = TUNES[id]
    view = view_of(tune)
    drawn = [line.plain for line in view.lines(width)]
    assert max(map(len, drawn)) <= width
    count, _ = fitting(view.bars, width)
    if width < 74 and count == 1:
        return  # a bar may be wider than the terminal: then it is cut
    rest = iter(" ".join(drawn).replace("│", " ").replace(CURSOR, " ").split())
    for line in lines_of(view.bars, count):
        chords = [slot.chord for bar in line for slot in bar.slots]
        functions = [slot.function for bar in line for slot in bar.slots if slot.function]
        assert all(any(word == told for told in rest) for word in (*chords, *functions))
    for step in tune.analysis.route:
        assert any(step.center.name in line for line in drawn)


def test_four_bars_stand_in_a_line_and_sections_begin_one() -> None:
    """As a player writes it: four to a line, a new section on a new line, fewer where there is no room."""
    bars = view_of(TUNES[BREAKS_IN]).bars
    lines = lines_of(bars, A_LINE)
    assert {4} == set(map(len, lines))
    assert ["A", "A", "B", "A"] == [line[0].section for line in lines if line[0].section]
    assert [4, 2, 1] == [fitting(bars, width)[0] for width in (92, 46, 24)]


def test_a_cadence_that_breaks_in_is_braced() -> None:
    """The foreign key is named in a brace, and dots join the awaited cadence over it to its end."""
    drawn = "\n".join(line.plain for line in view_of(TUNES[BREAKS_IN]).lines(92))
    assert 3 == drawn.count("└─ A major breaks in ─")
    assert 3 == drawn.count("awaits Ab major ┄")
    assert "┘┄┄┄" in drawn


@pytest.mark.parametrize("width", [60, 80, 96])
@pytest.mark.parametrize("id", [id for id, tune in TUNES.items() if len(tune.analysis.route) > 1])
def test_the_picture_of_the_route_can_be_read_back(id: str, width: int) -> None:
    """In each bar the line stands in the row of the key that the reading has there; sharper keys stand higher."""
    tune = TUNES[id]
    first, count = tune.timeline.bars[0].number, len(tune.timeline.bars)
    view = RouteView()
    view.route, view.home, view.first, view.bars = tune.analysis.route, tune.analysis.home.key, first, count  # type: ignore[union-attr]
    *rows, numbers = [line.plain for line in view.lines(width)]
    keys = rows_of(tune.analysis.route)
    assert [key.fifths for key in keys] == sorted((key.fifths for key in keys), reverse=True)
    assert all(row.startswith(key.name) for row, key in zip(rows, keys, strict=True))
    margin = numbers.index(str(tune.analysis.route[0].from_.bar))
    scale = min(2.0, (width - margin - 1) / count)
    for bar in tune.timeline.bars:
        center = [step.center for step in tune.analysis.route if step.from_.bar <= bar.number][-1]
        cell = margin + round((bar.number - first) * scale)
        assert rows[keys.index(center)][cell : cell + 1] in tuple("━┏┗"), (bar.number, center.name)


def test_tunes_are_listed_and_opened(tmp_path: Path) -> None:
    """T lists every exercise tune with its home; Enter opens the one under the cursor, Esc leads back."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t")
        assert isinstance(app.screen, TunesPage)
        assert len(exercise_tunes()) == app.screen.query_one(DataTable).row_count
        assert f"{len(TUNES)} tunes, 0 of them yours." in words(app)
        await press(pilot, "down", "enter")
        page = app.screen
        assert isinstance(page, TunePage)
        assert page.tune.timeline.title in words(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, TunesPage)

    piloted(app, play, size=(80, 24))


def test_what_is_searched_for_is_listed(tmp_path: Path) -> None:
    """Slash, then words in title, home or cadences: only what has them all is listed, and Esc brings all back."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "slash")
        await written(pilot, "CLOCK starts")
        page = app.screen
        assert isinstance(page, TunesPage)
        assert [BREAKS_IN] == [one.tune.id for one in page.tunes]
        assert f"1 of {len(TUNES)} tunes" in words(app)
        await press(pilot, "enter", "enter")
        assert isinstance(app.screen, TunePage)
        assert BREAKS_IN == app.screen.tune.id
        await press(pilot, "escape", "slash", "escape")
        assert len(TUNES) == len(page.tunes)
        await press(pilot, "slash")
        await written(pilot, "backdoor")
        having = {id for id, tune in TUNES.items() if any(c.type == "backdoor" for c in tune.analysis.cadences)}
        assert having == {one.tune.id for one in page.tunes}
        await written(pilot, " zzz")
        await press(pilot, "enter", "enter", "l")
        assert isinstance(app.screen, TunesPage)

    piloted(app, play)


def test_a_chart_is_added_and_taken_up(tmp_path: Path) -> None:
    """A, its file, Enter: a fault is told where it is; a chart is kept, gone to, opened; L marks it as one to learn."""
    app = app_in(tmp_path)
    app.doors.tunes_folder, app.doors.tune_facts_file = tmp_path / "tunes", tmp_path / "facts.json"
    (tmp_path / "quay.chart").write_text("title: Quay Street\n\n| Cm7 | F7 | Bbmaj7 | Bb6 |\n", encoding="utf-8")
    (tmp_path / "torn.chart").write_text("title: Torn\n\n| Hx7 | F7 |\n", encoding="utf-8")

    async def add(pilot: Pilot[int], file: str) -> None:
        line = app.screen.query_one("#file", FileLine)
        line.value = file
        await press(pilot, "enter")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "a")
        await add(pilot, str(tmp_path / "torn.chart"))
        assert "line 3, column 3: found Hx7" in words(app)
        await add(pilot, str(tmp_path / "nowhere.chart"))
        assert "of a chart or of a folder with charts" in words(app)
        assert not (tmp_path / "tunes" / "quay-street.chart").exists()
        await add(pilot, str(tmp_path / "quay.chart"))
        assert "quay-street: kept" in words(app)
        assert (tmp_path / "tunes" / "quay-street.chart").exists()
        assert f"{len(TUNES) + 1} tunes, 1 of them yours." in words(app)
        await press(pilot, "l")
        assert {"quay-street"} == set(app.doors.own.index.learning)
        assert "to learn; it stays in one key" in words(app)
        await press(pilot, "l")
        assert "quay-street: rests" in words(app)
        assert not app.doors.own.index.learning
        await press(pilot, "enter")
        assert isinstance(app.screen, TunePage)
        assert "Its cadences: two–five–one in major (once)." in words(app)

    piloted(app, play)


def test_a_files_name_is_completed(tmp_path: Path) -> None:
    """What is typed is completed to the first folder or chart file by name, hidden or other files left alone."""
    for name in ("abend.txt", "abend.mid", "above.chart"):
        (tmp_path / name).touch()
    (tmp_path / "ab-folder").mkdir()
    typed = f"{tmp_path}/ab"
    assert f"{tmp_path}/ab-folder/" == first_that_fits(typed)
    assert f"{tmp_path}/abend.mid" == first_that_fits(typed + "e")
    assert f"{tmp_path}/above.chart" == first_that_fits(typed + "o")
    for none in (typed + "x", f"{tmp_path}/", f"{tmp_path}/none/a", ""):
        assert first_that_fits(none) is None


def test_the_reasons_follow_the_cursor(tmp_path: Path) -> None:
    """Arrows move by bars and by lines, and never beyond the tune; what a bar does and why is told beneath."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "enter")
        page = app.screen
        assert isinstance(page, TunePage)
        chart, chords = page.query_one(ChartView), page.tune.analysis.chords
        for keys, bar in (((), 0), (("right",), 1), (("down",), 5), (("left",), 4), (("up", "up", "up"), 0)):
            await press(pilot, *keys)
            assert bar == chart.cursor
            told = why(chords[chart.bars[bar].slots[0].index])
            assert told.split(". ")[0] in words(app)
        await press(pilot, *["down"] * 40)
        assert len(chart.bars) - 1 == chart.cursor
        assert f"Bar {chart.bars[-1].number}." in words(app)
        assert CURSOR in shown(app)

    piloted(app, play, size=(80, 24))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_line_of_the_cursor_is_always_seen(tmp_path: Path, size: tuple[int, int]) -> None:
    """Wherever the cursor goes, its bar, and the pointer in it, stand on the screen."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", *["down"] * 10, "enter")
        page = app.screen
        assert isinstance(page, TunePage)
        chart, body = page.query_one(ChartView), page.query_one("#body")
        for key in ("down",) * 8 + ("up",) * 8:
            await press(pilot, key)
            row = chart.region.y + chart.row_of(chart.cursor)
            assert body.region.y <= row
            assert row + 3 <= body.region.bottom
            assert CURSOR in shown(app)

    piloted(app, play, size=size)


def test_a_rival_is_told_once(tmp_path: Path) -> None:
    """Readings that differ in nothing that is told are one, with their shares together."""
    told = [why(chord) for tune in TUNES.values() for chord in tune.analysis.chords]
    for one in told:
        rivals = one.partition("It may also be ")[2].rstrip(".").split(" or ")
        names = [rival.partition(" (")[0] for rival in rivals if rival]
        assert len(names) == len(set(names)), one
    assert any("It may also be" in one for one in told)


def test_it_is_played_from_the_bar_under_the_cursor(tmp_path: Path) -> None:
    """Space plays from there to the end, again it is silent; R plays the key centers; leaving leaves no sound."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "enter", "right", "right", "space")
        page = app.screen
        assert isinstance(page, TunePage)
        bars = page.query_one(ChartView).bars
        assert [bar.number for bar in bars[2:]] == [bar.number for bar in sound.tunes[-1].bars]
        assert f"You hear it from bar {bars[2].number}." in words(app)
        await press(pilot, "space")
        assert (1, 1) == (sound.stopped, len(sound.tunes))
        await press(pilot, "r")
        assert 2 == len(sound.tunes)
        assert "You hear the key centers" in words(app)
        await press(pilot, "escape")
        assert 2 == sound.stopped

    piloted(app, play)


def test_nothing_sounds_before_the_level_is_set(tmp_path: Path) -> None:
    """The first time Space leads to the listening level."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound, level_set=False)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", "enter", "space")
        assert isinstance(app.screen, LevelPage)
        assert [] == sound.tunes

    piloted(app, play)


@pytest.mark.parametrize("keys", [("t", "enter"), ("enter", "1")])
def test_the_sound_is_turned_where_one_listens(tmp_path: Path, keys: tuple[str, ...]) -> None:
    """Plus and minus turn it on a tune and after an answer, say so, and it is kept."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, *keys)
        before = app.doors.settings.volume_db
        await press(pilot, "minus", "minus")
        softer = app.doors.settings.volume_db
        assert softer < before
        assert level_told(softer) in words(app)
        await press(pilot, "plus")
        assert softer < app.doors.settings.volume_db < before
        assert load(app.doors.settings_file).volume_db == app.doors.settings.volume_db

    piloted(app, play)


def test_the_bar_that_sounds_is_pointed_at(tmp_path: Path) -> None:
    """By a sign, not by color alone; where nothing sounds there is none."""
    view = view_of(TUNES[BREAKS_IN])
    assert PLAYING not in "".join(line.plain for line in view.lines(92))
    view.sounding = 4
    row = next(line.plain for line in view.lines(92) if PLAYING in line.plain)
    assert row.split(PLAYING)[1].startswith(view.bars[4].slots[0].chord)
