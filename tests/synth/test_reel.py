"""A score made piece by piece is the score made as a whole."""

from dataclasses import replace

import numpy as np
import pytest

from synth.level import gain_of, true_peak_dbtp
from synth.loudness import integrated_lufs
from synth.reel import MOST_PIECES, Reel
from synth.render import render
from synth.room import TAIL_S, in_room
from synth.score import Note, Score
from tests.synth.scores import comping, score


def played(reel: Reel) -> np.ndarray:
    """All of a reel's frames, copied in pieces of an odd size."""
    reel.prepare(0, reel.frames)
    out = np.full((reel.frames, 2), np.nan, dtype=np.float32)
    for begin in range(0, reel.frames, 1777):
        reel.copy(begin, out[begin : begin + 1777])
    return out


@pytest.mark.parametrize("rate", [44_100, 48_000])
@pytest.mark.parametrize("room", [0.0, 0.3])
def test_pieces_put_together_are_the_whole(rate: int, room: float) -> None:
    """Rendering, room and gain of a whole tune, to -120 dBFS, at any rate."""
    music = comping(6)
    expected = in_room(render(music, rate), rate, room) * np.float32(0.7)
    got = played(Reel(music, rate, gain=0.7, room=room))
    assert len(expected) == len(got)
    assert np.abs(expected - got).max() < 1e-6


def test_the_order_of_making_is_not_heard() -> None:
    """Pieces made backwards, around a peak too, are those made forwards."""
    music = comping(6)
    forwards = played(Reel(music, gain=3.0))
    reel = Reel(music, gain=3.0)
    for begin in range(reel.frames - reel.frames % reel.piece_frames, -1, -reel.piece_frames):
        reel.prepare(begin, begin + 1)
    assert np.abs(forwards - played(reel)).max() < 1e-6


def test_no_gain_passes_the_ceiling() -> None:
    """However loud it should be, true peaks stay under -1.5 dBTP, over the seams of pieces too."""
    for gain in (1.0, 3.0, 10.0):
        got = played(Reel(comping(6), gain=gain, room=0.3))
        assert true_peak_dbtp(got, 48_000) < -1.5
        assert np.isfinite(got).all()
    assert integrated_lufs(got, 48_000) > -12.0


def test_a_tune_is_as_loud_as_if_it_had_been_leveled() -> None:
    """The gain known beforehand gives -20 LUFS, in the room too."""
    music = comping(20)
    for room in (0.0, 0.3):
        got = played(Reel(music, gain=gain_of(music, room=room), room=room))
        assert integrated_lufs(got, 48_000) == pytest.approx(-20.0, abs=0.1)


def test_parts_add_up_to_the_whole() -> None:
    """Parts alone are as loud as among the others: their sum is the whole."""
    music = comping(4)
    whole = played(Reel(music))
    parts = [played(Reel(music, parts=frozenset({part}))) for part in ("keys", "bass")]
    length = max(map(len, parts))
    total = sum(np.pad(part, ((0, length - len(part)), (0, 0))) for part in parts)
    assert np.abs(whole - total[: len(whole)]).max() < 1e-6


def test_what_is_ready_is_told() -> None:
    """Frames are ready once their pieces are made; those outside of the sound always are."""
    reel = Reel(comping(6))
    assert not reel.ready(0, 1)
    reel.prepare(0, 100)
    assert reel.ready(-5000, reel.piece_frames)
    assert not reel.ready(0, reel.piece_frames + 1)
    assert reel.ready(reel.frames, reel.frames + 99_999) or reel.frames % reel.piece_frames
    assert reel.ready(-10_000, 0)
    missing = np.ones((10, 2), dtype=np.float32)
    reel.copy(2 * reel.piece_frames, missing)
    assert not missing.any()


def test_memory_has_an_end() -> None:
    """Of a long tune what lies near is kept, whatever was played before."""
    beat = [Note(float(at), 0.1, 60, 70, "bass") for at in range(180)]
    reel = Reel(score(*beat, duration_s=180.0))
    reel.prepare(0, reel.frames)
    reel.keep_near(170 * reel.rate, 5 * reel.rate)
    assert sum(reel.ready(at, at + 1) for at in range(0, reel.frames, reel.piece_frames)) == MOST_PIECES
    assert reel.ready(168 * reel.rate, 172 * reel.rate)
    assert reel.ready(4 * reel.rate, 6 * reel.rate)
    assert not reel.ready(90 * reel.rate, 91 * reel.rate)


def test_the_whole_can_be_had_beside_what_sounds() -> None:
    """For a file the whole comes from its beginning, room and all, and nothing of it is kept."""
    reel = Reel(comping(4), gain=0.5, room=0.2)
    whole = np.concatenate(list(reel.pieces()))
    assert len(whole) == reel.frames
    assert not reel.ready(0, 1)
    assert np.abs(whole - played(reel)).max() < 1e-6


def test_silence_and_a_score_without_notes() -> None:
    """Nothing to play is silence of the score's length."""
    empty: Score = replace(comping(1), notes=())
    got = played(Reel(empty, room=0.3))
    assert len(got) == round((1 + TAIL_S) * 48_000)
    assert not got.any()
