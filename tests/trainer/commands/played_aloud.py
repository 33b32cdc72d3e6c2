"""Plays aloud and keeps what the loudspeaker gave: run by test_play_device.py under with-virtual-sound.sh."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.trainer.commands.commanding import CHART, COMMAND
from trainer import places
from trainer.settings import save

RATE_HZ = 48_000


@contextmanager
def recorded(path: Path) -> Iterator[None]:
    """Record the loudspeaker for as long as the block lasts."""
    command = ("parec", "-d", os.environ["VSOUND_PULSE_MONITOR"], "--raw", "--format=float32le")
    with path.open("wb") as file:
        recorder = subprocess.Popen((*command, f"--rate={RATE_HZ}", "--channels=2", "--latency-msec=20"), stdout=file)
        deadline = time.monotonic() + 10
        while not path.stat().st_size and time.monotonic() < deadline:
            time.sleep(0.01)
        yield
        time.sleep(0.3)
        recorder.terminate()
        recorder.wait(10)


def main(folder: Path) -> int:
    """A tune to its end with its lines, and one that Ctrl-C stops after two seconds; the level was set before."""
    os.environ["KEYFARER_HOME"] = str(folder / "home")
    save(places.settings_file(), level_set=True)
    with recorded(folder / "whole.raw"):
        command = (*COMMAND, "play", "-", "--tempo", "240")
        whole = subprocess.run(command, input=CHART.encode(), capture_output=True, check=False, timeout=60)
    (folder / "whole.txt").write_bytes(whole.stdout + whole.stderr + b"exit %d\n" % whole.returncode)
    with recorded(folder / "stopped.raw"):
        stopped = subprocess.Popen((*COMMAND, "play", "coal-barge"), stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
        assert stopped.stdout is not None
        first = stopped.stdout.readline()
        time.sleep(2.0)
        stopped.send_signal(signal.SIGINT)
        rest = stopped.stdout.read()
        stopped.wait(20)
    (folder / "stopped.txt").write_bytes(first + rest + b"exit %d\n" % stopped.returncode)
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
