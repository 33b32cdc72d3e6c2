"""The room: an exact convolution, and what the response is like by the usual measures."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import signal

from synth.errors import SoundError
from synth.loudness import integrated_lufs
from synth.render import render
from synth.room import DEFAULT_AMOUNT, TAIL_S, in_room, response
from tests.synth.scores import RATE, comping, single

Wave = NDArray[np.float64]
OCTAVES_HZ = (250, 500, 1000, 2000, 4000, 8000)


def noise(frames: int, channels: int = 2) -> NDArray[np.float32]:
    """Noise at -20 dBFS."""
    return (0.1 * np.random.default_rng(3).standard_normal((frames, channels))).astype(np.float32)


def in_octave(wave: Wave, middle_hz: float, rate: int = RATE) -> Wave:
    """What of a response lies within an octave, by cutting its spectrum."""
    spectrum = np.fft.rfft(wave, 4 * len(wave))
    hz = np.fft.rfftfreq(4 * len(wave), 1 / rate)
    spectrum[(hz < middle_hz / 2**0.5) | (hz >= middle_hz * 2**0.5)] = 0
    return np.fft.irfft(spectrum)[: len(wave)]


def falls_60_db_s(wave: Wave, rate: int = RATE) -> float:
    """Reverberation time: the slope of the energy still to come, from -5 to -25 dB (Schroeder 1965; ISO 3382)."""
    left = np.cumsum((wave**2)[::-1])[::-1]
    heard = 10 * np.log10(left / left[0])
    used = (heard < -5) & (heard > -25)
    return float(-60 / np.polyfit(np.arange(len(wave))[used] / rate, heard[used], 1)[0])


def clarity_db(wave: Wave, middle_hz: float) -> float:
    """C50: the energy of the first 50 ms, with the sound itself, beside all that comes after (ISO 3382)."""
    before = RATE // 10
    heard = in_octave(np.concatenate([np.zeros(before), wave]), middle_hz)
    edge = before + round(0.05 * RATE)
    return float(10 * np.log10((heard[:edge] ** 2).sum() / (heard[edge:] ** 2).sum()))


@pytest.mark.parametrize("frames", [0, 1, 100, 4800, 50_000, 200_001])
@pytest.mark.parametrize("rate", [22_050, RATE, 96_000])
def test_it_is_the_plain_convolution(frames: int, rate: int) -> None:
    """The sound plus its middle folded with the response, to -120 dBFS, whatever its length."""
    sound = noise(frames)
    found = in_room(sound, rate, 0.5)
    back = response(rate).astype(float)
    assert found.shape == (frames + round(TAIL_S * rate), 2)
    assert found.dtype == np.float32
    wanted = np.zeros(found.shape)
    wanted[:frames] = sound
    if frames:
        middle = sound.astype(float).mean(axis=1)
        for channel in range(2):
            wanted[:-1, channel] += 0.5 * signal.fftconvolve(middle, back[channel])
    assert np.abs(found - wanted).max(initial=0.0) < 1e-6


def test_short_sounds_by_numpy() -> None:
    """The same by numpy's direct sum, which knows no transform."""
    sound = noise(300, 1)
    wanted = 0.3 * np.convolve(sound[:, 0].astype(float), response(8000)[0].astype(float))
    wanted[:300] += sound[:, 0]
    assert np.abs(in_room(sound, 8000, 0.3)[:-1, 0] - wanted).max() < 1e-6


@pytest.mark.parametrize(("begin", "end"), [(0, 4800), (30_000, 30_001), (70_000, 96_000), (100_000, 190_000)])
def test_a_piece_with_its_lead_in_is_a_piece_of_the_whole(begin: int, end: int) -> None:
    """Sent in with TAIL_S before it, a piece comes out as in the whole, to -120 dBFS."""
    sound = render(comping(4))
    whole = in_room(sound, RATE)
    lead = min(begin, round(TAIL_S * RATE))
    piece = in_room(sound[begin - lead : end], RATE)[lead : lead + end - begin]
    assert np.abs(piece - whole[begin:end]).max() < 1e-6


def test_none_gives_the_sound_back() -> None:
    """With an amount of 0 nothing is done."""
    sound = noise(1000)
    assert in_room(sound, RATE, 0.0) is sound


@pytest.mark.parametrize("amount", [-0.1, 1.1, float("nan")])
def test_amounts_outside_are_told(amount: float) -> None:
    """An amount outside of 0 to 1 is told with what would be right."""
    with pytest.raises(SoundError, match="expected 0"):
        in_room(noise(10), RATE, amount)


def test_other_shapes_are_told() -> None:
    """Three channels, or a single row, are told."""
    for shape in ((10, 3), (10,)):
        with pytest.raises(SoundError, match="1 or 2"):
            in_room(np.zeros(shape, dtype=np.float32), RATE)


def test_it_is_always_the_same_small_room() -> None:
    """Reverberation lasts 0.3 to 0.45 s in the middle and half of that at 8 kHz; at the end nothing is left.

    Small furnished rooms: 0.3 to 0.5 s (common practice, no source).
    """
    for channel in response(RATE).astype(float):
        assert 0.3 < falls_60_db_s(channel) < 0.45
        times = [falls_60_db_s(in_octave(channel, hz)) for hz in OCTAVES_HZ]
        assert all(0.35 < time < 0.45 for time in times[:3])
        assert times[2:] == sorted(times[2:], reverse=True)
        assert times[-1] < 0.2
        assert abs(channel[-1]) < 1e-6
    assert np.array_equal(response(RATE), response.__wrapped__(RATE))


@pytest.mark.parametrize("rate", [16_000, 22_050, 44_100, 96_000])
def test_it_is_the_same_room_at_any_rate(rate: int) -> None:
    """What the room does to each octave and how long that lasts doesn't depend on the rate."""
    for mine, designed in zip(response(rate).astype(float), response(RATE).astype(float), strict=True):
        for hz in [hz for hz in OCTAVES_HZ if hz * 2**0.5 < 0.9 * min(rate, RATE) / 2]:
            here, there = in_octave(mine, hz, rate), in_octave(designed, hz)
            assert falls_60_db_s(here, rate) == pytest.approx(falls_60_db_s(there), rel=0.02)
            # A filter's gain in a band is its energy there over the band's part of the rate (Parseval).
            assert (here**2).sum() * rate == pytest.approx((there**2).sum() * RATE, rel=0.05)


def test_chords_stay_clear() -> None:
    """At the default amount clarity C50 is above 14 dB in each octave; 5 to 10 dB already suffice for speech.

    Speech: Kuttruff, "Room Acoustics", 2009, from memory.
    """
    for channel in response(RATE).astype(float):
        heard = DEFAULT_AMOUNT * channel
        heard[0] += 1.0
        for hz in OCTAVES_HZ:
            assert clarity_db(heard, hz) > 14


def test_no_register_is_colored() -> None:
    """At the default amount no third of an octave from 100 Hz on changes by more than 1.5 dB, left, right or summed."""
    left, right = DEFAULT_AMOUNT * np.fft.rfft(response(RATE).astype(float), 1 << 17)
    hz = np.fft.rfftfreq(1 << 17, 1 / RATE)
    for back in (left, right, (left + right) / 2):
        power = np.abs(1 + back) ** 2
        for middle_hz in 1000 * 2.0 ** (np.arange(-10, 12) / 3):
            within = (hz >= middle_hz / 2 ** (1 / 6)) & (hz < middle_hz * 2 ** (1 / 6))
            assert abs(10 * np.log10(power[within].mean())) < 1.5


def test_left_and_right_are_apart() -> None:
    """What comes back left and right is hardly alike in any octave from 500 Hz on, so that the room stands around."""
    left, right = response(RATE).astype(float)
    for hz in OCTAVES_HZ[1:]:
        assert abs(np.corrcoef(in_octave(left, hz), in_octave(right, hz))[0, 1]) < 0.4
    assert abs(10 * np.log10((left**2).sum() / (right**2).sum())) < 0.5


@pytest.mark.parametrize("seed", range(3))
def test_it_isnt_louder(seed: int) -> None:
    """At the default amount the room adds less than 1 LU, to both channels and to their sum."""
    sound = render(comping(6, seed))
    found = in_room(sound, RATE)
    assert abs(integrated_lufs(found[: len(sound)], RATE) - integrated_lufs(sound, RATE)) < 1
    summed, before = (one.mean(axis=1, keepdims=True) for one in (found, sound))
    assert abs(integrated_lufs(summed[: len(sound)], RATE) - integrated_lufs(before, RATE)) < 1


def test_the_bass_stays_dry() -> None:
    """Below 80 Hz the room gives back less than a tenth of the power it gives back of the chords."""
    back = np.abs(np.fft.rfft(response(RATE).astype(float), 1 << 17)) ** 2
    hz = np.fft.rfftfreq(1 << 17, 1 / RATE)
    chords = back[:, (hz > 250) & (hz < 2000)].mean()
    assert back[:, (hz > 30) & (hz < 80)].mean() < 0.1 * chords


def test_it_dies_away() -> None:
    """After the sound the room falls to nothing without a step."""
    sound = render(single(60))
    tail = np.abs(in_room(sound, RATE, 1.0)[len(sound) :]).max(axis=1)
    assert tail[-100:].max() < 1e-6
    assert np.abs(np.diff(in_room(sound, RATE, 1.0), axis=0)).max() < 1.5 * np.abs(np.diff(sound, axis=0)).max()
