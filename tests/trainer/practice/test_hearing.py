"""A microphone that is open only while it is wanted."""

import threading

import pytest

from synth.errors import SoundError
from tests.doubles.microphone import MicrophoneTwin
from trainer.practice.hearing import Hearing


def test_it_is_opened_when_wanted_and_closed_once() -> None:
    """Nothing is opened beforehand; its level can be had while it is open and no longer."""
    twins: list[MicrophoneTwin] = []

    def opened() -> MicrophoneTwin:
        twins.append(MicrophoneTwin())
        return twins[-1]

    hearing = Hearing(opened)
    hearing.begin()
    assert ([], None, "", False) == (twins, hearing.level(), hearing.name, hearing.wanted)
    hearing.want()
    hearing.begin()
    assert ("twin's ear", True, False) == (hearing.name, hearing.wanted, hearing.gone)
    assert hearing.level() is not None
    hearing.end()
    hearing.end()
    assert (None, False, 1) == (hearing.level(), hearing.wanted, twins[0].closed)


def test_one_that_is_no_longer_wanted_by_the_time_it_opens_is_closed() -> None:
    """Who leaves while it is being opened leaves nothing open."""
    twin, coming, may = MicrophoneTwin(), threading.Event(), threading.Event()

    def slow() -> MicrophoneTwin:
        coming.set()
        assert may.wait(10)
        return twin

    hearing = Hearing(slow)
    hearing.want()
    opening = threading.Thread(target=hearing.begin)
    opening.start()
    assert coming.wait(10)
    hearing.end()
    may.set()
    opening.join(10)
    assert (1, False) == (twin.closed, twin.open)
    assert hearing.level() is None


def test_one_that_goes_away_is_known() -> None:
    """It is still to be closed then."""
    twin = MicrophoneTwin()
    hearing = Hearing(lambda: twin)
    hearing.want()
    hearing.begin()
    twin.open = False
    assert hearing.gone
    hearing.end()
    assert (False, 1) == (hearing.gone, twin.closed)


def test_why_it_cannot_be_opened_comes_through() -> None:
    """The error is the port's."""

    def none() -> MicrophoneTwin:
        raise SoundError("no microphone; mend: plug one in")

    hearing = Hearing(none)
    hearing.want()
    with pytest.raises(SoundError, match="plug one in"):
        hearing.begin()
