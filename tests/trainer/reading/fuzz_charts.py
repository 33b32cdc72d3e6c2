"""Fuzzes charts from their text to their reading: `python -m tests.trainer.reading.fuzz_charts -max_total_time=300`.

Atheris (libFuzzer) makes the data and watches which lines they reach; whatever follows the module's
name are its options. A first byte of 0 means text as it is, any other that each byte is a word of
`WORDS`. Stops with a traceback at a crash, an answer that isn't whole or a chart that takes too long.
"""

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["trainer"]):
    from trainer.charts.library import exercise_tunes
    from trainer.charts.reader import read_chart
    from trainer.charts.unfold import unfold
    from trainer.errors import TextError
    from trainer.harmony.quality import QUALITIES
    from trainer.reading.analysis import analyze

from tests.trainer.reading.complete import faults_of

LONGEST_BYTES = 4096
MOST_SPANS = 400
"""Longer tunes are read in the same way and would only take the fuzzer's time."""
LONGEST_S = 30
"""A chart that takes longer hangs."""

SIGNS = (
    " | ", " | ", " |\n| ", " || ", " |]\n", "|: ", " :|", " :| x3\n", ":|:", "\n", " ", " / ", " / / ", " % ",
    " N.C. ", "[A]\n", "[B]\n", "[Bridge]\n", "[1.] ", "[2.] ", "[1,3.] ", "{Bb}", "{g}", "{}", "{Bb: ii7} ",
    "{F#: V7}", " segno ", " coda ", " to coda ", " fine ", " D.C. ", " D.S. al coda ", " D.C. al fine ",
    "title: Tin Roof\n", "key: Eb\n", "key: F# minor\n", "meter: 3/4\n", "meter: 6/8\n", "meter: 7/4\n",
    "tempo: 132\n", "feel: swing\n", "form: A B A\n", "pickup: 1\n", " # a comment\n", "(", ")", ",",
)  # fmt: skip
ROOTS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "F#", "G", "Ab", "A", "Bb", "B")
SUFFIXES = ("", "m", "7", "maj7", "m7", "m7b5", "°7", "6", "m6", "7alt", "7b9", "sus4", "7sus4", "mMaj7", "aug", "7#11")
WORDS = (
    *SIGNS,
    *(f" {root}{suffix} " for root in ROOTS for suffix in SUFFIXES),
    *(f" C{quality.spelling}/E " for quality in QUALITIES),
)
"""What a byte stands for; those beyond a byte's reach are left to text as it is."""


def text_of(data: bytes) -> str:
    """The chart that the fuzzer's data stand for."""
    if data[:1] == b"\0":
        return data[1:].decode("utf-8", "replace")
    return "".join(WORDS[byte % len(WORDS)] for byte in data[1:])


def read_whole(data: bytes) -> None:
    """Read one chart from its text to its JSON; a chart that is refused is told with its faults."""
    try:
        chart = read_chart(text_of(data), "a fuzzed chart")
    except TextError as error:
        assert error.faults
        assert all(fault.found and fault.expected for fault in error.faults)
        assert str(error).startswith("a fuzzed chart")
        return
    timeline = unfold(chart)
    assert timeline.spans
    if len(timeline.spans) > MOST_SPANS:
        return
    faults = faults_of(analyze(timeline), timeline)
    assert not faults, faults


def corpus_in(folder: Path) -> Path:
    """Make a folder with what the fuzzer starts from: the exercise tunes, and rows of words."""
    corpus = folder / "corpus"
    corpus.mkdir()
    for name, place in exercise_tunes():
        (corpus / name).write_bytes(b"\0" + place.read_bytes())
    for start in range(0, 240, 24):
        (corpus / f"words-{start}").write_bytes(bytes([1, *range(start, start + 24)]))
    return corpus


def dictionary_in(folder: Path) -> Path:
    """Write the words for the fuzzer to put into text as it is."""
    words = folder / "words.dict"
    shown = ("".join(f"\\x{byte:02x}" for byte in word.encode()) for word in dict.fromkeys(WORDS))
    words.write_text("".join(f'"{word}"\n' for word in shown), encoding="ascii")
    return words


def main() -> None:
    """Fuzz until the time is over; it ends the process, and leaves its folder to whoever set TMPDIR."""
    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    limits = (f"-max_len={LONGEST_BYTES}", f"-timeout={LONGEST_S}", f"-artifact_prefix={folder}/", "-rss_limit_mb=2048")
    options = (str(corpus_in(folder)), f"-dict={dictionary_in(folder)}", *limits, *sys.argv[1:])
    atheris.Setup([sys.argv[0], *options], read_whole)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
