"""How long a file takes, beside another synthesizer that plays the same notes: the whole command, start and all.

FluidSynth renders samples of a General MIDI sound font with its reverberation and chorus; it stands for what a
player has at hand to make sound of a MIDI file. Both write 48 kHz in stereo, it in 16 bits and we in 24.
"""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Mapping
from pathlib import Path

import pytest

MOST_OF_FLUIDSYNTH = {"dry": 0.88, "in a room": 1.08}
"""Of the processor's time that it takes for the same notes, which other programs hardly lengthen. Reached are
about 0.75 and 0.92; by the clock 0.53 and 0.59, for a second process loads the arrays while the first one reads.
Half of ours goes into starting: the interpreter, the imports of the reading and of the arrays."""
OPTIONS = {"dry": ("--room", "0"), "in a room": ("--room", "0.3")}
ROUNDS = 15
SOUND_FONT = Path("/usr/share/sounds/sf2/TimGM6mb.sf2")
TUNE = "foundry-shift"
"""48 seconds with its count-in."""


@pytest.fixture
def surroundings(tmp_path: Path) -> dict[str, str]:
    """A player's own folders, one thread for the arrays, and bytecode kept as an installed program has it."""
    kept = {**os.environ, "PYTHONPYCACHEPREFIX": str(tmp_path / "bytecode"), "OPENBLAS_NUM_THREADS": "1"}
    kept.pop("PYTHONDONTWRITEBYTECODE", None)
    return kept


def taken(command: tuple[str, ...], folder: Path, surroundings: Mapping[str, str]) -> tuple[float, float]:
    """Time of one run in seconds, by the clock and by the processor."""
    began = time.perf_counter()
    with subprocess.Popen(command, cwd=folder, stdout=subprocess.DEVNULL, env=surroundings) as running:
        _, status, used = os.wait4(running.pid, 0)
        running.returncode = os.waitstatus_to_exitcode(status)
    assert 0 == running.returncode
    return time.perf_counter() - began, used.ru_utime + used.ru_stime


@pytest.mark.skipif(shutil.which("fluidsynth") is None, reason="fluidsynth isn't installed here")
@pytest.mark.skipif(not SOUND_FONT.exists(), reason=f"{SOUND_FONT.name} isn't installed here")
@pytest.mark.parametrize("how", OPTIONS)
def test_a_tune_is_written_as_soon_as_by_a_sampler(
    how: str, tmp_path: Path, surroundings: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    """`keyfarer play --to x.wav` of 48 s, reading the chart included, beside FluidSynth's time for its notes."""
    ours = (sys.executable, "-m", "trainer", "play", TUNE, *OPTIONS[how], "--to")
    assert 0 == subprocess.run((*ours, "tune.mid"), cwd=tmp_path, env=surroundings, check=False).returncode
    theirs = ("fluidsynth", "-ni", "-F", "theirs.wav", "-r", "48000", str(SOUND_FONT), "tune.mid")
    taken((*ours, "ours.wav"), tmp_path, surroundings)
    turns = [
        (*taken((*ours, "ours.wav"), tmp_path, surroundings), *taken(theirs, tmp_path, surroundings))
        for _ in range(ROUNDS)
    ]
    clock, work, their_clock, their_work = (min(column) for column in zip(*turns, strict=True))
    with capsys.disabled():
        sys.stdout.write(
            f"\na tune of 48 s as WAV, {how}: {1000 * clock:.0f} ms, {clock / their_clock:.2f} of FluidSynth's time by "
            f"the clock; {1000 * work:.0f} ms, {work / their_work:.2f} of it by the processor\n"
        )
    assert 40 < (tmp_path / "ours.wav").stat().st_size / (48_000 * 2 * 3) < 60
    assert 40 < (tmp_path / "theirs.wav").stat().st_size / (48_000 * 2 * 2) < 60
    assert work / their_work <= MOST_OF_FLUIDSYNTH[how]
