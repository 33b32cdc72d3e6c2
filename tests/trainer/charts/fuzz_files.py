"""Fuzzes files of other programs given as charts: `python -m tests.trainer.charts.fuzz_files -max_total_time=300`.

Atheris (libFuzzer) makes the data and watches which lines they reach; whatever follows the module's name
are its options. The first byte says what the rest is: a MIDI file, a MusicXML score, a compressed one,
a chord in the plain-text shorthand, or the measures of a score, each byte an element of `ELEMENTS`.
Stops with a traceback at a crash, or at a file that takes too long or too much memory.
"""

import io
import sys
import tempfile
import zipfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["trainer"]):
    from trainer.charts.library import exercise_tunes, load
    from trainer.charts.midi_chords import read_midi
    from trainer.charts.musicxml import read_musicxml
    from trainer.charts.musicxml_writer import write_musicxml, write_mxl
    from trainer.charts.unfold import unfold
    from trainer.charts.writer import write_chart
    from trainer.errors import TextError
    from trainer.harmony.harte import HarteError, harte_of, symbol_of_harte

from synth.midi_file import midi_bytes
from tests.trainer.charts.xml_made import CHORD, ELEMENTS, TIME, score
from trainer.voicing.plain_chords import plain_chords

LONGEST_BYTES = 32 * 1024
LONGEST_S = 30
"""A file that takes longer hangs."""
MIDI, XML, PACKED, SHORTHAND, MEASURES = range(5)


def measures_of(data: bytes) -> bytes:
    """The score that bytes stand for: an element each, 255 a barline."""
    rows = data.split(b"\xff")
    return score(TIME + CHORD, *("".join(ELEMENTS[byte % len(ELEMENTS)] for byte in row) for row in rows))


def packed(data: bytes) -> bytes:
    """A compressed score whose score is these bytes."""
    written = io.BytesIO()
    with zipfile.ZipFile(written, "w") as archive:
        archive.writestr("META-INF/container.xml", "<container><rootfile full-path='a.xml'/></container>")
        archive.writestr("a.xml", data)
    return written.getvalue()


def read_whole(data: bytes) -> None:
    """Read one file; what can be read can be played out and written, everything else is told with its faults."""
    kind, rest = data[0] % 5 if data else 0, data[1:]
    if kind == SHORTHAND:
        shorthand(rest)
        return
    try:
        if kind == MIDI:
            chart = read_midi(rest, "a fuzzed file").chart
        else:
            chart = read_musicxml(measures_of(rest) if kind == MEASURES else rest, "a fuzzed file")
    except TextError as error:
        assert error.faults
        assert all(fault.found and fault.expected for fault in error.faults)
        assert str(error).startswith("a fuzzed file")
        return
    assert unfold(chart).spans
    write_chart(chart)
    again = read_musicxml(write_musicxml(chart).encode())
    assert [span.symbol for span in unfold(chart).spans] == [span.symbol for span in unfold(again).spans]


def shorthand(data: bytes) -> None:
    """Read one chord in the shorthand; what can be read is written and read as the same."""
    try:
        symbol = symbol_of_harte(data.decode("latin-1"))
    except HarteError:
        return
    assert symbol == symbol_of_harte(harte_of(symbol))


def corpus_in(folder: Path) -> Path:
    """Make a folder with what the fuzzer starts from: exercise tunes in each kind of file, rows of elements, chords."""
    corpus = folder / "corpus"
    corpus.mkdir()
    for name, _ in exercise_tunes()[:6]:
        chart = load(name)
        for kind, data in (
            (MIDI, midi_bytes(plain_chords(unfold(chart)))),
            (XML, write_musicxml(chart).encode()),
            (PACKED, write_mxl(chart)),
            (PACKED, packed(write_musicxml(chart).encode())),
        ):
            (corpus / f"{name}-{kind}-{len(data)}").write_bytes(bytes([kind]) + data[: LONGEST_BYTES - 1])
    for start in range(len(ELEMENTS)):
        row = bytes([MEASURES, *range(start, start + 3), 255, *range(start, start + 9, 3), 255, 0])
        (corpus / f"elements-{start}").write_bytes(row)
    for number, text in enumerate(("N", "C:maj7", "A:min7/b3", "G:7(*5,b9,#9)", "Bb:(2,5)", "F#/5")):
        (corpus / f"shorthand-{number}").write_bytes(bytes([SHORTHAND]) + text.encode())
    return corpus


def main() -> None:
    """Fuzz until the time is over; it ends the process, and leaves its folder to whoever set TMPDIR."""
    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    limits = (f"-max_len={LONGEST_BYTES}", f"-timeout={LONGEST_S}", f"-artifact_prefix={folder}/", "-rss_limit_mb=2048")
    atheris.Setup([sys.argv[0], str(corpus_in(folder)), *limits, *sys.argv[1:]], read_whole)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
