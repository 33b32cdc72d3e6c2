"""The tunes that practice goes by: the player's own and the exercise tunes, with what each is made of.

Charts are read from their folder each time, for the player may have edited one; what their readings come to is
looked up by content, and read anew only where it isn't known yet.
"""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import field
from pathlib import Path

from trainer.practice.kept_tunes import KeptIndex, KeptTune, load_index
from trainer.practice.tune_facts import TuneFacts, facts_text, parse_facts, program_now, read_facts_of
from trainer.records import dataclass

TO_LEARN = "to learn; its route is practised once all it is made of was met"
TO_LEARN_ALONE = "to learn; it stays in one key, so what it is made of is all there is to hear"


@dataclass(frozen=True, slots=True)
class OwnTunes:
    """Tunes by id, the player's own first, each list in its order."""

    index: KeptIndex = KeptIndex()
    charts: Mapping[str, bytes] = field(default_factory=dict)
    """The text of the player's own charts that can be read."""
    facts: Mapping[str, TuneFacts] = field(default_factory=dict)
    """Of these, and of exercise tunes: those being learned, or all where all were asked for."""
    faults: Mapping[str, str] = field(default_factory=dict)
    """Why a kept tune can't be read, in the player's words."""

    @property
    def routes(self) -> dict[str, tuple[str, ...]]:
        """The tunes whose routes are to be learned, with what they are made of; who stays in one key has no route."""
        learned = (id for id in self.facts if id in self.index.learning)
        return {id: self.facts[id].units for id in learned if self.facts[id].moves}

    def learning_told(self, id: str) -> str:
        """Whether a tune is to be learned, and what of it there is to hear."""
        if id not in self.index.learning:
            return "rests"
        return TO_LEARN if id in self.routes else TO_LEARN_ALONE

    def own(self, id: str) -> bool:
        """Whether a tune is the player's own."""
        return id in self.index.ids


NONE_KEPT = OwnTunes()


def own_tunes(folder: Path, facts_file: Path, exercises: bool = False) -> OwnTunes:
    """The tunes of a folder with what they are made of. Raises KeptError where its index can't be read.

    exercises: all exercise tunes as well, and facts that another version of the program made are made anew.
    """
    index = load_index(folder)
    if not (index.tunes or index.learning or exercises):
        return NONE_KEPT
    charts, faults = _charts(folder, index.tunes)
    shipped = _shipped(index, exercises)
    known, made_by = parse_facts(_text(facts_file))
    program = program_now() if exercises else made_by
    if made_by != program:
        known = {}
    facts: dict[str, TuneFacts] = {}
    by_digest: dict[str, TuneFacts] = {}
    for id, data in (*charts.items(), *shipped.items()):
        digest = hashlib.sha256(data).hexdigest()
        try:
            found = known.get(digest) or read_facts_of(data, str(folder / (id + ".chart")))
        except Exception as error:
            faults[id] = _told(error)
            continue
        facts[id] = by_digest[digest] = found
    charts = {id: data for id, data in charts.items() if id in facts}
    if any(digest not in known for digest in by_digest):
        keep_facts(facts_file, {**known, **by_digest}, program or program_now())
    return OwnTunes(index, charts, facts, faults)


def _told(error: Exception) -> str:
    """A chart's faults in words; any other error is the program's."""
    from trainer.errors import KeyfarerError

    if not isinstance(error, KeyfarerError):
        raise error
    return f"{error}\nThat chart is yours to mend; until then practice goes on without it."


def keep_facts(file: Path, facts: Mapping[str, TuneFacts], made_by: str) -> None:
    """Keep facts for the next time; where they can't be kept they are read again then."""
    import contextlib

    from trainer.practice.durable import put_whole

    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        put_whole(file, facts_text(facts, made_by).encode("utf-8"))


def keep_known_facts(file: Path, facts: Mapping[str, TuneFacts]) -> None:
    """Add facts to those that are kept."""
    known, made_by = parse_facts(_text(file))
    if facts.keys() - known.keys():
        program = program_now()
        keep_facts(file, {**(known if made_by == program else {}), **facts}, program)


def _charts(folder: Path, tunes: Iterable[KeptTune]) -> tuple[dict[str, bytes], dict[str, str]]:
    """The text of each kept chart, and why one can't be had."""
    charts: dict[str, bytes] = {}
    faults: dict[str, str] = {}
    for tune in tunes:
        path = folder / tune.file
        try:
            charts[tune.id] = path.read_bytes()
        except FileNotFoundError:
            faults[tune.id] = (
                f"{path}: this chart of yours is gone. Put it back, add it anew with `keyfarer tunes add FILE`, "
                f"or forget it with `keyfarer tunes remove {tune.id}`."
            )
        except OSError as error:
            faults[tune.id] = f"{path}: this chart of yours can't be read ({error.strerror})."
    return charts, faults


def _shipped(index: KeptIndex, exercises: bool) -> dict[str, bytes]:
    """The text of the exercise tunes that are wanted."""
    if not (exercises or index.learning - set(index.ids)):
        return {}
    from trainer.charts.library import exercise_tunes

    wanted = (one for one in exercise_tunes() if exercises or one[0] in index.learning)
    return {id: place.read_bytes() for id, place in wanted if id not in index.ids}


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        return ""
