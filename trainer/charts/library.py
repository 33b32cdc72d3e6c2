"""Finds charts: files, folders, standard input, and the exercise tunes that come with the program.

A file's suffix says what it holds: MusicXML, a MIDI file, timed chords, else chart text; standard input
shows it by its first bytes (timed chords only by their suffix). Folders are searched for charts and
MusicXML: a MIDI file is mostly sound that was made from a chart beside it, and is read where it is named.
"""

import os
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import IO, TYPE_CHECKING

from trainer.charts.chart import Chart
from trainer.charts.reader import read_chart
from trainer.charts.text_file import MAX_CHART_BYTES, decoded, read_bytes_file, read_text
from trainer.errors import Fault, TextError
from trainer.records import dataclass

if TYPE_CHECKING:  # who names a file waits for nothing of the tunes that come with the program
    from importlib.resources.abc import Traversable

CHART_SUFFIX = ".chart"
XML_SUFFIXES = (".musicxml", ".mxl", ".xml")
MIDI_SUFFIXES = (".mid", ".midi")
TIMED_SUFFIX = ".lab"
FOLDER_SUFFIXES = (CHART_SUFFIX, ".musicxml", ".mxl")
"""What a folder is searched for."""
MOST_BYTES = 16 * 1024 * 1024
"""Of any file; each reader has its own, lower limit."""
STANDARD_INPUT = "-"


@dataclass(frozen=True, slots=True)
class ChartSource:
    """A place that a chart can be read from."""

    name: str
    """What the player is told: a path, `-`, or an exercise's id."""
    place: "Path | Traversable | None"
    """None is standard input."""


def exercise_tunes(folder: "Traversable | None" = None) -> "tuple[tuple[str, Traversable], ...]":
    """List the tunes that come with the program, or those of a folder, by their id in order."""
    from importlib.resources import files

    tunes = files("exercises") / "tunes" if folder is None else folder
    found = {}
    for place in tunes.iterdir() if tunes.is_dir() else ():
        if place.name.endswith(CHART_SUFFIX) and not place.name.startswith("."):
            found[place.name.removesuffix(CHART_SUFFIX)] = place
    return tuple(sorted(found.items()))


def find_charts(arguments: Sequence[str]) -> tuple[ChartSource | TextError, ...]:
    """Find what each argument names, in order: a file, the charts below a folder, `-`, or an exercise's id.

    What can't be found is an error among the sources, so that the others can go on.
    """
    return tuple(found for argument in arguments for found in _found(argument))


def load(source: ChartSource | str | os.PathLike[str], stdin: IO[bytes] | None = None) -> Chart:
    """Read the chart of a source, of a path, of `-` or of an exercise's id. Raises TextError."""
    if not isinstance(source, ChartSource):
        found = _one(os.fspath(source))
        if isinstance(found, TextError):
            raise found
        source = found
    if source.place is None:
        data = (stdin or sys.stdin.buffer).read(MOST_BYTES + 1)
        return _read(data, source.name, suffix_of(data))
    if isinstance(source.place, Path):
        suffix = source.place.suffix.casefold()
        most = MOST_BYTES if suffix in (*XML_SUFFIXES, *MIDI_SUFFIXES) else MAX_CHART_BYTES
        return _read(read_bytes_file(source.place, most), source.name, suffix)
    with source.place.open("rb") as stream:
        return read_chart(read_text(stream, source.name), source.name)


def _read(data: bytes, name: str, suffix: str) -> Chart:
    """Read what a suffix says the data hold."""
    if suffix in XML_SUFFIXES:
        from trainer.charts.musicxml import read_musicxml

        return read_musicxml(data, name)
    if suffix in MIDI_SUFFIXES:
        from trainer.charts.midi_chords import read_midi

        return read_midi(data, name).chart
    if suffix == TIMED_SUFFIX:
        from trainer.charts.timed_chords_in import read_timed_chords

        return read_timed_chords(data, name)
    return read_chart(decoded(data, name), name)


def suffix_of(data: bytes) -> str:
    """The suffix that a file with these bytes would have."""
    start = data[:200].removeprefix(b"\xef\xbb\xbf").lstrip()
    if start.startswith((b"PK\x03\x04", b"<?xml", b"<!DOCTYPE", b"<score-")):
        return XML_SUFFIXES[0]
    if start.startswith(b"MThd"):
        return MIDI_SUFFIXES[0]
    return CHART_SUFFIX


def _one(argument: str) -> ChartSource | TextError:
    """What an argument names that is no folder of charts."""
    if argument == STANDARD_INPUT:
        return ChartSource(argument, None)
    path = Path(argument)
    if argument and os.path.lexists(path):
        return ChartSource(argument, path)
    tunes = dict(exercise_tunes())
    if argument in tunes:
        return ChartSource(argument, tunes[argument])
    import difflib

    near = difflib.get_close_matches(argument[:80], tunes, 1, 0.7)
    hint = f"; did you mean the exercise `{near[0]}`?" if near else ""
    expected = f"the path of a chart or of a folder with charts, or an exercise's name{hint}"
    return TextError(argument, (Fault(0, 0, "no such file", expected),))


def _found(argument: str) -> Iterator[ChartSource | TextError]:
    path = Path(argument)
    if argument == STANDARD_INPUT or not argument or "\0" in argument or not path.is_dir():
        yield _one(argument)
        return
    any_found = False
    for found in _below(path):
        any_found = True
        yield found
    if not any_found:
        told = f"a folder without charts ({', '.join(f'`{suffix}`' for suffix in FOLDER_SUFFIXES)})"
        yield TextError(argument, (Fault(0, 0, told, f"at least one `{CHART_SUFFIX}` file in it"),))


def _below(folder: Path) -> Iterator[ChartSource | TextError]:
    """Every chart below a folder, in order of their paths; what is hidden is left out."""
    errors: list[OSError] = []
    for where, folders, names in os.walk(folder, onerror=errors.append):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(names):
            if name.casefold().endswith(FOLDER_SUFFIXES) and not name.startswith("."):
                path = Path(where) / name
                if path.exists() and not path.is_file():
                    # A pipe or a device in a folder would be waited for for ever; named by itself it is read.
                    told = "a pipe or a device among the charts of a folder"
                    yield TextError(str(path), (Fault(0, 0, told, "a file; to read this, name it by itself"),))
                else:
                    yield ChartSource(str(path), path)
    for error in errors:
        fault = Fault(0, 0, f"a folder that can't be read ({error.strerror})", "leave to read it")
        yield TextError(str(error.filename), (fault,))
