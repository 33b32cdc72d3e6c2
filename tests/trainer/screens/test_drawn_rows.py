"""The widgets that draw lines: chord rows, ledgers, the line of keys, the signs of a session."""

from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from textual.pilot import Pilot

from tests.trainer.screens.piloted import app_in, piloted, press, settled, shown, typed, written
from trainer.drills.kinds import draw
from trainer.screens.actions import SCREENS, actions_on
from trainer.screens.drill import filled, helps_told, parted
from trainer.screens.widgets.chord_row import Brace, Chord, ChordRow, Line
from trainer.screens.widgets.journey import ROOM, journey
from trainer.screens.widgets.key_line import KeyLine
from trainer.screens.widgets.ledger import Column, Ledger

TWO_FIVE = ("major-two-five-one",)


def row_of(*beats: int, asked: tuple[int, ...] = ()) -> list[Chord]:
    """A row of chords of some lengths."""
    return [Chord(Fraction(length), n in asked or not asked) for n, length in enumerate(beats)]


def test_a_rule_is_as_long_as_its_chord_lasts() -> None:
    """Beside a chord of two beats one of four has a rule twice as long, number and gap included."""
    row = ChordRow()
    row.put(row_of(2, 2, 4), ())
    assert ["1 ━━━━━━━━  2 ━━━━━━━━  3 ━━━━━━━━━━━━━━━━━━"] == [str(line).rstrip() for line in row.lines(74)]


def test_what_is_asked_and_what_sounds_is_told_without_color() -> None:
    """A heavy rule is asked, a light one is not, and a pointer stands in the one that sounds."""
    row = ChordRow()
    row.put(row_of(1, 1, 1, asked=(1, 2)), ())
    row.sounding = 2
    assert "1 ───  2 ━━━  3 ▶━━" == str(row.lines(20)[0]).rstrip()


def test_a_long_row_goes_on_below() -> None:
    """Fifteen chords in 74 cells stand in lines of even length, every chord and every text once."""
    row = ChordRow()
    texts = tuple(f"C{n}m7b5" for n in range(15))
    row.put(row_of(*[2] * 15), [Line("it was", texts)])
    lines = [str(line) for line in row.lines(74)]
    assert all(len(line) <= 74 for line in lines)
    said = " ".join(lines).split()
    assert 15 == sum(word in texts for word in said)
    assert [8, 7] == [sum(word in texts for word in line.split()) for line in lines if "it was" in line]


def test_a_brace_spans_its_chords_over_the_break_of_a_row() -> None:
    """The chords of another key are braced from the first to the last, with words where they fit."""
    row = ChordRow()
    row.put(row_of(4, 4, 4, 4), [Line("", ("a", "b", "c", "d"))], Brace(1, 2, "E major breaks in"))
    (brace,) = [str(line) for line in row.lines(74) if "╰" in str(line)]
    rule = str(row.lines(74)[0])
    assert rule.index("2 ") == brace.index("╰")
    assert rule.index("4 ") - 3 == brace.index("╯")
    assert "E major breaks in" in brace


def test_a_ledger_wraps_where_it_must() -> None:
    """A text too long for its column goes on below, beside its own row."""
    ledger = Ledger((Column(), Column(wraps=True)))
    ledger.put([("F2", "hear it once more in all its length"), ("F3", "slower")])
    assert ["F2   hear it once", "     more in all", "     its length", "F3   slower"] == [
        str(line).rstrip() for line in ledger.lines(19)
    ]


@pytest.mark.parametrize("screen", SCREENS)
def test_the_line_of_keys_fits_eighty_columns_in_two_lines(screen: str) -> None:
    """Each screen's line of keys takes two lines of 80 columns at most, no key apart from its word."""
    keys = KeyLine(actions_on(screen))
    lines = [str(line) for line in keys.lines(76)]
    assert len(lines) <= 2
    assert all(len(line) <= 76 for line in lines)
    for action in actions_on(screen):
        if action.in_line:
            assert any(f"{action.shown} {action.word}" in line for line in lines)


def test_the_signs_of_a_session_always_fit() -> None:
    """Set wide where there is room, close where there is less, left out where there is none."""
    assert "▸ · ·" == journey((), 1, 3)
    assert "▸" + "·" * (ROOM - 1) == journey((), 1, ROOM)
    assert "" == journey((), 1, ROOM + 1)


def test_each_answer_leaves_its_sign(tmp_path: Path) -> None:
    """Right, partly, passed over and a slip have signs of their own, no color needed."""
    app = app_in(tmp_path, rung=3, count=5, types=TWO_FIVE)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await typed(pilot, "2 5 1")
        await press(pilot, "enter")
        await typed(pilot, "2 5 6")
        await press(pilot, "enter", "f8", "enter")
        await typed(pilot, "2 5 1")
        await press(pilot, "s", "enter")
        assert "● ◐ ○ – ▸" in shown(app)

    piloted(app, play)


def test_a_prompt_is_parted_into_key_question_and_row() -> None:
    """What is said of the key stands apart, the row of blanks is left to be drawn."""
    assert ("The key of Db major is given.", "3 chords sound. Which?") == parted(
        "The key of Db major is given. 3 chords sound. Which? _ _ ·"
    )
    assert ("", "What is it?") == parted("What is it?")


def test_the_row_shows_what_is_typed_so_far(tmp_path: Path) -> None:
    """Each degree stands in its blank as soon as it is typed; what can't be read leaves the blanks."""
    question, _ = draw("name-functions", "major-two-five-one", 3, Random(1))
    blanks = len(question.blanks)
    assert ("2", *["___"] * (blanks - 1)) == filled(question, "2 ")
    assert ("2", "5", "1") == filled(question, "2 5 1")
    assert ("2", "5", "1") == filled(question, "251")
    assert ("___",) * blanks == filled(question, "purple")
    app = app_in(tmp_path, rung=3, types=TWO_FIVE)

    async def play(pilot: Pilot[int]) -> None:
        await press(pilot, "enter")
        await written(pilot, "ii7 V7")
        await settled(pilot)
        assert ["ii7", "V7", "___"] in [line.split() for line in shown(app).splitlines()]

    piloted(app, play)


def test_helps_are_counted() -> None:
    """A help taken twice is named once with how often."""
    assert "again ×2, bass" == helps_told(("again", "bass", "again"))
