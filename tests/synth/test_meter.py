"""The meter against the cases of EBU Tech 3341, pyloudnorm and the measures of whole sounds."""

import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray
from scipy import signal

from synth.errors import SoundError
from synth.level import true_peak_dbtp
from synth.loudness import k_weighting
from synth.meter import Meter, meter_at
from synth.render import render
from tests.synth.scores import RATE, comping

Samples = NDArray[np.float32]


def tone(seconds: float, dbfs: float, rate: int = RATE, hz: float = 1000.0) -> Samples:
    """A stereo sine."""
    wave = 10 ** (dbfs / 20) * np.sin(2 * np.pi * hz * np.arange(round(seconds * rate)) / rate)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


def shown(sound: Samples, rate: int = RATE, every_s: float = 0.01) -> list[Meter]:
    """What the meter shows every so often."""
    meter, found = meter_at(rate, sound.shape[1]), []
    step = round(every_s * rate)
    for at in range(0, len(sound), step):
        meter = meter.add(sound[at : at + step])
        found.append(meter)
    return found


@pytest.mark.parametrize("rate", [44_100, RATE, 96_000])
def test_a_steady_tone_reads_its_level(rate: int) -> None:
    """A 1 kHz stereo sine at -23 dBFS reads -23.0 LUFS, both ways (EBU Tech 3341, case 1; from memory)."""
    meter = meter_at(rate).add(tone(4.0, -23.0, rate))
    assert pytest.approx(-23.0, abs=0.1) == meter.momentary_lufs
    assert pytest.approx(-23.0, abs=0.1) == meter.short_term_lufs


def test_short_term_of_alternating_tones() -> None:
    """1.34 s at -20 and 1.66 s at -30 dBFS, five times: short-term -23.0 LUFS from 3 s on (case 9; from memory)."""
    sound = np.concatenate([tone(1.34, -20.0), tone(1.66, -30.0)] * 5)
    for meter in shown(sound)[301:]:
        assert pytest.approx(-23.0, abs=0.1) == meter.short_term_lufs


@pytest.mark.parametrize("late_s", [0.0, 0.15, 1.35, 2.85])
def test_highest_short_term(late_s: float) -> None:
    """Three seconds at -23 dBFS between silences reach -23.0 LUFS, whenever they begin (case 10; from memory)."""
    sound = np.concatenate([tone(late_s, -200.0), tone(3.0, -23.0), tone(1.0, -200.0)])
    assert pytest.approx(-23.0, abs=0.1) == shown(sound, every_s=0.021)[-1].highest_short_term_lufs


def test_momentary_of_alternating_tones() -> None:
    """0.18 s at -20 and 0.22 s at -30 dBFS, 25 times: momentary -23.0 LUFS from 1 s on (case 12; from memory)."""
    sound = np.concatenate([tone(0.18, -20.0), tone(0.22, -30.0)] * 25)
    for meter in shown(sound)[100:]:
        assert pytest.approx(-23.0, abs=0.1) == meter.momentary_lufs


@pytest.mark.parametrize("late_s", [0.0, 0.02, 0.05, 0.18, 0.387])
def test_highest_momentary(late_s: float) -> None:
    """400 ms at -23 dBFS between silences reach -23.0 LUFS, whenever they begin (case 13; from memory)."""
    sound = np.concatenate([tone(late_s, -200.0), tone(0.4, -23.0), tone(1.0, -200.0)])
    assert pytest.approx(-23.0, abs=0.1) == shown(sound, every_s=0.021)[-1].highest_momentary_lufs


@pytest.mark.parametrize(
    ("divided_by", "degrees", "dbfs", "wanted"),
    [(4, 0.0, -6.02, -6.0), (4, 45.0, -6.02, -6.0), (6, 60.0, -6.02, -6.0), (8, 67.5, -6.02, -6.0)],
)
def test_true_peaks(divided_by: int, degrees: float, dbfs: float, wanted: float) -> None:
    """Sines whose crest falls between samples read their true peak, +0.2 and -0.4 dB (cases 15 to 18; from memory)."""
    turns = np.arange(RATE) / divided_by + degrees / 360
    wave = 10 ** (dbfs / 20) * np.sin(2 * np.pi * turns) * signal.windows.tukey(RATE, 0.2)
    meter = meter_at(RATE, 1).add(wave.astype(np.float32)[:, None])
    assert wanted - 0.4 < meter.highest_dbtp < wanted + 0.2


@pytest.mark.parametrize("seed", range(4))
def test_music_reads_as_an_independent_meter_has_it(seed: int) -> None:
    """Every 400 ms and 3 s of comping read as pyloudnorm reads that stretch by itself, within 0.15 LU.

    It weights from silence at the stretch's start, hence the tolerance; its gates are passed.
    """
    sound = render(comping(5, seed))
    for end in (RATE * 3, RATE * 4, RATE * 5):
        meter = meter_at(RATE).add(sound[:end])
        momentary = pyloudnorm.Meter(RATE, block_size=0.4)
        short_term = pyloudnorm.Meter(RATE, block_size=3.0)
        wanted = momentary.integrated_loudness(sound[end - round(0.4 * RATE) : end].astype(float))
        assert pytest.approx(wanted, abs=0.15) == meter.momentary_lufs
        wanted = short_term.integrated_loudness(sound[end - 3 * RATE : end].astype(float))
        assert pytest.approx(wanted, abs=0.15) == meter.short_term_lufs


@pytest.mark.parametrize("rate", [44_100, RATE])
def test_any_cut_shows_the_same(rate: int) -> None:
    """Whole, in callbacks' blocks or by odd numbers of samples: the meter shows the same and equals scipy's filter."""
    sound = render(comping(4), rate)[: 4 * rate]
    whole = meter_at(rate).add(sound)
    for size in (1, 333, 512, 70_001):
        used = sound if size > 1 else sound[-2000:]
        meter = meter_at(rate)
        for at in range(0, len(used), size):
            meter = meter.add(used[at : at + size])
        wanted = whole if size > 1 else meter_at(rate).add(used)
        assert wanted.momentary_lufs == pytest.approx(meter.momentary_lufs, abs=1e-4)
        assert wanted.short_term_lufs == pytest.approx(meter.short_term_lufs, abs=1e-4)
        assert wanted.peak_dbtp == pytest.approx(meter.peak_dbtp, abs=1e-4)
        assert wanted.highest_dbtp == pytest.approx(meter.highest_dbtp, abs=1e-4)
    weighted = sound.astype(float)
    for b, a in k_weighting(rate):
        weighted = signal.lfilter(b, a, weighted, axis=0)
    step = round(rate / 100)
    power = (weighted[: len(sound) // step * step][-300 * step :] ** 2).mean(axis=0).sum()
    # The meter may still wait for the last whole step.
    assert pytest.approx(-0.691 + 10 * np.log10(power), abs=0.05) == whole.short_term_lufs


@pytest.mark.parametrize("seed", range(3))
def test_the_highest_peak_is_the_whole_sounds(seed: int) -> None:
    """The highest peak shown is the true peak of the sound as a whole, however it came."""
    sound = render(comping(3, seed))
    assert true_peak_dbtp(sound, RATE) == pytest.approx(shown(sound)[-1].highest_dbtp, abs=1e-3)


def test_peaks_are_held_and_fall() -> None:
    """A burst's peak stands for a second, then falls by 20 dB in 1.7 s (IEC 60268-18; from memory)."""
    burst = tone(0.1, -6.0) * signal.windows.tukey(RATE // 10, 0.5)[:, None].astype(np.float32)
    found = shown(np.concatenate([burst, np.zeros((5 * RATE, 2), dtype=np.float32)]))
    top = found[12].peak_dbtp
    assert pytest.approx(-6.0, abs=0.1) == top
    assert top == found[100].peak_dbtp
    assert pytest.approx(-20.0, abs=0.3) == found[105 + 170].peak_dbtp - top
    assert top == found[-1].highest_dbtp


def test_a_higher_peak_is_shown_at_once() -> None:
    """A peak that falls gives way to a higher one."""
    found = shown(np.concatenate([tone(0.1, -12.0), tone(2.0, -60.0), tone(0.1, -9.0)]))
    assert found[150].peak_dbtp < -12
    assert pytest.approx(-9.0, abs=0.5) == found[-1].peak_dbtp


def test_silence() -> None:
    """Nothing heard, or nothing since long, is minus infinity."""
    for meter in (meter_at(RATE), meter_at(RATE).add(np.zeros((RATE, 2), dtype=np.float32))):
        levels = (meter.momentary_lufs, meter.short_term_lufs, meter.highest_momentary_lufs)
        assert (-np.inf,) * 5 == (*levels, meter.peak_dbtp, meter.highest_dbtp)
    after = meter_at(RATE).add(np.concatenate([tone(1.0, -20.0), np.zeros((4 * RATE, 2), dtype=np.float32)]))
    assert after.momentary_lufs == after.short_term_lufs == -np.inf


def test_a_meter_is_a_value() -> None:
    """Adding sound leaves the meter as it was."""
    before = meter_at(RATE).add(tone(0.5, -20.0))
    read = before.momentary_lufs, before.peak
    before.add(tone(1.0, -3.0))
    assert read == (before.momentary_lufs, before.peak)


def test_other_shapes_are_told() -> None:
    """Sound of another number of channels, and a rate too low, are told."""
    with pytest.raises(SoundError, match="2 channels"):
        meter_at(RATE).add(np.zeros((10, 1), dtype=np.float32))
    with pytest.raises(SoundError, match="4000 Hz"):
        meter_at(2000)
