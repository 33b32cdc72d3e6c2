"""All about one unit: where it stands and why, by key, voicing, tempo and drill, confusions, its weeks.

`keyfarer progress TYPE` and the screen of one type tell the same values.
"""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from trainer.drills.units import unit_name
from trainer.harmony.cadence import CADENCE
from trainer.harmony.note_names import Naming, named
from trainer.memory.progress import UnitProgress, progress, why_today
from trainer.memory.progress_tables import RUNGS, Confused, confused
from trainer.memory.seen import Counted, Firsts, Week, beside, faceted, firsts, weeks
from trainer.memory.share import FEW
from trainer.memory.unit import tonic_place
from trainer.practice.over_time import FIFTHS, TELLING
from trainer.practice.progress_words import TOO_FEW, after_sound, due_when, how_often, share_word
from trainer.records import dataclass

if TYPE_CHECKING:  # the store loads SQLite
    from trainer.memory.store import Store

HEARD_IS = (
    "Heard: above guessing, of the answers of late, and where the truth lies nineteen times in twenty. After, early: "
    "the middle answer, from the sound's end. Better or worse: hundredths of credit more or less than this type "
    "earns elsewhere on the same rungs in the same drills."
)
NOT_MET = "Not yet met: nothing is known of it. It comes when what it builds on is sure."
NOT_ASKED = "not asked of late"
LATELY = "Lately, week by week"
WEEKS_SHOWN = 8
PAIRS_SHOWN = 8
HEADS: Mapping[str, str] = {
    "key": "By key", "voicing": "By voicing", "tempo": "By tempo, quarters a minute", "kind": "By kind of drill",
}  # fmt: skip
"""The facets in the order they are told."""


@dataclass(frozen=True, slots=True)
class Part:
    """How a unit is heard in one key, voicing, band of tempi or kind of drill."""

    name: str
    counted: Counted | None
    """None: not asked of late."""
    beside: float | None
    """Mean credit more than usual; None where it can't be told or isn't worth it."""


@dataclass(frozen=True, slots=True)
class Facet:
    """A unit's parts by one facet."""

    head: str
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class UnitTold:
    """One unit that was met."""

    row: UnitProgress
    name: str
    standing: tuple[tuple[str, str], ...]
    """Status, due day and why, chance, answers, firsts: a word and what there is to say; no word goes on above."""
    facets: tuple[Facet, ...]
    pairs: tuple[Confused, ...]
    """What it was taken for and what was taken for it, what stands out first."""
    weeks: tuple[Week, ...]
    """The newest first."""


def unit_told(store: "Store", unit: str, day: date, naming: Naming = "english") -> UnitTold | None:
    """All about a unit, from a store that was refreshed; None for one that was never asked."""
    row = next((row for row in progress(store, day) if row.unit == unit), None)
    if row is None:
        return None
    first = next((one for one in firsts(store) if one.unit == unit), Firsts(unit, {}, None))
    return UnitTold(
        row,
        unit_name(unit),
        standing(row, first, day),
        tuple(facet_of(store, unit, facet, naming) for facet in HEADS),
        confused(store, day, unit),
        tuple(reversed(weeks(store, unit)[-WEEKS_SHOWN:])),
    )


def standing(row: UnitProgress, first: Firsts, day: date) -> tuple[tuple[str, str], ...]:
    """Status, due day and why, chance, answers, firsts."""
    told = [("stands", row.status.value)]
    if row.due_day is not None and row.interval_days is not None:
        rests = "1 day" if row.interval_days == 1 else f"{row.interval_days} days"
        told.append(("due", f"{row.due_day.isoformat()}, {due_when(row.due_day, day)}; rests {rests}"))
    told.append(("today", why_today(row, day) or "not asked for"))
    chance = row.chance
    bounds = f"from {chance.low:.0%} to {chance.high:.0%}"
    told.append(("chance", f"{chance.p:.0%} of hearing it today on rung {row.rung} of 6, {bounds}"))
    told.append(("answers", f"{row.trials} in all"))
    if row.share is not None and row.accuracy is not None and row.median_after_s is not None:
        newest = (
            f"the newest: {row.accuracy:.0%} right with part credit, {share_word(row.share.heard)} heard above guessing"
        )
        told.append(("", f"{newest} ({share_word(row.share.low)} to {share_word(row.share.high)})"))
        told.append(("", f"the middle one comes {after_sound(row.median_after_s)}"))
    if row.first_day is not None:
        told.append(("met", row.first_day.isoformat()))
    for rung in RUNGS:
        if when := first.rungs.get(rung):
            told.append((f"rung {rung}", f"first right without help on {when.isoformat()}"))
    if first.shown is not None:
        told.append(
            ("reliable", f"first on {first.shown.isoformat()}: eight of ten right on the top rung, in six keys")
        )
    return tuple(told)


def facet_of(store: "Store", unit: str, facet: str, naming: Naming = "english") -> Facet:
    """The parts of one facet: keys all twelve down the circle of fifths, all else in its own order."""
    place = tonic_place if facet == "key" else str
    found = {place(row.value): row for row in faceted(store, unit, facet)}
    usual = {} if facet == "kind" else beside(store, unit, facet)
    since = next(iter(found.values())).since if found else ""
    shown = {tonic_place(key): key for key in FIFTHS} if facet == "key" else {}
    parts: list[Part] = []
    for value in shown or sorted(found, key=_tempo_first):
        row = found.get(value)
        name = row.value if row is not None else shown.get(value, value)
        name = named(name, naming) if facet == "key" else name or ("no tempo" if facet == "tempo" else "")
        more = usual.get(value)
        worth = row is not None and row.counted.answers >= FEW and more is not None and abs(more) >= TELLING
        parts.append(Part(name, None if row is None else row.counted, more if worth else None))
    year, quarter = since.split("-") if since else ("", "1")
    return Facet(f"{HEADS[facet]}, since {year}-{3 * int(quarter) - 2:02}", tuple(parts))


def _tempo_first(value: str) -> tuple[int, str]:
    """Bands of tempi by their number, all else by name."""
    low = value.split("-", 1)[0]
    return (int(low), "") if low.isdigit() else (0, value)


def part_cells(part: Part) -> tuple[str, ...]:
    """Share heard, its bounds, when the middle answer comes, and how that is beside the usual; or why not."""
    went = part.counted
    if went is None:
        return (NOT_ASKED,)
    if went.answers < FEW:
        return (TOO_FEW,)
    share = went.share
    bounds = f"{share_word(share.low)} to {share_word(share.high)}"
    after = "" if went.after_s is None else f"{abs(went.after_s):.1f} s {'after' if went.after_s >= 0 else 'early'}"
    more = part.beside
    beside = "" if more is None else f"{abs(more) * 100:.0f} {'better' if more > 0 else 'worse'}"
    return share_word(share.heard), bounds, after, beside


def pair_told(one: Confused, unit: str) -> tuple[str, str]:
    """The other unit of a pair, and how often one was taken for the other, by names as they go in the memory."""
    other = one.pair.taken_for if one.pair.unit == unit else one.pair.unit
    told = f"taken for {other}" if one.pair.unit == unit else f"{other} was taken for it"
    return other, f"{told}, {how_often(one)}, {one.by_chance:.0%} by chance"


def what_it_is(unit: str) -> list[str]:
    """A cadence type's chords and what is heard in them; nothing of what is none."""
    row = CADENCE.get(unit)
    return [] if row is None else [f"{row.id}: {' '.join(row.formula)}. {row.about}"]


def differences(unit: str, other: str) -> list[str]:
    """What another cadence type is and how it differs from this one; nothing where either is none."""
    apart = listen_to(unit, other)
    return [*what_it_is(other), apart] if apart else what_it_is(other) if CADENCE.get(unit) else []


def listen_to(unit: str, other: str) -> str:
    """In what two cadence types differ; empty where either is none, or where nothing of it is written."""
    first, second = CADENCE.get(unit), CADENCE.get(other)
    if first is None or second is None:
        return ""
    if len(first.formula) != len(second.formula):
        return f"They differ in length: {len(first.formula)} chords here, {len(second.formula)} there."
    apart = [
        f"chord {place}: {one} here, {two} there"
        for place, (one, two) in enumerate(zip(first.formula, second.formula, strict=True), 1)
        if one != two
    ]
    if first.mode != second.mode:
        apart.append(f"{first.mode} here, {second.mode} there")
    return f"Listen to {'; '.join(apart)}." if apart else ""


def unit_week(week: Week) -> Sequence[str]:
    """A week of a unit: when, and how it went."""
    went = week.counted
    told = "1 answer, " if went.answers == 1 else f"{went.answers} answers, "
    told += TOO_FEW if went.answers < FEW else f"heard {share_word(went.above_guessing)}"
    if went.after_s is not None:
        told += f", {after_sound(went.after_s)}"
    return f"week of {week.monday.isoformat()}", told
