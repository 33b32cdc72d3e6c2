"""No sound at all, but in time: a clock draws the frames, and what was to sound goes to a WAV."""

import tempfile
import threading
import time
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.outputs.feed import Feed

Samples = NDArray[np.float32]

PERIOD_S: Final = 0.02

FILE_NAME: Final = "unheard.wav"
"""The file always holds what was to sound last."""


class SilentSink:
    """A clock in a device's place."""

    silent = True
    name = "silence"

    def __init__(self, feed: Feed, folder: Path | None) -> None:
        self._feed = feed
        folder = Path(tempfile.mkdtemp(prefix="unheard-")) if folder is None else folder
        self.path = folder / FILE_NAME
        self.trouble: str | None = None
        """Why the file could not be written, if so."""
        self._writers: list[threading.Thread] = []
        self._ended = threading.Event()
        threading.Thread(target=self._run, daemon=True).start()

    def _run(self) -> None:
        due = time.monotonic()
        out = np.empty((round(PERIOD_S * self._feed.rate), 2), dtype=np.float32)
        while not self._ended.is_set():
            self._feed.fill(out, 0.0)
            due += PERIOD_S
            self._ended.wait(max(due - time.monotonic(), 0.0))

    def keep(self, samples: Samples) -> None:
        """Write what is to sound to the file, beside the clock."""
        self.settle()
        writer = threading.Thread(target=self._write, args=(samples,), daemon=True)
        writer.start()
        self._writers.append(writer)

    def _write(self, samples: Samples) -> None:
        from synth.wav_file import write_sound

        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_sound(self.path, np.clip(samples, -1.0, 1.0), self._feed.rate)
            self.trouble = None
        except (SoundError, OSError) as error:
            self.trouble = str(error)

    def settle(self) -> None:
        """Wait until the file is written."""
        while self._writers:
            self._writers.pop().join()

    def alive(self) -> bool:
        """Say whether the clock runs."""
        return not self._ended.is_set()

    def close(self) -> None:
        """Stop the clock, and wait until the file is written."""
        self._ended.set()
        self.settle()

    def leave_behind(self, closing: threading.Thread) -> None:
        """Nothing hangs here."""
