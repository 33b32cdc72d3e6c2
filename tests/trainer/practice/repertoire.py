"""A player's folder of tunes for tests: invented charts, kept as the command keeps them."""

from collections.abc import Sequence
from pathlib import Path

from trainer import places
from trainer.charts.library import find_charts
from trainer.practice.keeping import Outcome, keep, taken
from trainer.practice.own_tunes import OwnTunes, own_tunes

LAMPS = "title: Two Lamps\nkey: Bb\ntempo: 120\n\n[A]\n| Cm7 | F7 | Bbmaj7 | % |\n"
"""Four bars, one cadence."""
LANTERNS = """title: Lanterns on the Ice
tempo: 104

[A]
| Dm7 | G7 | Cmaj7 | % |
| Fm7 | Bb7 | Ebmaj7 | % |
[B]
| Am7b5 | D7b9 | Gm6 | % |
| Dm7 | G7 | C6 | % |
"""
"""Three key centers, two types."""


def kept(folder: Path, *texts: str, replacing: bool = False) -> tuple[Outcome, ...]:
    """Keep charts with these texts, given from files in a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, text in enumerate(texts):
        (folder / f"{number}.chart").write_text(text, encoding="utf-8")
    paths = [str(folder / f"{number}.chart") for number in range(len(texts))]
    return keep(places.tunes_folder(), [taken(source) for source in sources(paths)], replacing, ["coal-barge"])


def sources(paths: Sequence[str]) -> list:  # type: ignore[type-arg]
    """The sources of files that are there."""
    return list(find_charts(paths))


def own(exercises: bool = False) -> OwnTunes:
    """The player's tunes as they are now."""
    return own_tunes(places.tunes_folder(), places.tune_facts_file(), exercises)
