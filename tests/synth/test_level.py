"""Loudness and true peak against the Recommendation, an independent library and closed forms."""

from dataclasses import replace

import numpy as np
import pyloudnorm
import pytest
from numpy.typing import NDArray
from scipy import signal

from synth.errors import SoundError
from synth.level import gain_of, level, leveled, score_lufs, true_peak_dbtp
from synth.loudness import integrated_lufs, k_weighting
from synth.peaks import PHASES
from synth.render import render
from synth.room import in_room
from synth.score import Note, Part, Score
from tests.synth.scores import RATE, comping, score, single

Samples = NDArray[np.float32]


def sine(hz: float, seconds: float, peak_dbfs: float, rate: int = RATE, phase: float = 0.0) -> Samples:
    """The same sine on both channels."""
    wave = 10 ** (peak_dbfs / 20) * np.sin(2 * np.pi * hz * np.arange(round(seconds * rate)) / rate + phase)
    return np.repeat(wave[:, None], 2, axis=1).astype(np.float32)


def test_weighting_is_the_recommendations() -> None:
    """At 48 kHz the filter has the coefficients of ITU-R BS.1770-4, annex 1, tables 1 and 2."""
    (b, a), (d, c) = k_weighting(48_000)
    assert np.allclose([1.53512485958697, -2.69169618940638, 1.19839281085285], b, atol=1e-10)
    assert np.allclose([1.0, -1.69065929318241, 0.73248077421585], a, atol=1e-10)
    assert np.allclose([1.0, -2.0, 1.0], d)
    assert np.allclose([1.0, -1.99004745483398, 0.99007225036621], c, atol=1e-10)


@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000])
def test_one_channel_of_997_hz(rate: int) -> None:
    """A 997 Hz sine at full scale on one channel reads -3.01 LKFS (ITU-R BS.1770-4, annex 1)."""
    sound = sine(997.0, 5.0, 0.0, rate)
    sound[:, 1] = 0.0
    assert pytest.approx(-3.01, abs=0.02) == integrated_lufs(sound, rate)


@pytest.mark.parametrize("dbfs", [-23.0, -33.0])
def test_stereo_sine_reads_its_level(dbfs: float) -> None:
    """A 1 kHz stereo sine of 20 s reads its peak in LUFS (EBU Tech 3341, cases 1 and 2; from memory)."""
    assert pytest.approx(dbfs, abs=0.1) == integrated_lufs(sine(1000.0, 20.0, dbfs), RATE)


def test_quiet_passages_are_gated() -> None:
    """10 s at -36, 60 s at -23 and 10 s at -36 dBFS read -23.0 LUFS (EBU Tech 3341, case 3; from memory)."""
    parts = [sine(1000.0, seconds, dbfs) for seconds, dbfs in ((10, -36.0), (60, -23.0), (10, -36.0))]
    assert pytest.approx(-23.0, abs=0.1) == integrated_lufs(np.concatenate(parts), RATE)


def test_near_silence_is_gated() -> None:
    """Passages at -72 dBFS around these change nothing (EBU Tech 3341, case 4; from memory)."""
    plan = ((10, -72.0), (10, -36.0), (60, -23.0), (10, -36.0), (10, -72.0))
    parts = [sine(1000.0, seconds, dbfs) for seconds, dbfs in plan]
    assert pytest.approx(-23.0, abs=0.1) == integrated_lufs(np.concatenate(parts), RATE)


@pytest.mark.parametrize("seed", range(8))
def test_music_reads_as_an_independent_meter_has_it(seed: int) -> None:
    """Comping of random length is within 0.1 LU of pyloudnorm, in whole steps of 100 ms."""
    sound = render(comping(1 + seed, seed))
    sound = sound[: len(sound) // 4800 * 4800]
    wanted = pyloudnorm.Meter(RATE).integrated_loudness(sound.astype(float))
    assert pytest.approx(wanted, abs=0.1) == integrated_lufs(sound, RATE)


@pytest.mark.parametrize("rate", [22_050, 44_100, 48_000])
def test_block_filtering_is_plain_filtering(rate: int) -> None:
    """Loudness of noise under the gates equals that of scipy's recursive filter to a thousandth of a LU."""
    noise = (0.1 * np.random.default_rng(5).standard_normal((rate * 2, 2))).astype(np.float32)
    weighted = noise.astype(float)
    for b, a in k_weighting(rate):
        weighted = signal.lfilter(b, a, weighted, axis=0)
    step = round(rate / 10)
    starts = range(0, len(noise) - 4 * step + 1, step)
    powers = [(weighted[at : at + 4 * step] ** 2).mean(axis=0).sum() for at in starts]
    assert pytest.approx(-0.691 + 10 * np.log10(np.mean(powers)), abs=1e-3) == integrated_lufs(noise, rate)


def test_silence_has_no_loudness() -> None:
    """Silence reads minus infinity and stays silence."""
    silence = np.zeros((RATE, 2), dtype=np.float32)
    assert -np.inf == integrated_lufs(silence, RATE)
    assert -np.inf == true_peak_dbtp(silence, RATE)
    assert not leveled(silence, RATE).any()
    assert (0, 2) == leveled(silence[:0], RATE).shape


def test_each_phase_of_the_interpolator_passes_a_constant() -> None:
    """Every phase's coefficients sum to 1 within 3 percent, and the last two mirror the first two."""
    assert np.allclose(PHASES.sum(axis=1), 1.0, atol=0.03)
    assert np.array_equal(PHASES[:2, ::-1], PHASES[:1:-1])


def test_a_peak_between_the_samples() -> None:
    """A quarter-rate sine at 45 degrees peaks 3.01 dB above its samples (closed form; +0.2/-0.4 dB allowed,
    EBU Tech 3341, from memory)."""
    sound = sine(RATE / 4, 1.0, 0.0, phase=np.pi / 4)
    over = true_peak_dbtp(sound, RATE) - 20 * np.log10(np.abs(sound).max())
    assert 3.01 - 0.4 <= over <= 3.01 + 0.2


@pytest.mark.parametrize("seed", range(4))
def test_true_peak_is_that_of_all_samples_interpolated(seed: int) -> None:
    """Looking only where a peak can be misses none: the same as scipy's interpolation of everything."""
    noise = np.random.default_rng(seed).standard_normal((5000, 2)).astype(np.float32) ** 3
    between = [signal.upfirdn(PHASES.T.reshape(-1), channel, up=4) for channel in noise.T.astype(float)]
    wanted = max(np.abs(noise).max(), np.abs(between).max())
    assert pytest.approx(20 * np.log10(wanted), abs=1e-4) == true_peak_dbtp(noise, RATE)


@pytest.mark.parametrize("seed", range(6))
def test_every_question_is_equally_loud(seed: int) -> None:
    """Random comping and lone notes of all parts come out at -20 LUFS ± 0.5 and under -1.5 dBTP."""
    draw = np.random.default_rng(seed)
    part = ("keys", "bass", "drone")[seed % 3]
    note = single(int(draw.integers(30, 90)), int(draw.integers(20, 127)), part)  # type: ignore[arg-type]
    for music in (comping(2 + seed, seed), note):
        sound = leveled(render(music), RATE)
        assert pytest.approx(-20.0, abs=0.5) == integrated_lufs(sound, RATE)
        assert true_peak_dbtp(sound, RATE) <= -1.5


def test_a_count_in_alone_keeps_to_both() -> None:
    """Clicks without music are leveled too, and stay under the ceiling."""
    clicks = score(*(Note(at / 2, 0.1, 77, 100, "click") for at in range(4)), duration_s=2.0)
    sound = leveled(render(clicks), RATE)
    assert pytest.approx(-20.0, abs=0.5) == integrated_lufs(sound, RATE)
    assert true_peak_dbtp(sound, RATE) <= -1.5


@pytest.mark.parametrize(("height", "frames"), [(0.3, 200), (0.5, 60), (0.5, 2000)])
def test_high_peaks_are_eased(height: float, frames: int) -> None:
    """A soft drone with a spike on it holds the ceiling, and -20 LUFS ± 0.5 as well."""
    sound = render(score(Note(0.0, 6.0, 60, 15, "drone"), duration_s=6.0))
    sound[100_000 : 100_000 + frames] += (height * np.hanning(frames)[:, None]).astype(np.float32)
    plain = sound * 10 ** ((-20.0 - integrated_lufs(sound, RATE)) / 20)
    assert true_peak_dbtp(plain, RATE) > -1.5
    eased = leveled(sound, RATE)
    assert true_peak_dbtp(eased, RATE) <= -1.5
    assert pytest.approx(-20.0, abs=0.5) == integrated_lufs(eased, RATE)
    assert np.abs(np.diff(eased, axis=0)).max() <= np.abs(np.diff(plain, axis=0)).max()


def test_where_both_cannot_be_had_the_ceiling_wins() -> None:
    """A lone sample's spike stays under the ceiling, however quiet that leaves it."""
    spike = np.zeros((RATE, 2), dtype=np.float32)
    spike[RATE // 2] = 0.1
    assert true_peak_dbtp(leveled(spike, RATE), RATE) <= -1.5


STROKES: dict[str, tuple[tuple[Part, int], ...]] = {
    "a tap": (("brush", 38),),
    "a slap": (("brush", 39),),
    "a click": (("click", 76),),
    "a high key": (("keys", 84),),
    "a cluster and its bass": (*(("keys", key) for key in range(60, 72)), ("bass", 28)),
}  # fmt: skip


@pytest.mark.parametrize("rate", [8000, 11_025, 16_000, 22_050, 32_000, 44_100, 48_000, 96_000])
@pytest.mark.parametrize("name", STROKES)
def test_a_lone_stroke_stays_under_the_ceiling_at_any_rate(name: str, rate: int) -> None:
    """By scipy's interpolation, which passes more of what lies near half the sample rate than the Recommendation's."""
    notes = (Note(0.2, 0.05, key, 127, part) for part, key in STROKES[name])
    sound = leveled(render(score(*notes), rate), rate).astype(float)
    assert 20 * np.log10(max(np.abs(signal.resample_poly(channel, 4, 1)).max() for channel in sound.T)) <= -1.5


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_noise_stays_under_the_ceiling(rate: int) -> None:
    """Bursts of noise up to nine tenths of half the rate hold it by interpolation four and eight times."""
    draw = np.random.default_rng(rate)
    low = signal.firwin(301, 0.88, window=("kaiser", 8.0))
    for height in (0.02, 0.1, 0.3, 3.0, 3.0):
        sound = (0.1 * np.sin(np.arange(rate * 2) * 0.05))[:, None] * np.ones(2)
        burst = draw.integers(0, rate)
        sound[burst : burst + 700] += height * signal.convolve(draw.standard_normal((400, 2)), low[:, None])
        out = leveled(sound.astype(np.float32), rate).astype(float)
        for up in (4, 8):
            peak = max(np.abs(signal.resample_poly(channel, up, 1)).max() for channel in out.T)
            assert 20 * np.log10(peak) <= -1.5


@pytest.mark.parametrize("name", ["music", "eased", "soft", "silence"])
def test_what_leveling_tells_is_what_is_measured(name: str) -> None:
    """Loudness and peak come with the sound, as if they had been measured afterwards."""
    sound = render(comping(3))
    if name == "eased":
        sound[70_000:70_060] += (np.hanning(60)[:, None]).astype(np.float32)
    sound *= np.float32({"soft": 1e-5, "silence": 0.0}.get(name, 1.0))
    found = level(sound, RATE)
    assert pytest.approx(integrated_lufs(found.samples, RATE), abs=1e-3) == found.lufs
    assert pytest.approx(true_peak_dbtp(found.samples, RATE), abs=1e-3) == found.peak_dbtp
    assert np.array_equal(leveled(sound, RATE), found.samples)


def test_leveling_in_place() -> None:
    """Given room for it, a plain gain takes no more memory and comes out the same."""
    sound = render(comping(2))
    wanted = leveled(sound, RATE)
    found = level(sound, RATE, out=sound)
    assert found.samples is sound
    assert np.array_equal(wanted, sound)


@pytest.mark.parametrize("scale", [1e-6, 1e-3, 1.0])
def test_level_depends_on_the_sound_only(scale: float) -> None:
    """However quiet it was before, the sound comes out the same."""
    sound = render(single(60))
    assert np.allclose(leveled(sound, RATE), leveled(sound * np.float32(scale), RATE), atol=1e-5)


def test_other_shapes_are_refused() -> None:
    """A flat array is an error that shows its shape."""
    with pytest.raises(SoundError, match=r"\(48000,\)"):
        leveled(np.zeros(48_000, dtype=np.float32), RATE)


SCORES = {
    "comping": comping(8, 11),
    "one low key": single(28, 120),
    "one high key": single(96, 40, held_s=0.6),
    "an octave with its bass": score(
        *(Note(0.0, 2.0, key, 90, "keys") for key in (48, 60, 72)), Note(0.0, 2.0, 36, 90, "bass")
    ),
    "a drone": single(50, 64, "drone", 3.0),
    "a soft end": score(*(Note(float(at), 0.9, 60, 100 if at < 4 else 12, "keys") for at in range(9)), duration_s=9.0),
    "clicks": score(*(Note(at / 2, 0.1, 76 + bool(at % 4), 90, "click") for at in range(12)), duration_s=6.0),
    "brushes under chords": score(
        *comping(6, 3).notes, *(Note(at / 2, 0.4, 38 + at % 3, 60, "brush") for at in range(12)), duration_s=6.0
    ),
}


@pytest.mark.parametrize("name", SCORES)
def test_loudness_is_known_before_the_sound(name: str) -> None:
    """What a score's partials come to lies within 0.1 LU of its sound's loudness by pyloudnorm."""
    music: Score = SCORES[name]
    sound = render(music).astype(float)
    wanted = pyloudnorm.Meter(RATE).integrated_loudness(sound)
    assert pytest.approx(wanted, abs=0.1) == score_lufs(music)
    assert pytest.approx(-20.0, abs=0.1) == pyloudnorm.Meter(RATE).integrated_loudness(sound * gain_of(music))


@pytest.mark.parametrize("room", [0.1, 0.3, 1.0])
def test_loudness_in_a_room_is_known_before_the_sound(room: float) -> None:
    """The room is counted in, to 0.1 LU by pyloudnorm, for a tune and for a lone chord."""
    for music in (comping(9, 5), SCORES["an octave with its bass"]):
        sound = in_room(render(music), RATE, room).astype(float)
        wanted = pyloudnorm.Meter(RATE).integrated_loudness(sound)
        assert pytest.approx(wanted, abs=0.1) == score_lufs(music, room=room)


def test_a_minute_tells_how_loud_a_long_tune_is() -> None:
    """Ten stretches of six minutes, soft and loud by turns, come to what the whole comes to within 0.3 LU."""
    plain = comping(360)
    notes = tuple(replace(note, velocity=note.velocity - 25 * (note.onset_s % 96 >= 48)) for note in plain.notes)
    for music in (plain, replace(plain, notes=notes)):
        assert pytest.approx(score_lufs(music), abs=0.3) == score_lufs(music, most_s=60.0)


def test_silence_has_no_loudness_and_no_gain() -> None:
    """An empty score measures minus infinity and is left alone."""
    assert score_lufs(score(duration_s=2.0)) == -np.inf
    assert gain_of(score(duration_s=2.0)) == 1.0
