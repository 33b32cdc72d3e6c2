"""WAV files of 24 bits as bytes: header, tags, samples.

Tags stand twice, for programs read one or the other: as INFO list (Microsoft and IBM, "Multimedia
Programming Interface and Data Specifications 1.0", 1991; its ITRK is common practice, no source) and as an
ID3 chunk (M. Nilsson, "ID3 tag version 2.4.0", 2000), which also has places for the key and the tempo.
A file with samples of 24 bits is plain PCM here, format tag 1.
"""

import struct
from collections.abc import Iterator, Mapping
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import as_strided
from numpy.typing import NDArray

Samples = NDArray[np.float32]

FULL_SCALE: Final = 1 << 23
LARGEST: Final = (1 << 32) - 1
"""Bytes that a RIFF file can say it has."""

TOGETHER: Final = 1 << 15
"""Frames that are turned into bytes at once."""

INFO: Final = {
    "title": "INAM", "artist": "IART", "album": "IPRD", "tracknumber": "ITRK", "comment": "ICMT",
    "date": "ICRD", "genre": "IGNR", "copyright": "ICOP", "software": "ISFT",
}  # fmt: skip
"""Where an INFO list has a tag."""

ID3: Final = {
    "title": "TIT2", "artist": "TPE1", "album": "TALB", "tracknumber": "TRCK", "comment": "COMM",
    "date": "TDRC", "genre": "TCON", "copyright": "TCOP", "software": "TSSE", "key": "TKEY", "tempo": "TBPM",
}  # fmt: skip
"""Where an ID3 tag has it."""

UTF_8: Final = b"\x03"


def steps_of_24_bits(samples: Samples) -> Iterator[NDArray[np.int32]]:
    """Give samples (frames, channels) within ±1 as whole steps of 24 bits, some frames at a time."""
    scaled = np.empty((min(len(samples), TOGETHER), samples.shape[1]), dtype=np.float32)
    for at in range(0, len(samples), TOGETHER):
        here = samples[at : at + TOGETHER]
        steps = np.multiply(here, np.float32(FULL_SCALE), out=scaled[: len(here)])
        np.rint(steps, out=steps)
        yield np.minimum(steps, np.float32(FULL_SCALE - 1), out=steps).astype(np.int32)


def wav_bytes(samples: Samples, rate: int, tags: Mapping[str, str]) -> Iterator[bytes]:
    """Give the file piece by piece. Raises ValueError for more than a WAV file can hold."""
    frames, channels = samples.shape
    size = frames * channels * 3
    form = struct.pack("<HHIIHH", 1, channels, rate, rate * channels * 3, channels * 3, 24)
    head = b"WAVE" + _chunk(b"fmt ", form) + _info_list(tags) + _id3_chunk(tags)
    whole = len(head) + 8 + size + size % 2
    if whole > LARGEST:
        raise ValueError("a WAV file holds 4 gigabytes at the most")
    yield b"RIFF" + struct.pack("<I", whole) + head + b"data" + struct.pack("<I", size)
    packed = np.empty(TOGETHER * channels * 3 + 1, dtype=np.uint8)
    # Four bytes a sample, each beginning on the last byte of the one before: what is left of each are its three.
    places = as_strided(packed[:4].view("<i4"), (TOGETHER * channels,), (3,))
    for steps in steps_of_24_bits(samples):
        places[: steps.size] = steps.reshape(-1)
        yield packed[: steps.size * 3].tobytes()
    yield bytes(size % 2)


def _chunk(name: bytes, content: bytes) -> bytes:
    """Return a chunk, filled up to an even length."""
    return name + struct.pack("<I", len(content)) + content + bytes(len(content) % 2)


def _info_list(tags: Mapping[str, str]) -> bytes:
    found = [_chunk(INFO[name].encode(), text.encode() + b"\0") for name, text in tags.items() if name in INFO]
    return _chunk(b"LIST", b"INFO" + b"".join(found)) if found else b""


def _id3_chunk(tags: Mapping[str, str]) -> bytes:
    frames = b"".join(_id3_frame(ID3[name], text) for name, text in tags.items() if name in ID3)
    return _chunk(b"id3 ", b"ID3\x04\x00\x00" + _in_sevens(len(frames)) + frames) if frames else b""


def _id3_frame(name: str, text: str) -> bytes:
    before = b"und\0" if name == "COMM" else b""  # a comment says its language and what it is about: neither
    if name == "TBPM":
        text = f"{float(text):.0f}"  # a whole number there
    content = UTF_8 + before + text.encode()
    return name.encode() + _in_sevens(len(content)) + b"\0\0" + content


def _in_sevens(number: int) -> bytes:
    """Return a size as ID3 has it: four bytes of seven bits."""
    return bytes(number >> shift & 0x7F for shift in (21, 14, 7, 0))
