"""No sound at all, but in time: a clock draws the frames, and what was to sound goes to a WAV."""

import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.outputs.feed import Feed
from synth.outputs.source import Source

Samples = NDArray[np.float32]

PERIOD_S: Final = 0.02

FILE_NAME: Final = "unheard.wav"
"""The file always holds what was to sound last."""


class _Dropped(Exception):
    """Something else is to sound before the file was whole."""


class SilentSink:
    """A clock in a device's place."""

    silent = True
    name = "silence"
    underflows = 0
    latency_s = 0.0

    def __init__(self, feed: Feed, folder: Path | None) -> None:
        self._feed = feed
        self.rate = feed.rate
        folder = Path(tempfile.mkdtemp(prefix="unheard-")) if folder is None else folder
        self.path = folder / FILE_NAME
        self.trouble: str | None = None
        """Why the file could not be written, if so."""
        self._writer: threading.Thread | None = None
        self._dropped = threading.Event()
        self._ended = threading.Event()
        self._clock = threading.Thread(target=self._run, daemon=True)

    def begin(self) -> None:
        """Draw from now on."""
        self._clock.start()

    def stop(self) -> None:
        """Stop the clock; when this returns nothing more is drawn."""
        self._ended.set()
        if self._clock.ident is not None:
            self._clock.join()

    def _run(self) -> None:
        due = time.monotonic()
        out = np.empty((round(PERIOD_S * self._feed.rate), 2), dtype=np.float32)
        while not self._ended.is_set():
            self._feed.fill(out, 0.0)
            due += PERIOD_S
            self._ended.wait(max(due - time.monotonic(), 0.0))

    def keep(self, source: Source) -> None:
        """Write what is to sound to the file, beside the clock; what was to sound before is let be."""
        self._dropped.set()
        self.settle()
        self._dropped = dropped = threading.Event()
        self._writer = threading.Thread(target=self._write, args=(source, dropped), daemon=True)
        self._writer.start()

    def _write(self, source: Source, dropped: threading.Event) -> None:
        from synth.wav_file import write_pieces

        def pieces() -> Iterator[Samples]:
            for piece in source.pieces():
                if dropped.is_set():
                    raise _Dropped
                yield np.clip(piece, -1.0, 1.0)

        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_pieces(self.path, pieces(), source.rate)
            self.trouble = None
        except _Dropped:
            pass
        except (SoundError, OSError) as error:
            self.trouble = str(error)

    def settle(self) -> None:
        """Wait until the file is written."""
        if self._writer is not None:
            self._writer.join()

    def alive(self) -> bool:
        """Say whether the clock runs."""
        return not self._ended.is_set()

    def close(self) -> None:
        """Stop the clock, and wait until the file is written."""
        self.stop()
        self.settle()

    def leave_behind(self, closing: threading.Thread) -> None:
        """Nothing hangs here."""
