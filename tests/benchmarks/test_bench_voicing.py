"""Voicing: what a tune's performance takes beside the tune's length, in every style and with all that can be added."""

import time
from fractions import Fraction

import pytest

from tests.amounts import IN_CI
from tests.trainer.reading.telling import tell
from tests.trainer.voicing.tunes import bars
from trainer.voicing.performance import perform_chart
from trainer.voicing.shapes import STYLES, Style
from trainer.voicing.sheet import performed

OF_ITS_LENGTH = 1 / (1000 if IN_CI else 2000)
"""A tune of 32 bars at 120 lasts 64 s, so that this is 32 ms; reached is about a third of it without a walking
bass and half of it with one."""

LINE = "| Dm7 G7 | Cmaj7 A7 | Am7 D7 | Gmaj7 E7b9 | F#m7b5 B7b9 | Em7 A7 | Fm7 Bb7 | Ebmaj7 Ab7 |"


@pytest.mark.bench
def test_a_standard_tune_is_quickly_made(capsys: pytest.CaptureFixture[str]) -> None:
    """Thirty-two bars of two chords take a two-thousandth of their length in any style (the best of seven)."""
    timeline = bars("\n".join([LINE] * 4), feel="swing")

    def share(style: Style, rich: bool) -> float:
        took = []
        for _ in range(7):
            began = time.perf_counter()
            if rich:
                made = perform_chart(
                    timeline, style=style, bass_feel="walking", comping="pushes", time="brush", seed=1, count_in=False
                )
            else:
                made = perform_chart(timeline, style=style, count_in=False)
            took.append((time.perf_counter() - began) / made.score.duration_s)
        return min(took)

    plain = {style: share(style, False) for style in STYLES}
    rich = {style: share(style, True) for style in STYLES}
    rows = (f"  {style:12} {64e3 * plain[style]:5.1f} {64e3 * rich[style]:5.1f}" for style in STYLES)
    tell(capsys, "ms to perform 32 bars: plain, and with walking bass, brushes and hands", *rows)
    assert max(plain.values()) < OF_ITS_LENGTH
    assert max(rich.values()) < 1.5 * OF_ITS_LENGTH


AGAIN = 0.4
"""The share of its first performance that a tune takes at another tempo; reached is about a tenth."""


@pytest.mark.bench
def test_another_tempo_is_quickly_made(capsys: pytest.CaptureFixture[str]) -> None:
    """Twelve choruses are performed again at another tempo in a part of the time that they took (the best of five)."""
    timeline = bars("\n".join([LINE] * 4), feel="swing")
    first, again = [], []
    for tempo in (100, 110, 120, 130, 140):
        began = time.perf_counter()
        made = perform_chart(timeline, bass_feel="walking", comping="pushes", time="brush", seed=1, choruses=12, rise=5)
        first.append(time.perf_counter() - began)
        assert made.written is not None
        began = time.perf_counter()
        performed(made.written, Fraction(tempo, 125))
        again.append(time.perf_counter() - began)
    rows = (f"  {name:8} {1e3 * took:6.1f}" for name, took in (("first", min(first)), ("again", min(again))))
    tell(capsys, "ms to perform 384 bars, and at another tempo", *rows)
    assert min(again) < AGAIN * min(first)
