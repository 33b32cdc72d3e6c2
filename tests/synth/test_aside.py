"""Sound files written by a second process: the same files, the same faults, and nothing left behind."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from synth.aside import Aside
from synth.errors import SoundError
from synth.score import Note, Score, TempoChange
from synth.tune_file import TuneFile, write_tune

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system makes no copies of processes")

SCORE = Score(
    tuple(Note(n * 0.5, 0.4, 55 + n, 80, "keys") for n in range(16)), 9.0, (TempoChange(0.0, 120.0),), (), title="Nine"
)


def wanted(path: Path, room: float = 0.3) -> TuneFile:
    """A short tune in a file."""
    return TuneFile(path, SCORE, 440.0, room, {"title": "Nine"})


BEGUN = """
import os, sys, threading
from pathlib import Path
from synth.aside import Aside
from synth.errors import SoundError
from tests.synth.test_aside import wanted

assert threading.active_count() == 1
os.cpu_count = lambda: 2
"""


def run(code: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run some lines in an interpreter of one thread, for a copy is made of no other."""
    return subprocess.run(
        (sys.executable, "-c", BEGUN + code), cwd=folder, capture_output=True, text=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )  # fmt: skip


@pytest.mark.parametrize("name", ["tune.wav", "tune.flac"])
def test_the_file_is_the_one_that_would_be_written_here(name: str, tmp_path: Path) -> None:
    """The second process writes the same bytes and tells the same measures."""
    here = write_tune(wanted(tmp_path / f"here-{name}"))
    done = run(
        f"with Aside() as aside:\n    assert aside.process\n    print(*aside.write(wanted(Path('{name}'))))\n", tmp_path
    )
    assert ("", " ".join(map(str, here))) == (done.stderr, done.stdout.strip())
    assert (tmp_path / f"here-{name}").read_bytes() == (tmp_path / name).read_bytes()


def test_without_an_order_it_ends_by_itself(tmp_path: Path) -> None:
    """When nothing is written the second process is gone at the end of the context."""
    done = run(
        "with Aside() as aside:\n    other = aside.process\n"
        "try:\n    os.kill(other, 0)\nexcept ProcessLookupError:\n    print('gone')\n",
        tmp_path,
    )
    assert ("gone\n", "") == (done.stdout, done.stderr)


def test_what_goes_wrong_there_is_told_here(tmp_path: Path) -> None:
    """A fault of the second process is raised in the first, word for word."""
    code = (
        "try:\n    with Aside() as aside:\n        aside.write(wanted(Path('nowhere/tune.wav')))\n"
        "except SoundError as error:\n    print(error)\n"
    )
    with pytest.raises(SoundError) as here:
        write_tune(wanted(Path("nowhere/tune.wav")))
    assert (f"{here.value}\n", "") == ((done := run(code, tmp_path)).stdout, done.stderr)


def test_an_end_from_outside_is_told(tmp_path: Path) -> None:
    """When the second process is killed before it has written, that is said in words."""
    done = run(
        "with Aside() as aside:\n    os.kill(aside.process, 9)\n    os.waitid(os.P_PID, aside.process, os.WEXITED |"
        " os.WNOWAIT)\n    try:\n        aside.write(wanted(Path('tune.wav')))\n"
        "    except SoundError as error:\n        print(error)\n",
        tmp_path,
    )
    assert ("tune.wav: the process that writes it was ended from outside; try again\n", "") == (
        done.stdout,
        done.stderr,
    )
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize("after_s", [0.15, 0.4, 0.8, 1.2])
def test_breaking_off_leaves_nothing_behind(after_s: float, tmp_path: Path) -> None:
    """Ctrl-C while a long tune is written ends both processes, and no file, whole or begun, is there."""
    command = (sys.executable, "-m", "trainer", "play", "foundry-shift", "--choruses", "16", "--to", "long.wav")
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    ) as running:  # fmt: skip
        time.sleep(after_s)
        os.killpg(running.pid, signal.SIGINT)
        _, told = running.communicate(timeout=60)
    if running.returncode == 0:  # it was quicker
        assert ["long.wav"] == [path.name for path in tmp_path.iterdir()]
    else:
        assert [] == list(tmp_path.iterdir())
        assert running.returncode in (130, -signal.SIGINT), told
    with pytest.raises(ProcessLookupError):
        os.killpg(running.pid, 0)


def test_with_more_threads_the_file_is_written_here(tmp_path: Path) -> None:
    """A process of several threads isn't copied, for a lock that another thread holds would be held for ever."""
    code = (
        "stop = threading.Event()\nthreading.Thread(target=stop.wait).start()\n"
        "with Aside() as aside:\n    print(aside.process)\n    aside.write(wanted(Path('tune.wav')))\nstop.set()\n"
    )
    assert ("None\n", "") == ((done := run(code, tmp_path)).stdout, done.stderr)
    assert (tmp_path / "tune.wav").is_file()


def test_who_writes_no_sound_has_no_second_process() -> None:
    """Nothing is copied for a tune that is played."""
    with Aside(False) as aside:
        assert aside.process is None
