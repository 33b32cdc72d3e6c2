"""The model of the player as it grows, and those of its stages that are kept to go back to when the past changes."""

from collections.abc import Sequence
from typing import Any

from trainer.memory.chance import Model, start
from trainer.memory.growing import grown
from trainer.memory.model_text import read_model, write_model
from trainer.memory.outcome_rows import PLACE, Place, Rows
from trainer.memory.trial import Counted

MODEL_EVERY = 256
"""The model is kept after every so many trials, the fewer the older, to go back to when the past changes."""
MOST_PORTIONS = 64
"""So many times MODEL_EVERY trials are read at once where no model between them is kept."""


def newest_model(rows: Rows, day_ends_hour: int) -> tuple[Place, Model, int]:
    """The newest model that is kept, with the place of its last trial and the count of trials up to there."""
    row = rows.execute(f"SELECT {PLACE}, model, trials FROM player_models ORDER BY trials DESC LIMIT 1").fetchone()
    if row is None:
        return Place("", "", 0, 0), start(day_ends_hour), 0
    return Place(*row[:4]), read_model(row[4]), row[5]


class Models:
    """The model of the player, growing by portions, and those of its stages that are kept."""

    def __init__(self, count: int, end: int, model: Model) -> None:
        self.count, self.end, self.model = count, end, model
        self.kept: list[tuple[int, int, str]] = []
        """Count of trials, the last of them, and the model as text."""

    def next_stop(self) -> int:
        """The count of trials up to which the next portion goes: where a model is kept, or far enough."""
        stop = self.count - self.count % MODEL_EVERY + MODEL_EVERY
        far = stop + MODEL_EVERY * (MOST_PORTIONS - 1)
        while stop < far and not kept(stop, self.end):
            stop += MODEL_EVERY
        return stop

    def take(self, outcomes: Sequence[Counted], portion: Sequence[Sequence[Any]]) -> None:
        """The next outcomes without slips, and their rows with them: a slip counts for nothing and keeps its place."""
        self.count += len(portion)
        self.model = grown(self.model, outcomes)
        if kept(self.count, self.end):
            self.kept.append((self.count, portion[-1][0], write_model(self.model)))

    def write(self, rows: Rows) -> None:
        """Write the models that are kept, and throw away those that no longer are."""
        rows.executemany(
            "INSERT OR REPLACE INTO player_models (trials, at_utc, store, number, trial, model) "
            "SELECT ?, at_utc, store, number, trial, ? FROM outcomes WHERE trial = ?",
            ((count, model, trial) for count, trial, model in self.kept),
        )
        there = [row[0] for row in rows.execute("SELECT trials FROM player_models")]
        gone = [(trials,) for trials in there if not kept(trials, self.end)]
        rows.executemany("DELETE FROM player_models WHERE trials = ?", gone)


def kept(trials: int, end: int) -> bool:
    """Whether the model after so many trials is kept in a log of `end` trials: two for each doubling of the age."""
    if trials == end or trials % MODEL_EVERY:
        return trials == end
    portion = trials // MODEL_EVERY
    return end // MODEL_EVERY - portion < 2 * (portion & -portion)
