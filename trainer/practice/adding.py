"""Charts into the player's folder by name, with what came of each in words: for a screen and for a command alike."""

from collections.abc import Sequence
from pathlib import Path

from trainer.charts.library import ChartSource, exercise_tunes, find_charts
from trainer.errors import KeyfarerError, TextError
from trainer.practice.keeping import Outcome, Taken, keep, taken
from trainer.practice.own_tunes import keep_known_facts
from trainer.records import dataclass

DONE = {"kept": "kept", "replaced": "replaced", "restored": "is there again"}


@dataclass(frozen=True, slots=True)
class Added:
    """What came of some files."""

    ids: tuple[str, ...]
    """Of the tunes that are kept now, also of those that were before."""
    told: tuple[str, ...]
    faults: tuple[str, ...]


def add_charts(files: Sequence[str], folder: Path, facts_file: Path, replacing: bool = False) -> Added:
    """Keep the charts of files and folders. Raises KeyfarerError where a name is of nothing, or nothing can be kept."""
    charts: list[Taken] = []
    told: list[str] = []
    faults: list[str] = []
    for source in find_charts(files):
        try:
            charts.append(read_in(source))
        except KeyfarerError as error:
            faults.append(str(error))
    outcomes = keep(folder, charts, replacing, [id for id, _ in exercise_tunes()]) if charts else ()
    for chart, outcome in zip(charts, outcomes, strict=True):
        told += chart.remarks
        words, wrong = outcome_told(chart, outcome)
        (faults if wrong else told).append(words)
    keep_known_facts(facts_file, {chart.sha256: chart.facts for chart in charts})
    return Added(kept_ids(outcomes), tuple(told), tuple(faults))


def read_in(source: ChartSource | TextError) -> Taken:
    """One chart, read to its end. Raises KeyfarerError."""
    if isinstance(source, TextError):
        raise source
    return taken(source)


def kept_ids(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    """The tunes that are kept."""
    return tuple(one.id for one in outcomes if one.what not in ("other", "twice", "failed"))


def outcome_told(chart: Taken, outcome: Outcome) -> tuple[str, bool]:
    """What came of one chart, and whether that is a fault."""
    id = outcome.id
    if outcome.what == "failed":
        return f"{chart.name}: can't be kept as {id} ({outcome.why}); nothing was changed for it", True
    if outcome.what == "other":
        return (
            f"{chart.name}: {id} is kept already, with another chart; `--replace` puts this one in its place, "
            "another title keeps both"
        ), True
    if outcome.what == "twice":
        return f"{chart.name}: another of these charts has its title and is kept as {id}; give it another", True
    if outcome.what == "same":
        return f"{id}: kept already ({chart.name})", False
    bars = chart.facts.bars
    return f"{id}: {DONE[outcome.what]} ({chart.name}, {bars} bar{'s' * (bars != 1)})", False
