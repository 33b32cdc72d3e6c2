"""Taking charts into the player's folder: read, converted where they are no chart text, never doubled or lost."""

import hashlib
import sys
from collections.abc import Collection, Mapping, Sequence
from io import BytesIO
from pathlib import Path
from typing import Literal

from trainer.charts.library import CHART_SUFFIX, MOST_BYTES, ChartSource, exercise_tunes, load, suffix_of
from trainer.charts.reader import read_chart
from trainer.charts.text_file import read_bytes_file
from trainer.charts.unfold import unfold
from trainer.charts.writer import write_chart
from trainer.practice.durable import put_whole
from trainer.practice.kept_tunes import KeptError, KeptIndex, KeptTune, change_index, free_id, id_from
from trainer.practice.tune_facts import TuneFacts, facts_of
from trainer.reading.analysis import analyze
from trainer.records import dataclass

OTHER_KINDS = {".lab": "timed chords", ".mid": "a MIDI file", ".midi": "a MIDI file"}
"""What is no chart text, by suffix; the others are MusicXML."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A chart that was read and may be kept."""

    name: str
    """What the player called it."""
    title: str
    composer: str
    stem: str
    """Of the file's name; an id where there is no title."""
    data: bytes
    """Chart text: the file's own bytes, or what it was converted to."""
    given_sha256: str
    facts: TuneFacts
    remarks: tuple[str, ...] = ()

    @property
    def sha256(self) -> str:
        """Of the chart text."""
        return hashlib.sha256(self.data).hexdigest()


What = Literal["kept", "replaced", "restored", "same", "other", "twice", "failed"]
"""restored: the chart had been deleted by hand; other: another chart of that title is kept, and stays; twice: two
of the charts that were given have one title; failed: it can't be written."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one chart."""

    what: What
    id: str
    why: str = ""
    """Where it failed."""


def taken(source: ChartSource) -> Taken:
    """Read a chart to its end, and make chart text of it. Raises KeyfarerError."""
    if not isinstance(source.place, Path | None) or source.place == dict(exercise_tunes()).get(source.name, ""):
        raise KeptError(f"{source.name}: an exercise tune is there already; `keyfarer tunes learn` takes it up")
    if source.place is None:
        data = sys.stdin.buffer.read(MOST_BYTES + 1)
        suffix, stem = suffix_of(data), ""
        chart = load(source, BytesIO(data))
    else:
        data = read_bytes_file(source.place, MOST_BYTES)
        suffix, stem = source.place.suffix.casefold(), source.place.stem
        chart = load(source)
    timeline = unfold(chart)
    facts = facts_of(timeline, analyze(timeline))
    remarks = [remark.told(chart.file) for remark in chart.remarks]
    text = data
    if suffix != CHART_SUFFIX and suffix in (*OTHER_KINDS, ".musicxml", ".mxl", ".xml"):
        text = write_chart(chart, house_spelling=False).encode("utf-8")
        if read_chart(text.decode("utf-8"), source.name) != chart:
            raise KeptError(f"{source.name}: something in it would be lost in a chart; it is not kept")
        kind = OTHER_KINDS.get(suffix, "MusicXML")
        remarks.append(
            f"{source.name}: made into a chart from {kind}: title, key, tempo, form, bars and chords are kept, "
            "single notes, words and layout are not"
        )
    title = " ".join(chart.title.split())
    composer = " ".join((chart.composer or "").split())
    digest = hashlib.sha256(data).hexdigest()
    return Taken(source.name, title, composer, stem, text, digest, facts, tuple(remarks))


def keep(folder: Path, charts: Sequence[Taken], replacing: bool, reserved: Collection[str]) -> tuple[Outcome, ...]:
    """Keep charts in the folder, in order, while no other program does. Raises KeptError.

    replacing: a chart takes the place of a kept one of its title, which keeps id and mark. reserved: ids that
    belong to others. Each chart is on the disk before the index names it.
    """
    outcomes: list[Outcome] = []

    def change(index: KeptIndex) -> KeptIndex:
        lying = {path.stem: _digest(path) for path in folder.glob(f"*{CHART_SUFFIX}")}
        fresh: set[str] = set()
        for chart in charts:
            outcome, tune = _placed(chart, index, lying, fresh, replacing, reserved)
            if tune is not None:
                try:
                    put_whole(folder / tune.file, chart.data)
                except OSError as error:
                    outcomes.append(Outcome("failed", tune.id, error.strerror or str(error)))
                    continue
                index = index.with_tune(tune)
                lying[tune.id] = chart.sha256
                fresh.add(tune.id)
            outcomes.append(outcome)
        return index

    change_index(folder, change)
    return tuple(outcomes)


def _placed(
    chart: Taken,
    index: KeptIndex,
    lying: Mapping[str, str | None],
    fresh: Collection[str],
    replacing: bool,
    reserved: Collection[str],
) -> tuple[Outcome, KeptTune | None]:
    """What is to be done with a chart, and the tune that it becomes; None where nothing is written.

    lying: the digests of the charts in the folder, kept or not; what isn't kept is never written over.
    """
    for tune in index.tunes:
        given = tune.given_sha256 == chart.given_sha256 and not replacing
        if lying.get(tune.id) == chart.sha256 or (given and tune.id in lying):
            return Outcome("same", tune.id), None
    known = next((tune for tune in index.tunes if _one_tune(tune, chart)), None)
    if known is None:
        others = {stem for stem, digest in lying.items() if digest != chart.sha256}
        id = free_id((chart.title, chart.stem), {*index.ids, *reserved, *others})
        return Outcome("kept", id), KeptTune(id, chart.title, chart.composer, chart.given_sha256)
    if known.id in fresh:
        return Outcome("twice", known.id), None
    tune = KeptTune(known.id, chart.title, chart.composer, chart.given_sha256)
    if known.id not in lying:
        return Outcome("restored", known.id), tune
    return (Outcome("replaced", known.id), tune) if replacing else (Outcome("other", known.id), None)


def _one_tune(tune: KeptTune, chart: Taken) -> bool:
    """Whether a chart is of a tune that is kept: the same title (or file, where it has none), and no two composers."""
    if tune.title.casefold() != chart.title.casefold() or (not chart.title and tune.id != id_from(chart.stem)):
        return False
    return not (tune.composer and chart.composer) or tune.composer.casefold() == chart.composer.casefold()


def _digest(path: Path) -> str | None:
    """Of a file; None where there is none that can be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None
