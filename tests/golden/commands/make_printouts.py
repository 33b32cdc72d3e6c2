"""Writes the printouts in this folder: `python -m tests.golden.commands.make_printouts`."""

import sys
from pathlib import Path

from tests.trainer.commands.commanding import keyfarer

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
    "help.txt": ("--help",),
}
"""Each file with the command whose output it holds, at 80 columns."""


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
    return 0


if __name__ == "__main__":
    sys.exit(main())
