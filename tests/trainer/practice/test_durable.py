"""Files that are whole or as they were, and one program at a time over a folder."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from trainer.practice.durable import alone_in, put_whole

COUNTS = """
import sys
from pathlib import Path
from trainer.practice.durable import alone_in, put_whole

folder = Path(sys.argv[1])
for _ in range(40):
    with alone_in(folder):
        file = folder / "count"
        number = int(file.read_text()) if file.exists() else 0
        put_whole(file, str(number + 1).encode())
"""
"""A program that reads a number and writes the next one, forty times."""


def test_a_file_that_cant_be_finished_stays_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the system refuses to bring it to the disk, the old content stands and nothing lies beside it."""
    file = tmp_path / "file"
    put_whole(file, b"old")

    def refuses(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuses)
    with pytest.raises(OSError, match="No space left"):
        put_whole(file, b"new")
    assert b"old" == file.read_bytes()
    assert ["file"] == os.listdir(tmp_path)


def test_content_is_on_the_disk_before_it_has_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The content is synced, then named, then the folder is synced: in this order."""
    done = []
    fsync, replace = os.fsync, os.replace
    monkeypatch.setattr(os, "fsync", lambda descriptor: (done.append("fsync"), fsync(descriptor))[1])
    monkeypatch.setattr(os, "replace", lambda old, new: (done.append("replace"), replace(old, new))[1])
    put_whole(tmp_path / "file", b"new")
    assert ["fsync", "replace", "fsync"][: 2 if sys.platform == "win32" else 3] == done


def test_programs_take_their_turns(tmp_path: Path) -> None:
    """Three programs that each count on forty times come to 120: none reads while another is between its steps."""
    started = [subprocess.Popen((sys.executable, "-c", COUNTS, str(tmp_path))) for _ in range(3)]
    assert [0, 0, 0] == [one.wait(timeout=120) for one in started]
    assert "120" == (tmp_path / "count").read_text()


def test_a_program_that_is_killed_leaves_the_folder_free(tmp_path: Path) -> None:
    """The lock of a program that was killed while it had it is taken at once by the next."""
    code = "import sys, time; from pathlib import Path; from trainer.practice.durable import alone_in\n"
    code += "with alone_in(Path(sys.argv[1])): print('in', flush=True); time.sleep(600)"
    with subprocess.Popen((sys.executable, "-c", code, str(tmp_path)), stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        assert b"in" == holder.stdout.readline().strip()
        holder.kill()
        with alone_in(tmp_path):
            put_whole(tmp_path / "file", b"new")
    assert b"new" == (tmp_path / "file").read_bytes()
