"""What workers tell the screens."""

from textual.message import Message


class Moved(Message):
    """A step of the session is done; the session's own state says where it stands."""

    def __init__(self, words: str = "") -> None:
        super().__init__()
        self.words = words
        """For the player, where the step has something to say."""


class Refused(Message):
    """A step could not be done; the words are for the player."""

    def __init__(self, words: str) -> None:
        super().__init__()
        self.words = words
