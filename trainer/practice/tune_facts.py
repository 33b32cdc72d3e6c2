"""What a tune's reading has of use for practice, small enough to be kept for hundreds of tunes.

Kept in one JSON file of schema keyfarer/tune-facts/1, each tune under the SHA-256 of its chart. The file
may be deleted at any time, and is made anew where it is broken or of another program's making.
"""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from trainer.records import dataclass

if TYPE_CHECKING:  # who has all facts on the disk waits for no reading
    from trainer.charts.timeline import Place, Timeline
    from trainer.reading.values import Analysis

SCHEMA = "keyfarer/tune-facts/1"
Bars = tuple[int, int]
"""First and last bar as played."""


@dataclass(frozen=True, slots=True)
class Met:
    """A unit, and where in the tune it is met."""

    unit: str
    bars: tuple[Bars, ...]


@dataclass(frozen=True, slots=True)
class TuneFacts:
    """One tune in short."""

    title: str
    key: str | None
    """As printed."""
    meter: str
    tempo: float | None
    """As charts count it; None where the chart gives none."""
    bars: int
    """As played, without a pickup."""
    home: str | None
    cadences: tuple[Met, ...]
    """By type, in the order they are first met; a cadence within another counts as well."""
    moves: tuple[Met, ...]
    """Of the key center; the bar is where the new center begins."""

    @property
    def units(self) -> tuple[str, ...]:
        """All it is made of: types, then moves."""
        return tuple(met.unit for met in (*self.cadences, *self.moves))


def facts_of(timeline: "Timeline", analysis: "Analysis") -> TuneFacts:
    """What a reading comes to."""
    from trainer.drills.units import MoveUnit

    cadences: dict[str, list[Bars]] = {}
    for cadence in analysis.cadences:
        cadences.setdefault(cadence.type, []).append(_bars(cadence.from_, cadence.until))
    moves: dict[str, list[Bars]] = {}
    for step in analysis.route:
        if step.move is not None:
            unit = MoveUnit(step.move.semitones, step.move.mode_from, step.move.mode_to).id
            moves.setdefault(unit, []).append((step.from_.bar, step.from_.bar))
    return TuneFacts(
        title=timeline.title,
        key=None if timeline.key is None else timeline.key.name,
        meter=str(timeline.bars[0].meter) if timeline.bars else "",
        tempo=float(timeline.tempo) if timeline.tempo_given else None,
        bars=sum(section.until.bar - max(section.from_.bar, 1) for section in analysis.sections),
        home=None if analysis.home is None else analysis.home.key.name,
        cadences=tuple(Met(unit, tuple(bars)) for unit, bars in cadences.items()),
        moves=tuple(Met(unit, tuple(bars)) for unit, bars in moves.items()),
    )


def _bars(from_: "Place", until: "Place") -> Bars:
    last = until.bar if until.beat > 1 else until.bar - 1
    return from_.bar, max(last, from_.bar)


def read_facts_of(data: bytes, name: str) -> TuneFacts:
    """Read a chart's bytes and say what its reading comes to. Raises TextError."""
    from trainer.charts.reader import read_chart
    from trainer.charts.text_file import decoded
    from trainer.charts.unfold import unfold
    from trainer.reading.analysis import analyze

    timeline = unfold(read_chart(decoded(data, name), name))
    return facts_of(timeline, analyze(timeline))


def facts_text(facts: Mapping[str, TuneFacts], made_by: str) -> str:
    """Facts by digest as the file's text; reading it gives the same.

    made_by: what stands for the program that read them.
    """
    values = {"schema": SCHEMA, "made_by": made_by, "tunes": {sha: _values(one) for sha, one in facts.items()}}
    return json.dumps(values, ensure_ascii=False)


def parse_facts(text: str) -> tuple[dict[str, TuneFacts], str]:
    """Facts by digest, and the program that made them; nothing where the text can't be read."""
    try:
        values = json.loads(text)
        if values["schema"] != SCHEMA:
            return {}, ""
        return {str(sha): _facts(one) for sha, one in values["tunes"].items()}, str(values["made_by"])
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}, ""


def _values(facts: TuneFacts) -> dict[str, Any]:
    return {
        "title": facts.title, "key": facts.key, "meter": facts.meter, "tempo": facts.tempo, "bars": facts.bars,
        "home": facts.home, "cadences": {met.unit: met.bars for met in facts.cadences},
        "moves": {met.unit: met.bars for met in facts.moves},
    }  # fmt: skip


def _facts(values: dict[str, Any]) -> TuneFacts:
    return TuneFacts(
        values["title"], values["key"], values["meter"], values["tempo"], int(values["bars"]), values["home"],
        _met(values["cadences"]), _met(values["moves"]),
    )  # fmt: skip


def _met(values: Mapping[str, Iterable[tuple[int, int]]]) -> tuple[Met, ...]:
    return tuple(Met(unit, tuple((int(a), int(b)) for a, b in bars)) for unit, bars in values.items())


def program_now() -> str:
    """What stands for the program that reads: another text whenever what reads charts is another."""
    import trainer

    top = Path(trainer.__file__).parent
    files = (path for room in ("harmony", "charts", "reading") for path in (top / room).rglob("*.py"))
    seen = [(path.stat().st_size, path.stat().st_mtime_ns) for path in files]
    return f"{len(seen)} {sum(size for size, _ in seen)} {max((at for _, at in seen), default=0)}"
