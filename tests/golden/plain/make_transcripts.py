"""Writes the transcripts: `python -m tests.golden.plain.make_transcripts`; read the difference before you commit it."""

import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random

from tests.trainer.practice.practising import HandClock, Remembering
from trainer.commands.plain import run_plain
from trainer.drills.kinds import KINDS
from trainer.memory.chance import start
from trainer.memory.store import open_store
from trainer.practice.items import fixed
from trainer.practice.materials import exercise_material
from trainer.practice.session import Asking, Session

HERE = Path(__file__).parent
ROUTE_UNIT = "route:the-lending-stair"
"""For the kind of drill that has no unit but those of tunes."""
UNITS = {
    "catch-interruption": "interrupted-after-two-five-and-again", "key-moves": "move:+3:major-minor",
    "follow-route": ROUTE_UNIT, "tell-apart": "backdoor",
}  # fmt: skip
UNIT = "minor-two-five-one"
DAY = date(2026, 3, 14)


def transcript(kind: str) -> str:
    """Two questions that offer answers and two that don't: nonsense, helps, right, passed over, compared, a slip."""
    with tempfile.TemporaryDirectory() as folder:
        parts = [f"{line}\n" for rung in (1, 4) for line in _session(kind, rung, Path(folder) / str(rung))]
    return "".join(parts)


def _session(kind: str, rung: int, folder: Path) -> Iterator[str]:
    folder.mkdir()
    with open_store(folder / "memory.db") as store:
        items = fixed((UNITS.get(kind, UNIT),), (kind,), rung, 2, start(), Random(1))
        session = Session(
            store, items, Remembering(), HandClock(), Random(7), exercise_material, tune_share=1.0, id="a session"
        )
        said: list[str] = []

        def typed() -> Iterator[str]:
            for line in ("again", "purple", "RIGHT", "compare", "skip", "slip"):
                state = session.state
                if line == "RIGHT":
                    assert isinstance(state, Asking)
                    choices, accepted = state.question.choices, state.question.accepted
                    right = " ".join(accepted[0])
                    line = right if choices is None else str(1 + choices.index(accepted[0]))
                said.append(f"> {line}")
                yield line

        run_plain(session, typed(), said.append, DAY, f"Rung {rung}.")
        yield from said


def main() -> None:
    """Write all of them."""
    for kind in KINDS:
        (HERE / f"{kind}.txt").write_text(transcript(kind), encoding="utf-8")


if __name__ == "__main__":
    main()
