"""`keyfarer chart convert`: a chart in another kind of file; the new file's suffix says which.

A suffix alone (`.lab`) is no file: what would be in it goes to standard output.

MusicXML bears the reading as words: above a chord the key center that begins there, below it what it does.
MIDI has plain block chords, with key centers as markers and what each chord does as lyrics.
Timed chords (`.lab`) are the lines of `trainer.charts.timed_chords`.
"""

from pathlib import Path

from trainer.charts.chart import Chart
from trainer.charts.library import CHART_SUFFIX
from trainer.charts.musicxml_writer import ChordWords, write_musicxml, write_mxl
from trainer.charts.timed_chords import write_timed_chords
from trainer.charts.timeline import Timeline
from trainer.charts.transpose import WrittenPlace
from trainer.charts.unfold import unfold
from trainer.commands.chart import tidied
from trainer.commands.chart_files import OutputError, loaded, one_source, put
from trainer.commands.page import Numerals, Page, page_for
from trainer.commands.reports import told_remark
from trainer.commands.told_chord import function_of, numeral_of
from trainer.commands.words import counted
from trainer.reading.analysis import analyze
from trainer.reading.values import Analysis, ChordReading

KINDS = {
    CHART_SUFFIX: "chart text",
    ".musicxml": "MusicXML",
    ".xml": "MusicXML",
    ".mxl": "compressed MusicXML",
    ".mid": "a MIDI file",
    ".lab": "a list of timed chords",
}
"""What can be written, by suffix."""
SOUND_SUFFIXES = (".wav", ".flac")


def run_chart_convert(file: str, to: Path, bare: bool, numerals: Numerals | None, sure: bool) -> int:
    """Write a chart in another kind of file. Raises KeyfarerError."""
    alone = to.name.casefold() in KINDS and to.name == str(to)
    suffix = (to.name if alone else to.suffix).casefold()
    if suffix not in KINDS:
        expected = f"a name that ends in {', '.join(KINDS)}"
        hint = "; sound is made by `keyfarer play --to`" if suffix in SOUND_SUFFIXES else ""
        raise OutputError(f"{to}: found {suffix or 'no suffix'!r}; expected {expected}{hint}")
    page = page_for(numerals, "C")
    chart = loaded(one_source(file))
    put(converted(chart, suffix, None if bare else page), None if alone else to, sure)
    if chart.comments and suffix != CHART_SUFFIX:
        comments = counted(len(chart.comments), "comment")
        told_remark(f"{chart.file}: {comments} left out; {KINDS[suffix]} keeps none")
    return 0


def converted(chart: Chart, suffix: str, page: Page | None) -> str | bytes:
    """A chart as the content of such a file; the reading as words where a page for them is given."""
    timeline = unfold(chart)
    if suffix == CHART_SUFFIX:
        return tidied(chart, own_spelling=True)
    if suffix == ".lab":
        return write_timed_chords(timeline)
    if suffix == ".mid":
        return _midi(timeline, page)
    words = {} if page is None else reading_words(analyze(timeline), page)
    return write_mxl(chart, words) if suffix == ".mxl" else write_musicxml(chart, words)


def reading_words(analysis: Analysis, page: Page) -> dict[WrittenPlace, ChordWords]:
    """The words at each written chord, as it is read when it is first played."""
    words: dict[WrittenPlace, ChordWords] = {}
    center = None
    for chord in analysis.chords:
        if chord.center is None:
            continue
        begins = chord.center.name if chord.center != center else ""
        center = chord.center
        if begins or not chord.span.continues:
            words.setdefault((chord.span.written_bar, chord.span.at), ChordWords(_does(chord, page), begins))
    return words


def _midi(timeline: Timeline, page: Page | None) -> bytes:
    from synth.midi_file import midi_bytes
    from trainer.voicing.plain_chords import plain_chords

    if page is None:
        return midi_bytes(plain_chords(timeline))
    analysis = analyze(timeline)
    return midi_bytes(plain_chords(timeline, analysis, [_does(chord, page) for chord in analysis.chords]))


def _does(chord: ChordReading, page: Page) -> str:
    """What a chord does, where it is struck."""
    struck = chord.center is not None and not chord.span.continues
    return f"{numeral_of(page, chord)} {function_of(page, chord)}" if struck else ""
