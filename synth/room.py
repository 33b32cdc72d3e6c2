"""A small room around the sound: first reflections, then a diffuse tail that is gone within half a second.

The sound between the ears goes into the room; what comes back differs left and right, so that it stands
around the player and a mono sum keeps the tone.  The response is made once from a seed, always the same:
noise, in octaves that die the sooner the higher they are (air and soft walls: Kuttruff, "Room Acoustics",
2009), before it a dozen reflections.  Below the chords it is thin, so that the bass stays dry.

Convolution by fast Fourier transforms, overlapping blocks added up (Stockham, "High-speed convolution and
correlation", 1966).
"""

import math
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from synth.errors import SoundError
from synth.threads import in_threads

Samples = NDArray[np.float32]
Vector = NDArray[np.float64]

TAIL_S: Final = 0.45
"""How long the room rings after the sound; what is heard now was sent into it no longer ago."""

DEFAULT_AMOUNT: Final = 0.3
"""A small room, clear enough to hear voicings in: the room has a tenth of the energy."""

OCTAVES: Final = (
    (125.0, 0.38, 0.35), (250.0, 0.40, 0.8), (500.0, 0.38, 1.0), (1000.0, 0.36, 1.0),
    (2000.0, 0.32, 0.9), (4000.0, 0.25, 0.7), (8000.0, 0.17, 0.45), (16000.0, 0.11, 0.2),
)  # fmt: skip
"""Middle in hertz, time in seconds to fall by 60 dB, gain at the start."""

REFLECTIONS_MS: Final = ((5.9, 9.7, 13.1, 18.4, 23.9, 31.3), (6.7, 11.2, 14.9, 17.3, 26.1, 29.6))
"""When the walls answer left and right; the later the weaker."""

REFLECTED: Final = 0.4
"""The part of the room's power that is in these reflections."""

BEGINS_S: Final = 0.004
RISES_S: Final = 0.008
FADES_S: Final = 0.05
"""When the tail begins, how soon it is dense, and how long its very end takes."""

DESIGN_HZ: Final = 48_000

SEED: Final = 16_145
"""Of the noise; among a hundred the one whose octaves die away most nearly as they should, left and right alike."""

GRAIN: Final = 2048
"""Frames that are shaped together: longer than a period of the lowest octave, shorter than a fall can be heard in."""

MUSIC_HZ: Final = (250.0, 2000.0)
"""Where the room, at an amount of 1, gives back as much power as it is sent."""

TRANSFORM_TAILS: Final = 4
"""A transform takes at most the next power of two above so many tails: longer ones leave the cache."""


def in_room(samples: Samples, rate: int, amount: float = DEFAULT_AMOUNT) -> Samples:
    """Return a sound of (frames, 1 or 2) as it is in the room: longer by TAIL_S, the sound itself unchanged in it.

    With an amount of 1 the room is as strong as the sound; with 0 the sound comes back as it is.  Each
    frame is made of those within TAIL_S before it, so a piece with that much before it is a piece of the whole.
    Raises SoundError for an amount outside of 0 to 1 and for other shapes.
    """
    if not 0.0 <= amount <= 1.0:
        raise SoundError(f"a room of {amount}; expected 0 (none) to 1 (as strong as the sound)")
    if samples.ndim != 2 or samples.shape[1] not in (1, 2):
        raise SoundError(f"samples {samples.shape}; expected (frames, 1 or 2)")
    if amount == 0.0:
        return samples
    frames, channels = samples.shape
    taps = response(rate).shape[1]
    out = np.zeros((channels, frames + taps), dtype=np.float32)
    out[:, :frames] = samples.T
    size = 1 << (min(frames + taps, TRANSFORM_TAILS * taps) - 1).bit_length()
    spectra = _spectra(rate, size)[:channels] * np.float32(amount)
    sent = samples[:, 0] if channels == 1 else (samples[:, 0] + samples[:, 1]) * np.float32(0.5)
    step = size - taps + 1

    def give_back(at: int) -> None:
        back = np.fft.irfft(np.fft.rfft(sent[at : at + step], size) * spectra, size)
        until = min(at + size, out.shape[1])
        out[:, at:until] += back[:, : until - at]

    # What two neighbors give back overlaps, so every other one is taken at once.
    starts = range(0, frames, step)
    for apart in (starts[::2], starts[1::2]):
        in_threads(give_back, apart, 1 if len(apart) < 2 else None)
    return out.T


@lru_cache(maxsize=4)
def response(rate: int) -> Samples:
    """Return what comes back from a single sample, left and right as (2, taps)."""
    designed = _designed()
    if rate == DESIGN_HZ:
        found = designed
    else:
        # The same room at another rate: its spectrum up to half of it.
        long = 2 * designed.shape[1]
        wanted = round(long * rate / DESIGN_HZ)
        spectrum = np.fft.rfft(designed, long)[:, : wanted // 2 + 1]
        found = np.fft.irfft(spectrum, wanted)[:, : taps_at(rate)]
    made = found.astype(np.float32)
    made.flags.writeable = False
    return made


def taps_at(rate: int) -> int:
    """Return how many samples long the response is."""
    return round(TAIL_S * rate)


@lru_cache(maxsize=4)
def _spectra(rate: int, size: int) -> NDArray[np.complex64]:
    """Return the response's spectra for transforms of a size, (2, size / 2 + 1)."""
    return np.fft.rfft(response(rate), size).astype(np.complex64)


def _designed() -> Vector:
    """Return the response at 48 kHz."""
    taps = taps_at(DESIGN_HZ)
    time_s = np.arange(taps) / DESIGN_HZ
    # Noise in short pieces that overlap, each as loud in every octave as the room still is when it sounds.
    half = GRAIN // 2
    count = taps // half + 2
    grains = sliding_window_view(_noise((count + 1) * half), GRAIN, axis=1)[:, ::half] * np.hanning(GRAIN + 1)[:-1]
    middles_s = np.arange(count) * half / DESIGN_HZ
    gains = 10.0 ** (-3.0 * middles_s[:, None] / np.array(OCTAVES)[:, 1]) @ _bands(2 * GRAIN)
    # The filters reach to both sides: half a grain is left free before and after.
    spectra = np.fft.rfft(np.pad(grains, ((0, 0), (0, 0), (half, half))))
    shaped = np.fft.irfft(spectra * gains, 2 * GRAIN)
    tail = np.zeros((2, (count + 3) * half))
    for number in range(count):
        tail[:, number * half :][:, : 2 * GRAIN] += shaped[:, number]
    tail = tail[:, GRAIN : GRAIN + taps]  # from the middle of the first grain
    tail *= 1.0 - np.exp(-np.maximum(time_s - BEGINS_S, 0.0) / RISES_S)
    tail *= np.clip((TAIL_S - time_s) / FADES_S, 0.0, 1.0)
    early = np.zeros((2, 2 * GRAIN))
    for walls, answers_ms in zip(early, REFLECTIONS_MS, strict=True):
        for ms in answers_ms:
            walls[round(ms / 1000.0 * DESIGN_HZ)] = answers_ms[0] / ms
    early = np.fft.irfft(np.fft.rfft(early, 4 * GRAIN) * _bands(4 * GRAIN).sum(axis=0), 4 * GRAIN)
    early = np.pad(early, ((0, 0), (0, taps - 4 * GRAIN)))
    return math.sqrt(REFLECTED) * _of_power_1(early) + math.sqrt(1.0 - REFLECTED) * _of_power_1(tail)


def _bands(size: int) -> Vector:
    """Return the gain of each octave at the frequencies of a transform, (octaves, size / 2 + 1)."""
    with np.errstate(divide="ignore"):
        octave = np.log2(np.fft.rfftfreq(size, 1.0 / DESIGN_HZ) / OCTAVES[0][0])
    away = np.abs(np.clip(octave, -1.0, len(OCTAVES) - 1.0) - np.arange(len(OCTAVES))[:, None])
    gains: Vector = np.array(OCTAVES)[:, 2:] * np.cos(0.5 * np.pi * np.minimum(away, 1.0)) ** 2
    return gains


def _noise(frames: int) -> Vector:
    """Return noise for both sides, always the same: whole numbers stirred (Steele, Lea and Flood, "Fast splittable
    pseudorandom number generators", 2014; the constants from memory), without loading a generator for it."""
    mixed = np.arange(SEED, SEED + 2 * frames, dtype=np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        mixed = (mixed ^ (mixed >> np.uint64(shift))) * np.uint64(factor)
    mixed ^= mixed >> np.uint64(31)
    return (mixed >> np.uint64(11)).reshape(2, frames) / 2.0**53 - 0.5


def _of_power_1(found: Vector) -> Vector:
    """Return a response scaled to give back, of music, as much power as it is sent."""
    gains = np.abs(np.fft.rfft(found)) ** 2
    hz = np.fft.rfftfreq(found.shape[1], 1.0 / DESIGN_HZ)
    music = (hz >= MUSIC_HZ[0]) & (hz < MUSIC_HZ[1])
    scaled: Vector = found / np.sqrt(gains[:, music].mean(axis=1, keepdims=True))
    return scaled
