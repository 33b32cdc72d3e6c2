"""Scores for the synthesizer's tests, and the plain sum of partials that rendering is held against."""

import numpy as np
from numpy.typing import NDArray

from synth.score import MeterChange, Note, Part, Score, TempoChange
from synth.tones import CLICK_RINGS_S, TIMBRES, amplitudes, modes, panorama

RATE = 48_000


def score(*notes: Note, duration_s: float = 0.0) -> Score:
    """A score of notes in 4/4 at 120."""
    return Score(notes, duration_s, (TempoChange(0.0, 120.0),), (MeterChange(0.0, 4, 4),))


def single(midi: int, velocity: int = 90, part: Part = "keys", held_s: float = 1.0) -> Score:
    """One note that begins at once."""
    return score(Note(0.0, held_s, midi, velocity, part), duration_s=held_s)


def comping(seconds: int, seed: int = 0) -> Score:
    """A four-note chord each half bar of 4/4 at 120, a bass note each quarter."""
    draw = np.random.default_rng(seed)
    notes = []
    for second in range(seconds):
        low = int(draw.integers(48, 60))
        for step in (0, 4, 7, 11):
            notes.append(Note(float(second), 1.0, low + step, int(draw.integers(60, 100)), "keys"))
        for beat in (0.0, 0.5):
            notes.append(Note(second + beat, 0.5, int(draw.integers(33, 50)), 80, "bass"))
    return score(*notes, duration_s=float(seconds))


def plain_sum(music: Score, frames: int, rate: int = RATE, a4_hz: float = 440.0) -> NDArray[np.float64]:
    """The closed form in float64: every partial a damped cosine, every edge a raised cosine."""
    total = np.zeros((frames, 2))
    for note in music.notes:
        timbre, found = TIMBRES[note.part], modes(note.part, note.midi, rate, a4_hz)
        held_s = CLICK_RINGS_S if note.part == "click" else note.duration_s
        start, up = round(note.onset_s * rate), round((note.onset_s + held_s) * rate)
        falls = round(timbre.release_s * rate)
        time_s = np.arange(up - start + falls) / rate
        sound = np.zeros(len(time_s))
        for at_hz, decay, phase, strength in zip(
            found.frequencies_hz,
            found.decays_per_s,
            found.phases,
            amplitudes(found, note.velocity),
            strict=True,
        ):
            sound += strength * np.exp(-decay * time_s) * np.cos(2 * np.pi * at_hz * time_s + phase)
        rises = round(timbre.attack_s * rate)
        rise = 0.5 - 0.5 * np.cos(np.pi * (np.arange(rises) + 0.5) / rises)
        sound[:rises] *= rise[: len(sound)]
        sound[up - start :] *= 0.5 + 0.5 * np.cos(np.pi * (np.arange(falls) + 0.5) / falls)
        left, right = panorama(note.part, note.midi)
        total[start : start + len(sound)] += sound[:, None] * (left, right)
    return total


def strongest_hz(sound: NDArray[np.floating], near_hz: float, rate: int = RATE) -> float:
    """The highest spectral peak within a quarter tone of a frequency, by parabolic interpolation."""
    size = 1 << 17
    heights = np.abs(np.fft.rfft(sound * np.hanning(len(sound)), size))
    low, high = (int(near_hz * factor * size / rate) for factor in (2 ** (-1 / 24), 2 ** (1 / 24)))
    top = low + int(np.argmax(heights[low : high + 1]))
    a, b, c = np.log(heights[top - 1 : top + 2])
    return float((top + 0.5 * (a - c) / (a - 2 * b + c)) * rate / size)


def cents(found_hz: float, wanted_hz: float) -> float:
    """How far one frequency lies above another."""
    return float(1200 * np.log2(found_hz / wanted_hz))
