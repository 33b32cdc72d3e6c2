"""Figures that a test reaches are always told, also where it passes."""

import sys

import pytest


def tell(capsys: pytest.CaptureFixture[str], *lines: str) -> None:
    """Write lines to the terminal past pytest's capture."""
    with capsys.disabled():
        sys.stdout.write("\n" + "\n".join(lines) + "\n")
        sys.stdout.flush()
