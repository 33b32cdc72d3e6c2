"""Whatever bytes another program's file has: it is refused with reasons, or it can be played out and written."""

from pathlib import Path

import pytest

from tests.fuzzing import fuzzes_clean, needs_fuzzer


@pytest.mark.long
@needs_fuzzer
def test_fuzzing_finds_nothing(tmp_path: Path) -> None:
    """For some minutes the fuzzer finds no MIDI file, no score and no chord that crashes or hangs."""
    fuzzes_clean("tests.trainer.charts.fuzz_files", tmp_path)
