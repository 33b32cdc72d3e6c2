"""What workers tell the screens."""

from textual.message import Message

from trainer.practice.session import State


class Moved(Message):
    """The session stands somewhere new."""

    def __init__(self, state: State) -> None:
        super().__init__()
        self.state = state


class Refused(Message):
    """Something could not be done; the words are for the player, nothing has changed."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words
