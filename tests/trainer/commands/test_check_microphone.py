"""`keyfarer check --microphone`: its level in lines, closed again in the end whatever happens."""

import numpy as np
import pytest

from tests.doubles.microphone import MicrophoneTwin
from tests.trainer.commands.commanding import keyfarer
from trainer.commands.check_microphone import SECONDS, run_check_microphone

HALF = (0.5 * np.sin(2 * np.pi * np.arange(4800) / 48)).astype(np.float32)
"""A sine of amplitude 0.5: -9.03 dBFS, its peak -6.02 dBFS (closed form)."""


def test_it_is_open_for_some_seconds_and_closed_again(capsys: pytest.CaptureFixture[str]) -> None:
    """It says that it is open and that nothing is kept, each second how loud it is, and that it is closed."""
    twin, waited = MicrophoneTwin(heard=HALF), []
    assert 0 == run_check_microphone(lambda: twin, waited.append)
    first, *levels, last = capsys.readouterr().out.splitlines()
    assert "The microphone is open for 5 seconds: twin's ear. Nothing is recorded or kept." == first
    assert ["-9 dBFS, peak -6 dBFS"] * SECONDS == levels
    assert "The microphone is closed." == last
    assert ([1.0] * SECONDS, 1) == (waited, twin.closed)


def test_silence_has_its_word(capsys: pytest.CaptureFixture[str]) -> None:
    """No number where there is nothing."""
    run_check_microphone(MicrophoneTwin, lambda seconds: None)
    assert SECONDS == capsys.readouterr().out.splitlines().count("silence")


def test_ctrl_c_closes_it() -> None:
    """Who stops it leaves nothing open."""
    twin = MicrophoneTwin()

    def stopped(seconds: float) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_check_microphone(lambda: twin, stopped)
    assert 1 == twin.closed


def test_one_that_goes_away_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    """It is said, and there is nothing more to say."""
    twin = MicrophoneTwin()
    run_check_microphone(lambda: twin, lambda seconds: setattr(twin, "open", False))
    assert "The microphone went away." == capsys.readouterr().out.splitlines()[-1]
    assert 1 == twin.closed


@pytest.mark.parametrize("columns", ["40", "80"])
def test_without_a_microphone_the_mend_is_told(columns: str) -> None:
    """Where there is none the command says what would help, and exit is 2; where there is one its lines fit."""
    done = keyfarer("check", "--microphone", surroundings={"COLUMNS": columns})
    if done.returncode:
        assert (2, "") == (done.returncode, done.stdout)
        assert "mend: " in done.stderr
    else:
        assert all(len(line) <= int(columns) for line in done.stdout.splitlines())
