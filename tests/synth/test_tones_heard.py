"""The tones as they sound: what is measured here is rendered audio, not the table of timbres."""

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import signal

from synth.level import score_lufs
from synth.loudness import integrated_lufs
from synth.render import render
from synth.score import Note, Part
from tests.synth.scores import RATE, score, single

Wave = NDArray[np.float64]

KEYS: list[tuple[Part, int]] = [("keys", midi) for midi in (33, 40, 48, 55, 60, 67, 72, 79, 84, 96)]
BASS: list[tuple[Part, int]] = [("bass", midi) for midi in (28, 33, 40, 45, 50)]
STRUCK = KEYS + BASS


def one_channel(part: Part, midi: int, velocity: int = 80, held_s: float = 1.0) -> Wave:
    """The middle of a single note."""
    return np.asarray(render(single(midi, velocity, part, held_s)), dtype=float).mean(axis=1)


def envelope(wave: Wave) -> Wave:
    """The magnitude of the analytic signal, silence around it."""
    padded = np.concatenate([np.zeros(RATE // 20), wave, np.zeros(RATE // 20)])
    return np.abs(signal.hilbert(padded))


def level_db(wave: Wave, window_s: float = 0.1, hop_s: float = 0.01) -> Wave:
    """The level in decibels of overlapping windows."""
    window = np.hanning(round(window_s * RATE)) ** 2
    power = signal.fftconvolve(wave**2, window / window.sum(), "valid")
    return 10 * np.log10(np.maximum(power[:: round(hop_s * RATE)], 1e-20))


def falls_60_db_s(wave: Wave) -> float:
    """How long the level takes to fall by 60 dB, from its slope over the first second."""
    heard = level_db(wave[round(0.05 * RATE) : round(1.05 * RATE)])
    return float(-60 / np.polyfit(np.arange(len(heard)) / 100, heard, 1)[0])


def centroid_hz(wave: Wave) -> float:
    """Where the middle of the spectrum lies."""
    heights = np.abs(np.fft.rfft(wave * np.hanning(len(wave))))
    return float((heights * np.fft.rfftfreq(len(wave), 1 / RATE)).sum() / heights.sum())


def ripple_db(wave: Wave) -> float:
    """How far the level swings around a smooth fall, in three seconds."""
    heard = level_db(wave[round(0.2 * RATE) : round(3.2 * RATE)])
    place = np.linspace(-1, 1, len(heard))
    return float(np.ptp(heard - np.polyval(np.polyfit(place, heard, 4), place)))


def above_8_khz(wave: Wave) -> Wave:
    """How far what lies above 8 kHz swings, all below it 120 dB down."""
    high_pass = signal.firwin(1023, 8000, window=("kaiser", 12), pass_zero=False, fs=RATE)
    return np.abs(signal.fftconvolve(wave, high_pass, "same"))


def test_low_notes_ring_longer_than_high_ones() -> None:
    """The time to fall by 60 dB shrinks from register to register: above 10 s at E2, below 4 s at C6.

    A piano's early decay: some 15 s in the bass, below 2 s at the top (Fletcher and Rossing 1998, ch. 12,
    from memory).
    """
    keys = [falls_60_db_s(one_channel("keys", midi, held_s=1.2)) for midi in range(33, 100, 3)]
    assert keys == sorted(keys, reverse=True)
    assert all(longer > 1.05 * shorter for longer, shorter in pairwise(keys))
    assert falls_60_db_s(one_channel("keys", 40, held_s=1.2)) > 10
    assert 5 < falls_60_db_s(one_channel("keys", 60, held_s=1.2)) < 9
    assert falls_60_db_s(one_channel("keys", 84, held_s=1.2)) < 4
    bass = [falls_60_db_s(one_channel("bass", midi, held_s=1.2)) for midi in range(28, 56, 3)]
    assert bass == sorted(bass, reverse=True)
    assert bass[0] < falls_60_db_s(one_channel("keys", 33, held_s=1.2))


@pytest.mark.parametrize(("part", "midi"), STRUCK)
def test_louder_is_brighter(part: Part, midi: int) -> None:
    """The spectrum's centroid rises with every step of velocity, in the middle register by a third or more."""
    heard = [centroid_hz(one_channel(part, midi, velocity, 0.5)) for velocity in range(20, 128, 20)]
    assert heard == sorted(heard)
    assert heard[-1] > (1.33 if midi < 67 else 1.1) * heard[0]


@pytest.mark.parametrize(("part", "midi"), STRUCK)
def test_upper_partials_are_gone_first(part: Part, midi: int) -> None:
    """A second on, a note is darker than when it was struck."""
    wave = one_channel(part, midi, held_s=2.0)
    assert centroid_hz(wave[RATE : RATE + RATE // 2]) < 0.99 * centroid_hz(wave[: RATE // 2])


@pytest.mark.parametrize("velocity", [40, 80, 120])
@pytest.mark.parametrize(("part", "midi"), [*STRUCK, ("click", 76), ("click", 77)])
def test_attacks_are_short(part: Part, midi: int, velocity: int) -> None:
    """From 10 to 90 % of the highest the envelope rises in less than 5 ms, in every register."""
    rise = envelope(one_channel(part, midi, velocity))
    high = rise.max()
    assert (np.argmax(rise > 0.9 * high) - np.argmax(rise > 0.1 * high)) / RATE < 0.005
    assert np.argmax(rise > 0.9 * high) / RATE < 0.05 + 0.006


@pytest.mark.parametrize("velocity", [20, 80, 127])
@pytest.mark.parametrize("held_s", [0.1, 0.4, 0.777])
@pytest.mark.parametrize(("part", "midi"), [*STRUCK, ("drone", 50), ("drone", 74)])
def test_note_ends_dont_click(part: Part, midi: int, held_s: float, velocity: int) -> None:
    """Above 8 kHz a note's end adds less than -80 dBFS to the same note not ended, at -20 LUFS."""
    gain = 10 ** ((-20 - integrated_lufs(render(single(midi, velocity, part, held_s)), RATE)) / 20)
    ended, ringing = (
        above_8_khz(gain * one_channel(part, midi, velocity, seconds)) for seconds in (held_s, held_s + 1)
    )
    before, after = round((held_s - 0.05) * RATE), len(ended) - 512
    assert (ended[before:after] - ringing[before:after]).max() < 1e-4
    # Where the note itself has died up there, there is nothing at all.
    last = ended[-round(0.03 * RATE) :]
    assert last.max() < 1e-4


@pytest.mark.parametrize("part", ["keys", "bass", "drone"])
def test_a_hard_end_would_be_seen(part: Part) -> None:
    """The same measure shows a note that is cut off, far above -80 dBFS."""
    cut = one_channel(part, 48, 127, 1.0)
    cut[RATE // 2 :] = 0.0
    assert above_8_khz(cut)[RATE // 2 - 100 : RATE // 2 + 100].max() > 1e-3


@pytest.mark.parametrize("midi", [36, 45, 52, 60, 67, 76, 84])
def test_a_key_alone_doesnt_beat(midi: int) -> None:
    """Held for three seconds, the level of a key falls smoothly, within 0.1 dB."""
    assert ripple_db(one_channel("keys", midi, held_s=3.5)) < 0.1


def chord(*keys: int, held_s: float = 3.5) -> Wave:
    """Keys struck together and held."""
    notes = [Note(0.0, held_s, midi, 80, "keys") for midi in keys]
    return np.asarray(render(score(*notes, duration_s=held_s)), dtype=float).mean(axis=1)


def tempered_hz(midi: int) -> float:
    """The pitch of a key: twelve equal steps to the octave, A4 at 440 Hz (ISO 16)."""
    return float(440 * 2 ** ((midi - 69) / 12))


def swings_a_second(wave: Wave, near_hz: float, guess_hz: float) -> float:
    """How often the level around a frequency swings in six seconds: the best fit on top of a smooth fall."""
    window = np.hanning(round(0.1 * RATE))
    turned = wave * np.exp(-2j * np.pi * near_hz * np.arange(len(wave)) / RATE)
    heard = np.log(np.abs(signal.fftconvolve(turned, window, "valid"))[:: RATE // 100][20:600])
    time_s, place = np.arange(len(heard)) / 100, np.linspace(-1, 1, len(heard))

    def missed(hz: float) -> float:
        swings = [turn(2 * np.pi * hz * k * time_s) for k in (1, 2) for turn in (np.cos, np.sin)]
        model = np.stack([*swings, *(place**power for power in range(4))], axis=1)
        return float(np.sum((model @ np.linalg.lstsq(model, heard, rcond=None)[0] - heard) ** 2))

    return float(min(guess_hz * np.linspace(0.5, 1.5, 401), key=missed))


def without_multiples(wave: Wave, hz: float) -> Wave:
    """A sound with everything near the multiples of a frequency cut out of its spectrum."""
    spectrum = np.fft.rfft(wave, 2 * len(wave))
    places = np.fft.rfftfreq(2 * len(wave), 1 / RATE) / hz
    spectrum[np.abs(places - np.maximum(np.round(places), 1)) < 0.12] = 0
    return np.fft.irfft(spectrum)[: len(wave)]


@pytest.mark.parametrize("midi", [36, 43, 48, 55, 60, 67])
def test_octaves_and_fifths_dont_beat(midi: int) -> None:
    """Octaves fall as smoothly as a key; a fifth swings no more than its temperament makes it.

    A tempered fifth is 1.955 cents narrow, so the third partial of one and the second of the other
    beat, slowly and softly; that is the temperament's, not the tone's.
    """
    assert ripple_db(chord(midi, midi + 12)) < 0.1
    assert ripple_db(chord(midi, midi + 12, midi + 24)) < 0.1
    assert ripple_db(chord(midi, midi + 7)) < 1.5


@pytest.mark.parametrize("midi", [43, 48, 55, 60, 67, 72])
def test_fifths_beat_as_their_temperament_has_it(midi: int) -> None:
    """A fifth beats as often as 3 f and 2 f 2^(7/12) differ; without what they share it doesn't beat at all.

    The closed form of equal temperament, as tuners count it; what stretched partials add to it is below 1 %.
    """
    hz = tempered_hz(midi)
    wanted = hz * (3 - 2 * 2 ** (7 / 12))
    fifth = chord(midi, midi + 7, held_s=6.5)
    assert pytest.approx(wanted, rel=0.03) == swings_a_second(fifth, 3 * hz, wanted)
    assert ripple_db(without_multiples(fifth, 3 * hz)) < 0.1 < ripple_db(fifth)


@pytest.mark.parametrize("midi", [28, 40, 52, 60, 72, 84, 96])
def test_left_and_right_are_one_sound(midi: int) -> None:
    """Both channels carry the same wave, neither more than 6 dB louder, so that their sum loses at most 0.5 dB."""
    left, right = np.asarray(render(single(midi)), dtype=float).T
    assert np.corrcoef(left, right)[0, 1] > 0.999999
    assert abs(10 * np.log10((left**2).sum() / (right**2).sum())) < 6
    both, middle = (left**2).sum() + (right**2).sum(), ((left + right) ** 2).sum() / 2
    assert 10 * np.log10(both / middle) < 0.5


@pytest.mark.parametrize("keys", [(53, 57, 60, 64), (48, 55, 64, 71), (58, 62, 65, 69, 74)])
def test_chords_stand_in_the_middle(keys: tuple[int, ...]) -> None:
    """Chords where they are played lie within 1.5 dB of the middle."""
    left, right = (np.asarray(render(score(*(Note(0.0, 1.0, midi, 80, "keys") for midi in keys)))) ** 2).sum(axis=0)
    assert abs(10 * np.log10(left / right)) < 1.5


def test_keys_are_even() -> None:
    """From C3 to C6, where chords and their top voices lie, neighbors differ by less than 1 LU, all within 3."""
    heard = [integrated_lufs(render(single(midi, 80)), RATE) for midi in range(48, 85)]
    assert np.abs(np.diff(heard)).max() < 1
    assert np.ptp(heard) < 3


def band(part: Part) -> list[Note]:
    """Two bars of 4/4 at 120 of one part, as charts are accompanied."""
    quarters = [0.5 * beat for beat in range(8)]
    if part == "keys":
        return [Note(at, 0.45, midi, 80, part) for at in quarters[::2] for midi in (53, 57, 60, 64)]
    if part == "bass":
        return [Note(at, 0.45, midi, 84, part) for at, midi in zip(quarters, (38, 41, 43, 45) * 2, strict=True)]
    if part == "click":
        return [Note(at, 0.1, 76 if at in (0.0, 2.0) else 77, 72, part) for at in quarters]
    taps = [Note(at, 0.12, 38, 54, part) for at in quarters]
    slaps = [Note(at, 0.25, 39, 66, part) for at in quarters[1::2]]
    return [*taps, *slaps, *(Note(at, 1.0, 40, 46, part) for at in quarters[::2])]


@pytest.mark.parametrize("part", ["brush", "click"])
def test_time_keeping_leaves_the_chords_alone(part: Part) -> None:
    """Brushes and click lie 12 to 24 LU below the chords: heard, and masking nothing."""
    music = score(*band("keys"), *band("bass"), *band(part), duration_s=4.0)
    keys, own = (score_lufs(music, parts=frozenset({one})) for one in ("keys", part))  # type: ignore[arg-type]
    assert 12 < keys - own < 24
    without = score(*band("keys"), *band("bass"), duration_s=4.0)
    assert score_lufs(music) - score_lufs(without) < 0.3


def test_bass_and_chords_are_balanced() -> None:
    """The bass lies within 4 LU of the chords."""
    keys, bass = (integrated_lufs(render(score(*band(part))), RATE) for part in ("keys", "bass"))  # type: ignore[arg-type]
    assert abs(keys - bass) < 4


@pytest.mark.parametrize("midi", [38, 39, 40])
def test_brushes_swish(midi: int) -> None:
    """A stroke is a band of sound without a pitch: within 1 to 9.5 kHz, none of it an eighth of all."""
    wave = one_channel("brush", midi, held_s=0.5)
    power = np.abs(np.fft.rfft(wave)) ** 2
    hz = np.fft.rfftfreq(len(wave), 1 / RATE)
    assert power[(hz > 1000) & (hz < 9500)].sum() > 0.99 * power.sum()
    step = 25
    share = np.add.reduceat(power, range(0, len(power), step)).max() / power.sum()
    assert share < 0.125
    assert np.array_equal(wave, one_channel("brush", midi, held_s=0.5))


def test_taps_are_short_and_sweeps_swell() -> None:
    """A tap has fallen by 40 dB after an eighth of a second; a sweep is loudest after 40 to 160 ms."""
    tap = level_db(one_channel("brush", 38, held_s=0.5), 0.01, 0.001)
    assert tap[125] < tap.max() - 40
    sweep = level_db(one_channel("brush", 40, held_s=0.5), 0.04, 0.001)
    assert 0.02 < np.argmax(sweep) / 1000 < 0.14
    assert sweep[0] < sweep.max() - 4
