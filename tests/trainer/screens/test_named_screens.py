"""Screens in other note names: prompt, row, explanation, chart, route; answers are read in them."""

from pathlib import Path

from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, typed, words
from trainer.drills.kinds import build
from trainer.harmony.key import parse_key
from trainer.harmony.note_names import chord_told, key_told
from trainer.screens.drill import DrillPage, filled
from trainer.screens.told import ToldPage
from trainer.screens.tune import TunePage


def test_a_question_and_its_answer_are_told_in_german(tmp_path: Path) -> None:
    """The key that is given, the chords that sounded and the reason are named as the settings say."""
    app = app_in(tmp_path, rung=3, types=("major-two-five-one",))
    app.doors.keep(note_names="german")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        page = app.screen
        assert isinstance(page, DrillPage)
        key = key_told(page.asking.question.key, "german")
        assert f"The key of {key} is given." in words(app)
        await typed(pilot, "2 5 1")
        told = app.screen
        assert isinstance(told, ToldPage)
        question = told.told.question
        assert all(chord_told(chord.text, "german") in words(app) for chord in question.chords)
        assert f"in {key}" in words(app)
        assert question.key.name not in words(app)

    piloted(app, play)


def test_notes_that_are_typed_show_in_the_row_as_they_are_meant() -> None:
    """An H fills a blank as B natural and is shown as H; a B is B flat."""
    question = build("guide-tones", "major-two-five-one", 3, 7, key=parse_key("Bb"))
    assert "H" == filled(question, "H", "german")[0]
    assert "B" == filled(question, "B", "german")[0]
    assert "___" == filled(question, "B#", "german")[0]


def test_a_tune_is_drawn_in_the_players_names(tmp_path: Path) -> None:
    """Bands, chords, reasons and the picture of the route are named in solfege."""
    app = app_in(tmp_path)
    app.doors.keep(note_names="solfege")

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "t", *["down"] * 10, "enter")
        page = app.screen
        assert isinstance(page, TunePage)
        route = [step.center for step in page.tune.analysis.route]
        assert all(key_told(center, "solfege") in words(app) for center in route)
        assert not any(f" {center.name}" in words(app) for center in route)
        symbols = {chord.span.symbol.text for chord in page.tune.analysis.chords if chord.span.symbol is not None}
        assert sum(chord_told(symbol, "solfege") in words(app) for symbol in symbols) > len(symbols) / 2

    piloted(app, play)
