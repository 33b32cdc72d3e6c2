"""After an answer about key centers: parts beneath their chords where they have one, all others in a table."""

from pathlib import Path

import pytest

from tests.trainer.practice.practising import session_in
from trainer.drills.question import Question
from trainer.practice.session import Asking, Told
from trainer.screens.drill import chords_of
from trainer.screens.told import part_rows, row_lines


def answered(folder: Path, kind: str, unit: str, text: str | None) -> tuple[Question, Told]:
    """One question on the third rung, answered or passed over."""
    session, *_ = session_in(folder, (unit,), (kind,), rung=3)
    session.begin()
    assert isinstance(session.state, Asking)
    question = session.state.question
    told = session.skip() if text is None else session.answer(text)
    return question, told


def test_a_move_is_told_part_by_part(tmp_path: Path) -> None:
    """Every chord is asked about, each stands there as a degree of its own center, and the move is told beneath."""
    question, told = answered(tmp_path, "key-moves", "move:+3:major-major", "+3")
    assert all(chord.asked for chord in chords_of(question))
    was, sounded = row_lines(told)
    assert "I" in {text.rstrip("maj67") for text in was.cells}
    assert tuple(chord.text for chord in question.chords) == sounded.cells
    assert "V7" in was.cells[3:]
    assert [("", "you said", "it was", ""), ("the move", "up a minor third", "up a minor third", "right")] == part_rows(
        told
    )


def test_what_was_passed_over_is_told_too(tmp_path: Path) -> None:
    """Without an answer it stands there what it was."""
    _, told = answered(tmp_path, "key-moves", "move:+3:major-major", None)
    assert [("", "", "it was"), ("the move", "", "up a minor third")] == part_rows(told)


@pytest.mark.parametrize("typed", [True, False])
def test_a_dictation_has_its_chords_in_the_row_and_its_centers_beneath(tmp_path: Path, typed: bool) -> None:
    """A center that was missed or imagined is told beneath; chords stand in the row."""
    session, *_ = session_in(tmp_path, ("major-two-five-one",), ("dictation",), rung=3)
    session.begin()
    assert isinstance(session.state, Asking)
    question = session.state.question
    count = len(question.chords)
    told = session.answer("2 to 5: " + "1 " * (count - 1)) if typed else session.skip()
    if not typed:
        assert [] == part_rows(told)
        assert question.accepted[0] == tuple(row_lines(told)[0].cells)
        return
    assert 1 == sum(row[1] == "5" for row in part_rows(told))
    assert count == len(row_lines(told)[0].cells)
