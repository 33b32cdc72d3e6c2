"""A score on its way to a device: rendered piece by piece ahead of what sounds.

The gain is known before the first piece (synth.level.gain_of), so a tune of any length begins at once and
is as loud as if it had been made whole.  Each piece is put into the room, brought to its level and held
under the ceiling with what lies around it, so that pieces put together are one sound: it doesn't matter
where it was begun, or in which order pieces were made.
"""

import threading
from collections.abc import Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from synth.outputs.source import copy_from
from synth.peaks import BLOCK, EASED_TO, LOOK, block_peaks, eased, highest_possible
from synth.render import Rendering
from synth.room import TAIL_S, in_room
from synth.score import Part, Score

Samples = NDArray[np.float32]

PIECE_S: Final = 0.64
"""Longer than the room rings, so that a piece is made of itself and the one before."""

AHEAD_S: Final = 4.0
"""So much is made beyond what sounds."""

MOST_PIECES: Final = 192
"""Kept at once, two minutes: what lies farthest from what sounds is made again when it is wanted."""

CEILING_DBTP: Final = -1.5

MARGIN: Final = (2 * LOOK + 4) * BLOCK
"""What lies so many frames around can tell how far a peak is eased."""


class Reel:
    """A source whose pieces are made by one thread and copied by another."""

    def __init__(
        self,
        score: Score,
        rate: int = 48_000,
        a4_hz: float = 440.0,
        parts: frozenset[Part] | None = None,
        gain: float = 1.0,
        room: float = 0.0,
    ) -> None:
        """Lay out a score, or some parts of it, times a gain, in a room (0 to 1).  Raises SoundError."""
        self.rate = rate
        self.piece_frames = round(PIECE_S * rate / BLOCK) * BLOCK
        self._made_with = score, rate, a4_hz, parts, gain, room
        self._rendering = Rendering(score, rate, a4_hz, parts)
        self._gain = gain
        self._room = room
        self.frames = self._rendering.frames + (round(TAIL_S * rate) if room else 0)
        self._count = -(-self.frames // self.piece_frames)
        self._making = threading.Lock()
        self._pieces: dict[int, Samples] = {}
        self._dry: dict[int, Samples] = {}
        self._wet: dict[int, Samples] = {}

    def ready(self, begin: int, end: int) -> bool:
        """Say whether these frames are made."""
        return all(index in self._pieces for index in self._indices(begin, end))

    def copy(self, begin: int, out: Samples) -> None:
        """Write the frames from one on; silence where none are made."""
        at, end = begin, begin + len(out)
        while at < end:
            index = at // self.piece_frames
            until = min((index + 1) * self.piece_frames, end)
            part = out[at - begin : until - begin]
            piece = self._pieces.get(index)
            if piece is None:
                part.fill(0.0)
            else:
                copy_from(piece, at - index * self.piece_frames, part)
            at = until

    def pieces(self) -> Iterator[Samples]:
        """Give the whole sound from its beginning; made anew, beside what sounds."""
        other = Reel(*self._made_with)
        for index in range(self._count):
            other._make(index)
            piece = other._pieces.pop(index)
            yield piece[: self.frames - index * self.piece_frames]

    def prepare(self, begin: int, end: int) -> None:
        """Make what is missing of these frames, now."""
        for index in self._indices(begin, end):
            if index not in self._pieces:
                with self._making:
                    self._make(index)

    def keep_near(self, at: int, *others: int) -> None:
        """Let go of what lies farthest from some frames, if there is too much."""
        if len(self._pieces) > MOST_PIECES:
            places = [place // self.piece_frames for place in (at, *others)]
            far = sorted(self._pieces, key=lambda index: min(abs(index - place) for place in places))
            for index in far[MOST_PIECES:]:
                del self._pieces[index]

    def _indices(self, begin: int, end: int) -> range:
        """The pieces that hold some frames of the sound."""
        first = max(begin, 0) // self.piece_frames
        return range(first, min(-(-end // self.piece_frames), self._count))

    def _make(self, index: int) -> None:
        """Make a piece from what is in the room then, eased where it or what lies around it would be too loud."""
        if index in self._pieces:
            return
        near = self._in_room(index)
        before, after = self._in_room(index - 1)[-MARGIN:], self._in_room(index + 1)[:MARGIN]
        ceiling = np.float32(10.0 ** (CEILING_DBTP / 20.0))
        around = (before, near, after)
        if max(highest_possible(part) for part in around) * self._gain <= ceiling:
            piece = near * np.float32(self._gain)
        else:
            sound = np.concatenate(around)
            peaks = block_peaks(sound, EASED_TO * float(ceiling) / self._gain)
            piece = eased(sound, peaks, self._gain, float(ceiling))[MARGIN:-MARGIN]
        self._pieces[index] = np.ascontiguousarray(piece)

    def _in_room(self, index: int) -> Samples:
        """A piece in the room, not leveled; the last few are kept."""
        found = self._wet.get(index)
        if found is None:
            found = self._rendered(index)
            if self._room and index >= 0:
                lead = round(TAIL_S * self.rate)
                sound = np.concatenate([self._rendered(index - 1)[-lead:], found])
                found = in_room(sound, self.rate, self._room)[lead : lead + self.piece_frames]
            _keep(self._wet, index, found)
        return found

    def _rendered(self, index: int) -> Samples:
        """A piece as it is rendered; the last few are kept."""
        found = self._dry.get(index)
        if found is None:
            begin = index * self.piece_frames
            inside = 0 <= begin < self._rendering.frames
            found = (
                self._rendering.piece(begin, begin + self.piece_frames)
                if inside
                else np.zeros((self.piece_frames, 2), dtype=np.float32)
            )
            _keep(self._dry, index, found)
        return found


def _keep(pieces: dict[int, Samples], index: int, piece: Samples) -> None:
    """Keep a piece and the last few before it."""
    pieces[index] = piece
    if len(pieces) > 4:
        del pieces[next(iter(pieces))]
