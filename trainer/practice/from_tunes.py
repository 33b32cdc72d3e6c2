"""Questions from certain tunes only: what these have to ask, on the rungs that ask in a phrase."""

from collections.abc import Sequence
from random import Random

from trainer.drills.kinds import KINDS, find_kind
from trainer.drills.material import TuneMaterial
from trainer.drills.rungs import RUNGS, DrillError, find_rung
from trainer.drills.units import ROUTE
from trainer.memory.chance import Model
from trainer.practice.course import shipped_course
from trainer.practice.items import Fixed
from trainer.practice.tune_facts import facts_of

FIRST_RUNG = min(rung for rung, step in RUNGS.items() if step.phrase)
"""Below it cadences are asked alone, and no tune is heard."""


def from_tunes(
    tunes: Sequence[TuneMaterial],
    types: Sequence[str],
    kinds: Sequence[str],
    rung: int | None,
    count: int,
    model: Model,
    rng: Random,
) -> Fixed:
    """All that some tunes have to ask, of the types and kinds that are named, or of all. Raises DrillError.

    Below the rungs that ask in a phrase only their routes are asked.
    """
    names = ", ".join(tune.id for tune in tunes)
    low = rung is not None and not find_rung(rung).phrase
    wanted = tuple(find_kind(kind) for kind in kinds) or tuple(KINDS.values())
    found = {unit: None for tune in tunes for unit in facts_of(tune.timeline, tune.analysis).units}
    order = [unit for unit in shipped_course().order if unit in found]
    units = (*order, *(unit for unit in found if unit not in order), *(ROUTE + tune.id for tune in tunes))
    pairs = frozenset(
        (unit, kind.id)
        for unit in units
        if (not types or unit in types) and (unit.startswith(ROUTE) or not low)
        for kind in wanted
        if kind.trains(unit) and any(tune.may_have(unit) and kind.stretches(unit, tune) for tune in tunes)
    )
    if not pairs and low:
        raise DrillError(f"rung {rung} asks a cadence alone; questions from a tune are for rungs {FIRST_RUNG} and up")
    if not pairs:
        asked = f" of {', '.join(types)}" if types else ""
        raise DrillError(
            f"{names}: there is nothing{asked} in it to ask; a cadence must be complete and fit into eight bars "
            "(`keyfarer tunes show` tells what a tune has)"
        )
    asked_units = tuple(dict.fromkeys(unit for unit in units if any(unit == one for one, _ in pairs)))
    return Fixed(
        asked_units, tuple(kind.id for kind in wanted), rung, count, model, rng, pairs=pairs, least_rung=FIRST_RUNG
    )
