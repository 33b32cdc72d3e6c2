"""What a session came to, in words: what went well, what to hear again, what falls due tomorrow."""

from datetime import date
from pathlib import Path

import pytest

from tests.trainer.practice.practising import session_in
from trainer.practice.session import Asking, Session, Told
from trainer.practice.summary import TIRED, Summary, UnitLine, summary
from trainer.practice.words import summary_lines

DAY = date(2026, 3, 14)


def answered(session: Session, right: bool) -> Told:
    """Answer the question that waits, right or not."""
    state = session.state
    assert isinstance(state, Asking)
    told = session.answer(" ".join(state.question.accepted[0])) if right else session.skip()
    return told


def line(name: str, right: int, asked: int, credit: float, helped: int = 0, *taken_for: str) -> UnitLine:
    """One type's line."""
    return UnitLine(name, name, asked, right, credit, None, None, helped, taken_for)


def result(*units: UnitLine, **values: object) -> Summary:
    """A summary of some types."""
    return Summary(9, 5, 0.6, units, False, **values)  # type: ignore[arg-type]


def test_what_went_well_and_what_to_hear_again() -> None:
    """All right without help went well; what was missed much, or taken for another, is named, the least heard first."""
    told = summary_lines(
        result(
            line("backdoor", 3, 3, 1.0), line("half", 2, 2, 1.0, 1), line("plagal", 1, 2, 0.8, 0, "backdoor", "half"),
            line("turnaround", 0, 2, 0.2),
        ),
        DAY,
    )  # fmt: skip
    assert "Went well, all right without help: backdoor." in told
    assert "To hear again: turnaround; plagal (taken for backdoor; half)." in told


def test_a_good_session_has_nothing_to_hear_again() -> None:
    """Where all went well nothing is said to be heard again, and nothing falls due that doesn't."""
    told = " ".join(summary_lines(result(line("backdoor", 3, 3, 1.0)), DAY))
    assert "Went well" in told
    assert "again" not in told
    assert "tomorrow" not in told


def test_what_falls_due_tomorrow_is_told() -> None:
    """All types due by tomorrow are counted, five of them named."""
    told = summary_lines(result(due_tomorrow=("backdoor",)), DAY)
    assert "Due by tomorrow, 1 type: backdoor two–five." in told
    many = summary_lines(result(due_tomorrow=tuple(f"route:{n}" for n in range(7))), DAY)
    assert any(line.startswith("Due by tomorrow, 7 types: ") and line.endswith(" and 2 more.") for line in many)


def test_a_session_is_summed_up_from_its_answers(tmp_path: Path) -> None:
    """Right, helps and due days are those of the session; a missed type is due tomorrow and to be heard again."""
    session = session_in(tmp_path, types=("major-two-five-one", "plagal"), count=4)[0]
    session.begin()
    rights: dict[str, int] = {}
    while isinstance(session.state, Asking):
        told = answered(session, session.state.item.unit == "plagal")
        rights[told.item.unit] = rights.get(told.item.unit, 0) + told.mark.exact
        session.go_on()
    found = summary(session.told, session.store, DAY)
    assert rights == {unit.unit: unit.right for unit in found.units}
    assert ["plagal"] == [unit.unit for unit in found.well]
    assert ["major-two-five-one"] == [unit.unit for unit in found.again]
    assert "major-two-five-one" in found.due_tomorrow
    assert () == summary(session.told, session.store).due_tomorrow


@pytest.mark.parametrize(("rights", "tired"), [("11111110000000", True), ("10101010101010", False), ("1100", False)])
def test_tiredness_is_told_once(tmp_path: Path, rights: str, tired: bool) -> None:
    """Later answers that fall short of what was expected, are told in one line; few tell nothing."""
    session = session_in(tmp_path, types=("plagal", "backdoor"), count=len(rights))[0]
    session.begin()
    for right in rights:
        answered(session, right == "1")
        session.go_on()
    found = summary(session.told, session.store, DAY, session.known_before)
    assert tired == found.tired
    assert int(tired) == summary_lines(found, DAY).count(TIRED)
    assert 0 == session.known_before.trials
    assert not summary(session.told, session.store, DAY).tired
