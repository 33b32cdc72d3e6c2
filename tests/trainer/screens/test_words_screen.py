"""The words on a screen: looked for by typing, told, played, and opened where a type is met."""

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from tests.trainer.practice.practising import Remembering
from tests.trainer.screens.piloted import app_in, piloted, press, shown, typed, words, written
from trainer.drills.term_sound import term_sound
from trainer.harmony.glossary import TERM, TERMS, matching
from trainer.screens.drill import DrillPage
from trainer.screens.level import LevelPage
from trainer.screens.told import ToldPage
from trainer.screens.words import WAITS, WordsPage


def heard(sound: Remembering) -> list[str]:
    """The titles of what was played."""
    return [performance.score.title for performance in sound.played]


def test_typing_looks_for_a_word(tmp_path: Path) -> None:
    """All words are listed; letters leave those whose names hold them, and the first of these is told."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "w")
        assert f"{len(TERMS)} words" in words(app)
        await written(pilot, "guide")
        assert f"{len(matching('guide'))} word" in words(app)
        assert TERM["guide-tones"].says in words(app)
        await written(pilot, "zz")
        assert "No word's name holds that." in words(app)
        await press(pilot, "space", "down", "backspace", "backspace")
        assert TERM["guide-tones"].says in words(app)

    piloted(app, play)


def test_arrows_go_through_the_words(tmp_path: Path) -> None:
    """Down and up go a word on and back, page keys several, and the word under the cursor is told."""
    app = app_in(tmp_path)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "f1", "w", "down")
        page = app.screen
        assert isinstance(page, WordsPage)
        assert page.term == TERMS[1]
        assert TERMS[1].says in words(app)
        await press(pilot, "up", "up")
        assert page.term == TERMS[0]
        await press(pilot, "pagedown")
        assert page.term is not None
        assert TERMS.index(page.term) > 5
        await press(pilot, "pageup")
        assert page.term == TERMS[0]

    piloted(app, play)


def test_space_plays_the_example(tmp_path: Path) -> None:
    """Space plays the example of the word under the cursor; a word that nothing sounds of says so."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "w", "b", "a", "c", "k", "space")
        assert term_sound(TERM["backdoor"]).score == sound.played[-1].score
        assert "You hear it: backdoor two–five." in words(app)
        await press(pilot, *["backspace"] * 4, "r", "u", "n", "g", "space")
        assert "Nothing sounds of this word." in words(app)

    piloted(app, play)


def test_nothing_sounds_before_the_level_is_set(tmp_path: Path) -> None:
    """Where the listening level was never set, Space sets it first."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound, level_set=False)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "w")
        await pilot.press("space")
        await pilot.pause()
        assert isinstance(app.screen, LevelPage)

    piloted(app, play)
    assert TERMS[0].name not in heard(sound)


def test_the_answer_leads_to_what_was_asked(tmp_path: Path) -> None:
    """W after an answer opens the words at the type, spelled in the question's key; Esc leads back."""
    app = app_in(tmp_path, types=("plagal",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1")
        told = app.screen
        assert isinstance(told, ToldPage)
        await press(pilot, "w")
        page = app.screen
        assert isinstance(page, WordsPage)
        assert page.term == TERM["plagal"]
        assert f"in {told.told.question.key.name}" in words(app)
        await press(pilot, "escape")
        assert told is app.screen

    piloted(app, play)


def test_a_new_type_is_explained_unasked_once(tmp_path: Path) -> None:
    """After the first answer ever to a type it is told that it is new, after the next it isn't."""
    app = app_in(tmp_path, types=("plagal",))

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter", "1")
        assert "New to you: four–one, the amen." in words(app)
        assert 1 == words(app).count(TERM["plagal"].says)
        await press(pilot, "enter", "1")
        assert "New to you" not in shown(app)

    piloted(app, play)


def test_while_a_question_waits_words_are_read_and_not_heard(tmp_path: Path) -> None:
    """A word asked for on the answer's line opens the words; its example would help, so it waits."""
    sound = Remembering()
    app = app_in(tmp_path, sound=sound)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        before = len(sound.played)
        await typed(pilot, "what guide tones")
        page = app.screen
        assert isinstance(page, WordsPage)
        assert page.term == TERM["guide-tones"]
        await press(pilot, "space")
        assert WAITS in words(app)
        assert before == len(sound.played)
        await press(pilot, "escape")
        assert isinstance(app.screen, DrillPage)
        assert "" == app.screen.query_one(Input).value
        await typed(pilot, "what bakdor")
        assert "near it: backdoor" in words(app)
        await press(pilot, "f1", "w")
        assert isinstance(app.screen, WordsPage)

    piloted(app, play)
