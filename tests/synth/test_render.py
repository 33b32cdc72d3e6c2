"""Rendering is exact, in tune, free of clicks, and stays within its room."""

from dataclasses import replace

import numpy as np
import pytest

from synth.errors import SoundError
from synth.render import BLOCK, ROWS, Rendering, render
from synth.score import Note, Part, Score
from tests.synth.scores import RATE, cents, comping, plain_sum, score, single, strongest_hz

WITHIN_DBFS = -120.0


def error_dbfs(music: Score, rate: int = RATE, a4_hz: float = 440.0) -> float:
    """How far rendering strays from the closed form at worst."""
    sound = render(music, rate, a4_hz)
    return float(20 * np.log10(np.abs(sound - plain_sum(music, len(sound), rate, a4_hz)).max() + 1e-30))


@pytest.mark.parametrize("seed", range(3))
def test_chords_are_the_plain_sum_of_their_partials(seed: int) -> None:
    """Comping differs from the float64 sum by less than -120 dBFS."""
    assert error_dbfs(comping(3, seed)) < WITHIN_DBFS


def test_notes_of_every_length_are_the_plain_sum() -> None:
    """Notes shorter than their attack, longer than a piece, off the grid and of every part are exact too."""
    piece_s = ROWS * BLOCK / RATE
    music = score(
        Note(0.0, 0.0, 60, 90, "keys"),
        Note(0.0101, 0.0013, 64, 127, "keys"),
        Note(0.3, 3.3 * piece_s, 28, 127, "bass"),
        Note(0.3, 6.0 * piece_s, 36, 127, "keys"),
        Note(0.5, piece_s - 0.12, 67, 40, "keys"),
        Note(0.7, 8.0, 57, 70, "drone"),
        Note(1.0, 0.1, 76, 100, "click"),
        Note(1.5, 0.1, 77, 60, "click"),
        Note(2.0, 1.0, 127, 100, "keys"),
        Note(2.0, 1.0, 0, 100, "keys"),
    )
    assert error_dbfs(music) < WITHIN_DBFS


@pytest.mark.parametrize(("rate", "a4_hz"), [(44_100, 415.0), (96_000, 466.0), (8_000, 440.0)])
def test_other_rates_and_tunings_are_the_plain_sum(rate: int, a4_hz: float) -> None:
    """Rate and tuning change nothing of the exactness."""
    assert error_dbfs(comping(1), rate, a4_hz) < WITHIN_DBFS


@pytest.mark.parametrize("midi", range(36, 97, 5))
@pytest.mark.parametrize("a4_hz", [415.0, 440.0])
def test_fundamentals_are_those_of_the_score(midi: int, a4_hz: float) -> None:
    """The spectrum's peak lies within a cent of equal temperament (ISO 16 for A4 = 440 Hz)."""
    wanted_hz = a4_hz * 2 ** ((midi - 69) / 12)
    found_hz = strongest_hz(render(single(midi, held_s=2.0), a4_hz=a4_hz)[:, 0], wanted_hz)
    assert pytest.approx(0.0, abs=1.0) == cents(found_hz, wanted_hz)


def test_every_note_of_a_chord_is_heard() -> None:
    """A four-note chord over a bass holds the five fundamentals of the score and each within a cent."""
    keys = (38, 54, 57, 60, 64)
    parts = ("bass", "keys", "keys", "keys", "keys")
    sound = render(score(*(Note(0.0, 2.0, key, 80, part) for key, part in zip(keys, parts, strict=True))))
    for key in keys:
        wanted_hz = 440.0 * 2 ** ((key - 69) / 12)
        assert pytest.approx(0.0, abs=1.0) == cents(strongest_hz(sound.sum(axis=1), wanted_hz), wanted_hz)


@pytest.mark.parametrize("part", ["keys", "bass", "drone", "click"])
@pytest.mark.parametrize("midi", [33, 60, 84])
def test_no_edge_clicks(part: str, midi: int) -> None:
    """A note begins and ends in silence: the first and last samples are below -60 dB of its peak."""
    sound = render(single(midi, 127, part, held_s=0.4))  # type: ignore[arg-type]
    peak = np.abs(sound).max()
    for edge in (sound[0], sound[-1]):
        assert np.abs(edge).max() < 1e-3 * peak


def test_letting_go_adds_nothing_high() -> None:
    """While a low drone is let go, nothing sounds above its partials: less than -80 dB of what did before."""
    sound = render(single(45, 100, "drone", held_s=1.0))[:, 0]
    window = np.blackman(4096)
    held, let_go = (np.abs(np.fft.rfft(sound[at : at + 4096] * window)) for at in (30_000, RATE - 2048))
    above = np.fft.rfftfreq(4096, 1 / RATE) > 6_000
    assert let_go[above].max() < 1e-4 * held.max()


@pytest.mark.parametrize("part", ["keys", "bass", "click"])
def test_struck_and_plucked_tones_speak_within_five_milliseconds(part: str) -> None:
    """Half a period past 5 ms the tone has reached half its peak."""
    sound = np.abs(render(single(60, 100, part))[:, 0])  # type: ignore[arg-type]
    half_period = round(RATE / 261.6 / 2)
    assert sound[: round(0.005 * RATE) + half_period].max() > 0.5 * sound.max()


def test_frames_cover_the_release_and_the_score() -> None:
    """The sound lasts as long as the score, or the last note's release if that is longer."""
    assert (2 * RATE, 2) == render(score(Note(0.0, 0.5, 60, 80, "keys"), duration_s=2.0)).shape
    assert round(1.12 * RATE) == len(render(single(60)))
    assert (0, 2) == render(score()).shape
    assert np.float32 == render(single(60)).dtype


def test_sound_is_the_same_each_time() -> None:
    """Two renderings are equal, channel after channel in memory."""
    first, second = render(comping(2)), render(comping(2))
    assert first.T.flags.c_contiguous
    assert np.array_equal(first, second)


@pytest.mark.parametrize("channels", [1, 2])
def test_any_piece_is_a_cut_of_the_whole(channels: int) -> None:
    """Pieces of all lengths, begun anywhere and in any order, differ from the whole by less than -120 dBFS."""
    music = comping(6)
    whole = render(music, channels=channels)
    draw = np.random.default_rng(4)
    rendering = Rendering(music, channels=channels)
    lengths = (1, 7, BLOCK, 2400, 30_000, ROWS * BLOCK, ROWS * BLOCK + 1, 3 * RATE, len(whole))
    for length in lengths:
        for begin in (0, len(whole) - length, *draw.integers(0, len(whole) - length + 1, 3)):
            piece = rendering.piece(int(begin), int(begin) + length)
            assert (length, channels) == piece.shape
            assert np.abs(piece - whole[begin : begin + length]).max() < 10 ** (WITHIN_DBFS / 20)


def test_beyond_its_ends_a_score_is_silent() -> None:
    """A piece may reach beyond the last release; what lies there is silence."""
    rendering = Rendering(single(60, held_s=0.2))
    assert not rendering.piece(rendering.frames, rendering.frames + 4000).any()


def test_parts_add_up_to_the_whole() -> None:
    """What bass and keys are alone is together what the whole score is, and no part is silence."""
    music = comping(3)
    apart = [Rendering(music, parts=frozenset({part})) for part in ("keys", "bass")]  # type: ignore[arg-type]
    frames = max(rendering.frames for rendering in apart)
    both = sum(rendering.piece(0, frames) for rendering in apart)
    assert np.abs(both - render(music)).max() < 10 ** (WITHIN_DBFS / 20)
    assert not Rendering(music, parts=frozenset()).piece(0, RATE).any()


def test_chords_that_come_back_are_the_plain_sum_too() -> None:
    """Four times the same bar, whose chords are rendered once, is as exact as one."""
    bar = comping(1, 5).notes
    again = [replace(note, onset_s=note.onset_s + 1.0009 * time) for time in range(4) for note in bar]
    assert error_dbfs(score(*again)) < WITHIN_DBFS


@pytest.mark.parametrize("part", ["keys", "bass", "drone"])
@pytest.mark.parametrize("midi", [21, 30, 45, 69, 108])
@pytest.mark.parametrize("held_s", [0.004, 0.3, 21.0])
def test_any_pitch_and_length_is_the_plain_sum(part: Part, midi: int, held_s: float) -> None:
    """16 to 64 partials, short or long, hard or soft: less than -120 dBFS from the float64 sum."""
    assert error_dbfs(single(midi, 127, part, held_s)) < WITHIN_DBFS
    assert error_dbfs(single(midi, 20, part, held_s)) < WITHIN_DBFS


def test_one_channel_has_the_loudness_of_both() -> None:
    """In one channel a note has as much energy as in both, wherever it stands in the panorama."""
    for midi in (36, 60, 96):
        one, two = render(single(midi), channels=1), render(single(midi))
        assert pytest.approx(1.0, abs=1e-5) == float((one.astype(float) ** 2).sum() / (two.astype(float) ** 2).sum())


def test_a_key_above_the_rate_is_silent() -> None:
    """A key whose fundamental has no room below half the rate adds nothing, alone or in a chord."""
    assert not render(single(127), 8_000).any()
    high = score(Note(0.0, 0.5, 127, 90, "keys"), Note(0.0, 0.5, 60, 90, "keys"))
    assert error_dbfs(high, 8_000) < WITHIN_DBFS


def test_a_mono_sum_keeps_the_balance() -> None:
    """Low and high keys lose less than half a decibel against each other when both channels are summed."""
    levels = []
    for midi in (36, 60, 96):
        sound = render(single(midi)).astype(float)
        levels.append(10 * np.log10((sound.sum(axis=1) ** 2).sum() / (sound**2).sum()))
    assert pytest.approx(levels[1], abs=0.5) == levels[0]
    assert pytest.approx(levels[1], abs=0.5) == levels[2]


@pytest.mark.parametrize(
    "note",
    [
        Note(-0.1, 1.0, 60, 80, "keys"),
        Note(0.0, -1.0, 60, 80, "keys"),
        Note(0.0, 1.0, 128, 80, "keys"),
        Note(0.0, 1.0, 60, 0, "keys"),
    ],
)
def test_impossible_notes_are_refused(note: Note) -> None:
    """A note outside of time or of MIDI's ranges is an error that shows it."""
    with pytest.raises(SoundError, match="midi="):
        render(score(note))


def test_impossible_rates_are_refused() -> None:
    """A rate no device has is an error that names it."""
    with pytest.raises(SoundError, match="100 Hz"):
        render(single(60), 100)
