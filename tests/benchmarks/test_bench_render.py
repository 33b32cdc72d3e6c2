"""How much faster than real time scores are rendered and leveled: one core, one BLAS thread.

References in the same run: the sound's own length, and BLAS's float32 product of the same multiplications.
"""

from collections.abc import Callable
from dataclasses import replace

import pytest

from synth import partials
from synth.level import gain_of, leveled
from synth.render import render
from synth.score import Score
from tests.amounts import IN_CI, amount
from tests.benchmarks.timing import Figures, best_s, product_s
from tests.synth.scores import RATE, comping
from trainer.charts.library import exercise_tunes, load
from trainer.charts.unfold import unfold
from trainer.voicing.performance import perform_chart

SECONDS = 48

CHORUSES = 4

AT_LEAST = {1: amount(2000, 1400), 2: amount(1300, 900)}
REPEATING = amount(4500, 3200)
BEFOREHAND = amount(2000, 1400)
"""CI runs on machines of which some are slower by a third; at one's own and with `--long` all of it is held."""
"""Times real time with nothing reused, by channels."""

OF_THE_PRODUCT = 3.3 if IN_CI else 2.7
"""Times the bare product that one channel may take with nothing reused; reached are 2.0."""


@pytest.fixture(scope="module")
def music() -> Score:
    """48 s of comping: a four-note chord each half bar at 120 over a bass in quarters, drawn at random."""
    return comping(SECONDS)


@pytest.fixture(scope="module")
def anew(music: Score) -> Score:
    """The same with a strength of its own for each note, so that no chord comes back."""
    return replace(music, notes=tuple(replace(note, velocity=40 + at % 88) for at, note in enumerate(music.notes)))


def cold(music: Score, channels: int) -> Callable[[], object]:
    """Rendering without the tables of any key that was played before."""

    def work() -> object:
        partials.forget_keys()
        return render(music, channels=channels)

    return work


def test_rendering_against_real_time(music: Score, figures: Figures) -> None:
    """48 s of stereo comping are rendered a thousand times faster than they last and more."""
    ratio = SECONDS / best_s(lambda: render(music), enough_s=SECONDS / AT_LEAST[2])
    figures.put("rendering, stereo, as played", f"{ratio:.0f} times real time", f"at least {AT_LEAST[2]}")
    assert ratio >= AT_LEAST[2]


@pytest.mark.parametrize("channels", [1, 2])
def test_rendering_with_nothing_reused(anew: Score, channels: int, figures: Figures) -> None:
    """Where no chord comes back and no key was laid out before it is 1,300 times real time, in one channel 2,000."""
    wanted = AT_LEAST[channels]
    ratio = SECONDS / best_s(cold(anew, channels), enough_s=SECONDS / wanted)
    name = f"rendering, {'mono' if channels == 1 else 'stereo'}, nothing reused"
    figures.put(name, f"{ratio:.0f} times real time", f"at least {wanted}")
    assert ratio >= wanted


def test_rendering_against_its_bare_product(anew: Score, figures: Figures) -> None:
    """All that rendering does beside its multiplications costs less than 1.7 times what these do."""
    bare_s = product_s(anew)
    ratio = best_s(cold(anew, 1), enough_s=OF_THE_PRODUCT * bare_s) / bare_s
    figures.put("rendering, mono, nothing reused", f"{ratio:.2f} times its product", f"at most {OF_THE_PRODUCT}")
    assert ratio <= OF_THE_PRODUCT


def test_choruses_of_the_exercise_tunes(figures: Figures) -> None:
    """Four choruses of each exercise tune of 32 bars are rendered 4,500 times faster than they last, in one channel."""
    ratios: dict[str, float] = {}
    long_s = took_s = 0.0
    for name, source in exercise_tunes():
        timeline = unfold(load(source))
        if len(timeline.bars) != 32:
            continue
        music = perform_chart(timeline, choruses=CHORUSES, count_in=False).score
        best = best_s(cold(music, 1), 10, music.duration_s / REPEATING)
        ratios[name] = music.duration_s / best
        long_s, took_s = long_s + music.duration_s, took_s + best
    worst = min(ratios, key=lambda name: ratios[name])
    figures.put(
        f"rendering, mono, {CHORUSES} choruses of {len(ratios)} tunes",
        f"{long_s / took_s:.0f} times real time",
        f"at least {REPEATING}; least {ratios[worst]:.0f}, {worst}",
    )
    assert len(ratios) >= 5
    assert long_s / took_s >= REPEATING


def test_leveling_against_real_time(music: Score, figures: Figures) -> None:
    """Loudness, true peak and gain together cost less than a 300th of the sound's length."""
    sound = render(music)
    ratio = SECONDS / best_s(lambda: leveled(sound, RATE))
    figures.put("leveling, stereo", f"{ratio:.0f} times real time", "at least 300")
    assert ratio >= 300


def test_loudness_beforehand_against_real_time(music: Score, figures: Figures) -> None:
    """A score's loudness is known before its sound in less than a 2,000th of its length."""
    ratio = SECONDS / best_s(lambda: gain_of(music))
    figures.put("loudness beforehand", f"{ratio:.0f} times real time", f"at least {BEFOREHAND}")
    assert ratio >= BEFOREHAND
