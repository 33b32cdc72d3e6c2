"""Small and read-only disks for the tests: real file systems, mounted for a test and taken away after it."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


def _mounted(*words: str) -> None:
    """Mount something, or skip the test where nobody may."""
    if shutil.which("mount") is None or not hasattr(os, "geteuid") or os.geteuid() != 0:
        pytest.skip("mounting a disk takes Linux and the superuser")
    done = subprocess.run(("mount", *words), capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"no disk can be mounted here: {done.stderr.strip()}")


@contextmanager
def small_disk(folder: Path, kilobytes: int) -> Iterator[Path]:
    """A disk in memory of so many kilobytes (Linux's tmpfs)."""
    folder.mkdir()
    _mounted("-t", "tmpfs", "-o", f"size={kilobytes}k", "none", str(folder))
    try:
        yield folder
    finally:
        subprocess.run(("umount", str(folder)), check=True)


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """While this lasts nobody can write into a folder, not even the superuser (a read-only bind mount)."""
    _mounted("--bind", str(folder), str(folder))
    try:
        subprocess.run(("mount", "-o", "remount,ro,bind", str(folder)), check=True)
        yield
    finally:
        subprocess.run(("umount", str(folder)), check=True)
