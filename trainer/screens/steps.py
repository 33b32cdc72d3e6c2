"""What a session is asked to do, each step by its name."""

from trainer.harmony.note_names import Naming
from trainer.practice.naming import read_typed
from trainer.practice.session import Done, Session
from trainer.practice.words import name_of


def heard(session: Session, help: str) -> None:
    """Let a session play the question with a help."""
    session.hear(help)


def paused(session: Session) -> None:
    """Stop a session's sound and clock, or let it go on."""
    session.pause()


def answered(session: Session, typed: str, naming: Naming) -> None:
    """Give a session an answer in the player's note names."""
    session.answer(read_typed(typed, naming))


def skipped(session: Session) -> None:
    """Let a session pass the question over."""
    session.skip()


def stopped(session: Session) -> None:
    """End a session that is not over."""
    if not isinstance(session.state, Done):
        session.stop()


def slipped(session: Session) -> str:
    """Take the last answer back as a slip; says which that was."""
    if not session.told:
        return "Nothing has been answered yet."
    told = session.slip()
    return f"Question {told.number} counts as a slip: {name_of(told.item.unit)}."
