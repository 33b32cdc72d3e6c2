"""How much faster than real time a chart is rendered and leveled: one core, one BLAS thread, stereo."""

import sys
import time
from collections.abc import Callable
from dataclasses import replace

import pytest
from threadpoolctl import threadpool_limits

from synth import partials
from synth.level import leveled
from synth.render import render
from synth.score import Score
from tests.synth.scores import RATE, comping

SECONDS = 48

ROUNDS = 60
"""The best round counts: other work on the machine only ever makes one slower."""


def best_s(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """The shortest time that the work took."""
    times = []
    with threadpool_limits(limits=1):
        for _ in range(rounds):
            began = time.perf_counter()
            work()
            times.append(time.perf_counter() - began)
    return min(times)


def told(capsys: pytest.CaptureFixture[str], words: str) -> None:
    """Show a figure whether or not the test passes."""
    with capsys.disabled():
        sys.stdout.write(f"\n{words}\n")


@pytest.fixture(scope="module")
def music() -> Score:
    """48 s of comping: a four-note chord each half bar at 120 over a bass in quarters, drawn at random."""
    return comping(SECONDS)


def test_rendering_against_real_time(music: Score, capsys: pytest.CaptureFixture[str]) -> None:
    """48 s of stereo comping are rendered 1,000 times faster than they last."""
    ratio = SECONDS / best_s(lambda: render(music))
    told(capsys, f"rendering: {ratio:.0f} times real time")
    assert ratio >= 1000


@pytest.mark.parametrize("channels", [1, 2])
def test_rendering_with_nothing_reused(music: Score, channels: int, capsys: pytest.CaptureFixture[str]) -> None:
    """Even where no chord comes back and no key was laid out before it stays far ahead of real time."""
    notes = [replace(note, velocity=40 + place % 88) for place, note in enumerate(music.notes)]
    anew = replace(music, notes=tuple(notes))

    def cold() -> object:
        partials._kept.clear()
        return render(anew, channels=channels)

    ratio = SECONDS / best_s(cold)
    told(capsys, f"rendering, nothing reused, {channels} channels: {ratio:.0f} times real time")
    assert ratio >= 500


def test_leveling_against_real_time(music: Score, capsys: pytest.CaptureFixture[str]) -> None:
    """Loudness, true peak and gain together cost less than a 300th of the sound's length."""
    sound = render(music)
    ratio = SECONDS / best_s(lambda: leveled(sound, RATE))
    told(capsys, f"leveling: {ratio:.0f} times real time")
    assert ratio >= 300


def test_a_question_is_ready_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    """Four seconds of a question are rendered and leveled within a 200th of their length."""
    question = comping(4)
    ratio = 4 / best_s(lambda: leveled(render(question), RATE))
    told(capsys, f"a question, rendered and leveled: {ratio:.0f} times real time, {4000 / ratio:.1f} ms")
    assert ratio >= 200
