"""Questions written to a folder: MIDI read by music21, loudness by pyloudnorm, fundamentals by spectrum.

Sources: Standard MIDI Files 1.0 as music21 reads them; ITU-R BS.1770-4 as pyloudnorm measures loudness
(annex 1), and its annex 2 for the true peak (four times oversampled, here by scipy's polyphase filter).
"""

import json
import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pyloudnorm
import pytest
import soundfile
from music21 import converter, harmony
from music21 import note as m21_note
from numpy.typing import NDArray
from scipy.signal import resample_poly
from scipy.signal.windows import blackmanharris

from trainer.cli import run
from trainer.harmony.symbol import parse_chord

FEW = 24

HIGHEST_HZ = 900
"""Fundamentals are looked for up to here; no voicing goes so high."""


@pytest.fixture
def questions(tmp_path: Path) -> Path:
    """A folder with a few questions of all kinds, types and rungs."""
    return written(tmp_path, FEW, seed=11)


def written(folder: Path, count: int, seed: int) -> Path:
    """Write questions by the command itself."""
    assert 0 == run(["drill", "--to", str(folder / "q"), "--count", str(count), "--seed", str(seed)])
    return folder / "q"


def stems(folder: Path) -> list[Path]:
    """The questions of a folder; there must be some, each with its three files."""
    found = sorted(path.with_suffix("") for path in folder.glob("*.json"))
    assert found
    for stem in found:
        assert stem.with_suffix(".wav").exists()
        assert stem.with_suffix(".mid").exists()
    return found


def values_of(stem: Path) -> dict[str, Any]:
    """A question's JSON."""
    read = json.loads(stem.with_suffix(".json").read_text(encoding="utf-8"))
    assert "keyfarer/question/1" == read["schema"]
    assert isinstance(read, dict)
    return read


def check_midi(stem: Path) -> None:
    """music21 finds the notes of the JSON in the MIDI file, and in each chord the third and seventh of its symbol."""
    values = values_of(stem)
    score = converter.parse(stem.with_suffix(".mid"), quantizePost=False)
    seconds = score.flatten().secondsMap
    found = [
        (float(entry["offsetSeconds"]), pitch.midi)
        for entry in seconds
        if isinstance(entry["element"], m21_note.NotRest) and not isinstance(entry["element"], m21_note.Unpitched)
        and (entry["element"].tie is None or entry["element"].tie.type == "start")  # split at a barline
        for pitch in entry["element"].pitches
    ]
    wanted = [(note["onset_s"], note["midi"]) for note in values["notes"] if note["part"] != "click"]
    left = list(found)
    for at, midi in wanted:
        same = next((one for one in left if one[1] == midi and abs(one[0] - at) < 0.02), None)
        assert same is not None, (stem, at, midi)
        left.remove(same)
    assert [] == left, stem
    for chord in values["chords"]:
        if chord["role"] != "question":
            continue
        sounding = {
            midi % 12 for at, midi in found if chord["from_s"] - 0.02 <= at < chord["until_s"] - 0.02
        }
        quality = parse_chord(chord["symbol"]).quality
        root = str(parse_chord(chord["symbol"]).root).replace("b", "-")
        theirs = harmony.ChordSymbol(root=root, kind=quality.xml_kind)
        guides = {pitch.pitchClass for pitch in (theirs.third, theirs.seventh) if pitch is not None}
        if not quality.suspended and quality.third is not None:
            assert guides <= sounding, (stem, chord["symbol"])


def check_level(stem: Path) -> None:
    """The sound is at -20 LUFS within half a unit and under -1.5 dBTP."""
    samples, rate = soundfile.read(stem.with_suffix(".wav"), dtype="float64")
    assert 48_000 == rate
    assert len(samples) >= rate
    loudness = pyloudnorm.Meter(rate).integrated_loudness(samples)
    assert -20.5 <= loudness <= -19.5, (stem, loudness)
    peak = max(np.abs(resample_poly(channel, 4, 1)).max() for channel in samples.T)
    assert 20 * np.log10(peak) <= -1.5, (stem, peak)


def hertz(midi: int) -> float:
    """A key's frequency at A4 = 440 Hz (ISO 16)."""
    return float(440.0 * 2.0 ** ((midi - 69) / 12))


def peaks_of(sound: NDArray[np.float64], rate: int) -> list[float]:
    """The frequencies of a stretch's spectral peaks, up to HIGHEST_HZ and down to 38 dB under the strongest."""
    window = blackmanharris(len(sound))  # side lobes at -92 dB
    size = 1 << (len(sound) * 4 - 1).bit_length()
    power = 20 * np.log10(np.abs(np.fft.rfft(sound * window, size)) + 1e-12)
    limit = int(HIGHEST_HZ * size / rate)
    power = power[:limit]
    inner = power[1:-1]
    tops = np.flatnonzero((inner > power[:-2]) & (inner >= power[2:]) & (inner > power.max() - 38)) + 1
    out = []
    for top in tops:
        left, middle, right = power[top - 1 : top + 2]
        shift = 0.5 * (left - right) / (left - 2 * middle + right)
        out.append(float((top + shift) * rate / size))
    return out


def near(a: float, b: float, cents: float = 35) -> bool:
    """Whether two frequencies are less than so many cents apart."""
    return abs(1200 * np.log2(a / b)) < cents


def heard_fundamentals(peaks: Sequence[float]) -> list[float]:
    """Peaks from below that are no partial of one found before: partials of stretched strings lie a little sharp."""
    found: list[float] = []
    for peak in peaks:
        if peak < 30:
            continue
        partial = any(near(peak, n * low, 18 + 2 * n) for low in found for n in range(2, 33) if n * low < 2 * peak)
        if not partial and not any(near(peak, low) for low in found):
            found.append(peak)
    return found


def check_fundamentals(stem: Path) -> tuple[int, int, int, int]:
    """Fundamentals in spectrum and score: found of the score's, and right of those found."""
    values = values_of(stem)
    samples, rate = soundfile.read(stem.with_suffix(".wav"), dtype="float64")
    mono = samples.mean(axis=1)
    notes = [note for note in values["notes"] if note["part"] in ("keys", "bass")]
    edges = sorted({note["onset_s"] for note in notes} | {note["onset_s"] + note["duration_s"] for note in notes})
    found = of_score = right = of_found = 0
    for begin, end in pairwise(edges):
        if end - begin < 0.6:
            continue
        through = [n for n in notes if n["onset_s"] < begin + 1e-6 and n["onset_s"] + n["duration_s"] > end - 1e-6]
        now = sorted({n["midi"] for n in through})
        if not now:
            continue
        peaks = peaks_of(mono[int((begin + 0.03) * rate) : int(end * rate)], rate)
        for midi in now:
            of_score += 1
            found += any(near(peak, hertz(midi)) for peak in peaks)
        for low in heard_fundamentals(peaks):
            of_found += 1
            right += any(near(low, hertz(midi)) for midi in now)
    return found, of_score, right, of_found


def check_sounds(folder: Path) -> tuple[float, float]:
    """Recall and precision of the fundamentals over a folder."""
    sums = np.sum([check_fundamentals(stem) for stem in stems(folder)], axis=0)
    found, of_score, right, of_found = (int(value) for value in sums)
    assert of_score > len(stems(folder))
    return found / of_score, right / of_found


def test_music21_reads_the_chords_in_the_midi_files(questions: Path) -> None:
    """Every MIDI file has the notes and chords that the JSON says."""
    for stem in stems(questions):
        check_midi(stem)


def test_every_question_is_as_loud_as_the_next(questions: Path) -> None:
    """Every sound file is leveled, by other people's meters."""
    for stem in stems(questions):
        check_level(stem)


def test_the_fundamentals_in_the_sound_are_those_of_the_score(questions: Path) -> None:
    """Spectral peaks show every note of the score, and no fundamental that it doesn't have."""
    recall, precision = check_sounds(questions)
    assert recall >= 0.995
    assert precision >= 0.99


@pytest.mark.long
def test_two_hundred_questions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two hundred questions of all kinds, types and rungs pass all of it."""
    folder = written(tmp_path, 200, seed=2026)
    assert 200 == len(stems(folder))
    for stem in stems(folder):
        check_midi(stem)
        check_level(stem)
    recall, precision = check_sounds(folder)
    with capsys.disabled():
        sys.stdout.write(f"\n200 questions: fundamentals recall {recall:.4f}, precision {precision:.4f}\n")
    assert recall >= 0.995
    assert precision >= 0.99
