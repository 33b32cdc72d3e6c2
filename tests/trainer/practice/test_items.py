"""What the player fixed, as questions to ask."""

from random import Random

import pytest

from trainer.drills.rungs import DrillError
from trainer.memory.chance import start
from trainer.practice.items import fixed
from trainer.practice.materials import exercise_material


def test_a_kind_that_follows_tunes_takes_the_exercise_tunes() -> None:
    """Where no tune is named, the routes of all exercise tunes that move are asked, each once a round."""
    moving = {f"route:{tune.id}" for tune in exercise_material() if len(tune.analysis.route) > 1}
    items = fixed((), ("follow-route",), 3, len(moving), start(), Random(2))
    assert moving == set(items.types)


def test_moves_are_asked_by_the_kind_that_trains_them() -> None:
    """A move is asked as a move, and any other kind for it is refused with what there is."""
    item = fixed(("move:+3:major-minor",), (), 4, 1, start(), Random(2)).next((), None)
    assert item is not None
    assert ("move:+3:major-minor", "key-moves") == (item.unit, item.kind)
    with pytest.raises(DrillError, match="can't be asked as dictation; it is trained by key-moves"):
        fixed(("move:+3:major-minor",), ("dictation",), 4, 1, start(), Random(2))
