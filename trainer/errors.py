"""Errors that a player can read: where it is, what was found, what would have been right."""

from trainer.records import dataclass


class KeyfarerError(Exception):
    """Anything that is the input's fault or the machine's, told in words for the player."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a text: its place, what stands there and what would have been accepted."""

    line: int
    """Line in the text, from 1; 0 when the fault is the whole text's."""
    column: int
    """Column in the line, from 1, counted in characters; 0 when the fault is the whole line's."""
    found: str
    expected: str

    def told(self, file: str) -> str:
        """The fault as one line for the player."""
        place = file
        if self.line:
            place += f", line {self.line}"
            if self.column:
                place += f", column {self.column}"
        return f"{place}: found {self.found}; expected {self.expected}"


class TextError(KeyfarerError):
    """A text that can't be read; holds every fault found in it."""

    def __init__(self, file: str, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(fault.told(file) for fault in faults))
        self.file = file
        self.faults = faults
