"""Figures that benchmarks reach are told as they come, and once more as a table at the end."""

import pytest

from tests.benchmarks.timing import Figures
from tests.trainer.reading.telling import tell

FIGURES = Figures()
"""All figures of this run."""


@pytest.fixture
def figures(capsys: pytest.CaptureFixture[str]) -> Figures:
    """Where a benchmark puts what it reached."""
    FIGURES.say = lambda words: tell(capsys, words)
    return FIGURES


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Write all figures as a table."""
    if FIGURES.rows:
        terminalreporter.section("figures")
        for row in FIGURES.table():
            terminalreporter.write_line(row)
