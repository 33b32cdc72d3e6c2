"""Writes the printouts in this folder: `python -m tests.golden.commands.make_printouts`."""

import os
import sys
from contextlib import redirect_stdout
from dataclasses import replace
from datetime import timedelta
from io import StringIO
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.trainer.commands.commanding import keyfarer
from tests.trainer.memory.many_trials import many_trials
from trainer.commands.progress import run_progress
from trainer.memory.store import open_store

FOLDER = Path(__file__).resolve().parent

PRINTOUTS: dict[str, tuple[str, ...]] = {
    "courier.txt": ("analyze", "the-courier-turns-back"),
    "lending-stair-why.txt": ("analyze", "the-lending-stair", "--why"),
    "courier-explained.txt": ("analyze", "the-courier-turns-back", "--explain", "10-12"),
    "courier-compared.txt": ("analyze", "the-courier-turns-back", "--pin", "11=D", "--compare"),
    "coal-barge-in-bb.txt": ("analyze", "coal-barge", "--for", "Bb", "--numerals", "upper"),
    "clockmender-arabic.txt": ("analyze", "the-clockmender-starts-again", "--numerals", "arabic", "--why"),
    "coal-barge-in-eb.txt": ("chart", "transpose", "coal-barge", "--key", "Eb"),
    "courier-tidied.txt": ("chart", "tidy", "the-courier-turns-back"),
    "charts-checked.txt": ("chart", "check", "the-lamplighters-round", "coal-barge"),
    "tunes.txt": ("tunes",),
    "courier-made-of.txt": ("tunes", "show", "the-courier-turns-back"),
    "backdoor.txt": ("types", "backdoor"),
    "settings.txt": ("settings", "comping"),
    "help.txt": ("--help",),
}
"""Each file with the command whose output it holds, at 80 columns."""
PROGRESS: dict[str, tuple[str | None, str | None]] = {
    "progress.txt": (None, None),
    "progress-backdoor.txt": (None, "backdoor"),
    "progress-keys.txt": ("keys", None),
    "progress-firsts.txt": ("firsts", None),
}
"""Each file with the table and the type of the progress that it holds, of a made-up player on a day in 2017."""
UNITS = (
    "major-two-five-one", "backdoor", "minor-plagal", "plagal", "tritone-five-one", "half", "deceptive-six",
    "sus-five-one",
)  # fmt: skip
TRIALS = 420
"""So many answers the made-up player has given."""


def progress_told(name: str, home: Path) -> str:
    """What the progress of the made-up player prints now; its store is made in a folder that is the player's."""
    trials = [
        replace(one, unit=_unit(one.unit), taken_for=one.taken_for and _unit(one.taken_for))
        for one in many_trials(TRIALS, a_day=20, units=len(UNITS))
    ]
    with open_store(home / "memory.db") as store:
        store.append_all(trials)
    told = StringIO()
    with redirect_stdout(told):
        run_progress("text", trials[-1].at_utc + timedelta(days=1), *PROGRESS[name])
    return told.getvalue()


def _unit(made_up: str) -> str:
    return UNITS[int(made_up.removeprefix("unit-"))]


def told(name: str) -> str:
    """What the command of a printout prints now."""
    done = keyfarer(*PRINTOUTS[name], surroundings={"COLUMNS": "80"})
    assert (0, "") == (done.returncode, done.stderr), done.stderr
    assert done.stdout.strip(), f"{name}: nothing was printed"
    return done.stdout


def main() -> int:
    """Write every printout."""
    for name in PRINTOUTS:
        (FOLDER / name).write_text(told(name), encoding="utf-8")
    os.environ["COLUMNS"] = "80"
    for name in PROGRESS:
        with TemporaryDirectory() as home:
            os.environ["KEYFARER_HOME"] = home
            (FOLDER / name).write_text(progress_told(name, Path(home)), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
