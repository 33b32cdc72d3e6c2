"""Whatever is written stays under the ceiling when it is read back: 24 bits, by another oversampling than ours.

Source: ITU-R BS.1770-4, annex 2 (four times oversampled), by scipy's polyphase filter; see `sounded.py`.
"""

import sys
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

import click
import numpy as np
import pytest
import soundfile

from synth.level import leveled
from synth.render import render
from synth.room import in_room
from synth.score import Note, Part
from synth.wav_file import write_sound
from tests.synth.scores import score
from tests.trainer.practice.sounded import CEILING_DBTP, RATE_HZ, dbtp
from trainer.charts.library import exercise_tunes, load
from trainer.cli import keyfarer, run
from trainer.commands.options import PlayOptions
from trainer.commands.play_score import perform
from trainer.drills.rungs import RUNGS
from trainer.settings import Settings

LONE_CHORDS = """title: Lamps Far Apart
key: F
tempo: 120

[A]
| N.C. | N.C. | N.C. | Fmaj7 |
| N.C. | N.C. | N.C. | N.C. |
| N.C. | N.C. | N.C. | N.C. |
| N.C. | Bb7 N.C. N.C. N.C. | N.C. | N.C. |
"""
"""Two chords in half a minute of silence."""

ONE_CHORD = """title: One Lamp
key: Db
tempo: 300

[A]
| Db7 |
"""

HURRY = """title: Too Many Lamps
key: E
tempo: 400

[A]
| Emaj7 C#7b9 F#m9 B13 | G#7alt C#m7 F#7 B7b9 | Em6 A9 Dmaj7 G7#11 | C#m7b5 F#7b9 B7sus4 E6 |
"""
"""Four chords a bar at the highest tempo there is."""

LAMPLIT = """title: Lamps Along the Quay
key: Eb
tempo: 160

[A]
| Fm7 | Bb7 | Ebmaj7 | Cm7 | Am7b5 | D7b9 | Gm6 | % |
| Fm7 | Gbm7 B7 | Fm7 Bb7 | Eb6 |
"""
"""Two key centers, and another key that breaks in."""

PLAYED: dict[str, tuple[str, tuple[str, ...]]] = {
    "lone chords, counted in": (LONE_CHORDS, ()),
    "lone chords, brushes": (LONE_CHORDS, ("--no-count-in", "--time", "brush")),
    "lone chords, click": (LONE_CHORDS, ("--no-count-in", "--time", "click")),
    "lone bass notes": (LONE_CHORDS, ("--no-count-in", "--what", "bass")),
    "hardly more than a count-in": (ONE_CHORD, ("--time", "click", "--what", "keys")),
    "one chord": (ONE_CHORD, ("--no-count-in", "--style", "spread")),
    "in a hurry": (HURRY, ("--time", "brush", "--hands", "--bass", "walking", "--comping", "quarters")),
    "guide tones in a hurry": (HURRY, ("--what", "guide-tones", "--no-count-in")),
    "its route": (HURRY, ("--what", "route", "--tempo", "60")),
}  # fmt: skip

LONE: dict[str, tuple[tuple[Part, int], ...]] = {
    "a click": (("click", 76),),
    "two clicks at once": (("click", 76), ("click", 77)),
    "a click as high as can be": (("click", 127),),
    "a tap with brushes": (("brush", 38),),
    "a slap with brushes": (("brush", 39),),
    "a key at the top": (("keys", 108),),
    "the lowest bass": (("bass", 21),),
    "a cluster": tuple(("keys", key) for key in range(60, 72)),
}
"""What begins and is over at once, as hard as can be."""


def read_back(path: Path) -> float:
    """The true peak of a file; it must be one of 24 bits with something in it."""
    assert "PCM_24" == soundfile.info(path).subtype
    samples, rate = soundfile.read(path, dtype="float64", always_2d=True)
    assert RATE_HZ == rate
    assert np.abs(samples).max() > 0.01
    return dbtp(samples)


def check(folder: Path) -> float:
    """Hold all sound files of a folder to the ceiling; there must be some. Returns the highest peak."""
    peaks = {path.name: read_back(path) for path in folder.rglob("*") if path.suffix in (".wav", ".flac")}
    assert peaks
    assert {} == {name: peak for name, peak in peaks.items() if peak >= CEILING_DBTP}
    return max(peaks.values())


@pytest.mark.parametrize("name", PLAYED)
def test_a_tune_in_a_file(name: str, tmp_path: Path) -> None:
    """Tunes with next to nothing in them, or far too much, are written under the ceiling."""
    text, asked = PLAYED[name]
    chart = tmp_path / "tune.chart"
    chart.write_text(text, encoding="utf-8")
    suffix = (".wav", ".flac")[list(PLAYED).index(name) % 2]
    assert 0 == run(["play", str(chart), *asked, "--to", str(tmp_path / f"tune{suffix}")])
    check(tmp_path)


@pytest.mark.parametrize("name", LONE)
def test_a_lone_stroke_in_a_file(name: str, tmp_path: Path) -> None:
    """One hard stroke, alone or with long silence around it, is written under the ceiling."""
    for at_s, suffix in ((0.0, ".wav"), (6.0, ".flac")):
        notes = (Note(at_s, 0.05, key, 127, part) for part, key in LONE[name])
        sound = leveled(render(score(*notes, duration_s=2 * at_s)), RATE_HZ)
        write_sound(tmp_path / f"stroke{suffix}", sound, RATE_HZ)
    check(tmp_path)


def manners() -> Iterator[tuple[str, ...]]:
    """Every part, style, comping pattern, bass and time keeper there is, each of the last four in turn with others."""
    for what in ("chart", "route", "tonics", "guide-tones", "bass", "keys", "readings"):
        yield ("--what", what)
    styles, compings, basses, times = (
        cycle(PATTERNS[name]) for name in ("--style", "--comping", "--bass", "--time")
    )  # fmt: skip
    for hands in (True, False) * 6:
        yield (
            "--style", next(styles), "--comping", next(compings), "--bass", next(basses), "--time", next(times),
            *(("--hands",) if hands else ()),
        )  # fmt: skip


PATTERNS = {
    option.opts[0]: tuple(option.type.choices)
    for option in keyfarer.commands["play"].params
    if isinstance(option.type, click.Choice)
}
"""What `play` offers for each of its options with names."""


@pytest.mark.parametrize("manner", manners(), ids=" ".join)
def test_each_way_to_play_in_a_file(manner: tuple[str, ...], tmp_path: Path) -> None:
    """Whatever way a tune is played, it is written under the ceiling; so it is at 44.1 kHz."""
    chart = tmp_path / "tune.chart"
    chart.write_text(LAMPLIT, encoding="utf-8")
    assert 0 == run(["play", str(chart), *manner, "--to", str(tmp_path / "tune.wav")])
    check(tmp_path)
    options = keyfarer.commands["play"].make_context("play", [str(chart), *manner]).params
    asked = {name: options[name] for name in ("what", "style", "comping", "bass", "time", "hands")}
    settings = Settings()
    played = perform(PlayOptions(str(chart), **asked), load(str(chart)), settings).score
    sound = leveled(in_room(render(played, 44_100), 44_100, settings.room), 44_100)
    write_sound(tmp_path / "tune.flac", sound, 44_100)
    samples, rate = soundfile.read(tmp_path / "tune.flac", always_2d=True)
    assert (44_100, True) == (rate, dbtp(samples) < CEILING_DBTP)


def test_questions_in_files(tmp_path: Path) -> None:
    """Questions of all rungs, alone and with their answers, are written under the ceiling."""
    for rung in RUNGS:
        asked = ["--count", "1", "--rung", str(rung), "--seed", "4"]
        assert 0 == run(["drill", "--to", str(tmp_path / str(rung)), *asked])
        assert 0 == run(["drill", "--to", str(tmp_path / f"{rung} answered"), *asked, "--answers", "--flac"])
    check(tmp_path)


@pytest.mark.long
def test_every_tune_and_a_hundred_questions_in_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each exercise tune, played in one way or another, and a hundred questions stay under the ceiling."""
    tunes = [id for id, _ in exercise_tunes()]
    assert tunes
    highest = []
    for number, (id, way) in enumerate(zip(tunes, cycle(PLAYED.values()), strict=False)):
        folder = tmp_path / id
        folder.mkdir()
        target = folder / f"tune{('.wav', '.flac')[number % 2]}"
        assert 0 == run(["play", id, *way[1], "--to", str(target)])
        highest.append(check(folder))
        target.unlink()
    assert 0 == run(["drill", "--to", str(tmp_path / "questions"), "--count", "100", "--seed", "2026"])
    highest.append(check(tmp_path / "questions"))
    with capsys.disabled():
        told = f"{len(tunes)} tunes up to {max(highest[:-1]):.2f} dBTP, 100 questions up to {highest[-1]:.2f}"
        sys.stdout.write(f"\nread back from 24 bits: {told}\n")
