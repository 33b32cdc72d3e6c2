"""Which rung a unit is asked on today.

As a rule the hardest one that is heard about every other time; what is heard seven times in ten goes a rung up
whatever the next one's chance, and the top rung, where nothing has to be carried over, is tried from a quarter on.
A rung is never jumped. Players whom easy rungs don't help on hard ones are led straight up: that shows when first
answers on a rung that a unit was never asked on before come to little.
"""

from collections.abc import Iterable, Mapping
from datetime import datetime
from math import sqrt

from trainer.memory.chance import RUNG_GUESS, Model, chance
from trainer.memory.outlook import Outlook
from trainer.memory.trial import TOP_RUNG

EVEN = 0.5
"""Modelled chance, guessing included, that a player's own choice of units aims at: the middle of 40-60 %."""
AIM = 0.4
"""Modelled chance, guessing left out, that a rung of the plan below the top must have at least."""
AIM_ON_TOP = 0.25
"""The same for the top rung."""
HELD = 0.7
"""Modelled chance, guessing left out, from which a rung is left for the next."""
CLIMBS_ENOUGH = 4.0
"""Climbs before they mean anything."""
CLIMBS_FAIL = 0.42
"""Mean credit above guessing under which, a standard error off, what is practised on a rung carries nothing up."""
LOST_BELOW = 0.03
"""Share of recent answers right under which the top rung teaches nothing either: then rungs come one by one again."""


def straight_up(model: Model) -> bool:
    """Whether practice on easy rungs has shown itself to be of no use on harder ones."""
    climbs = model.climbs
    if climbs.weight < CLIMBS_ENOUGH or (model.recent_accuracy or 0.0) < LOST_BELOW:
        return False
    return climbs.mean + 0.5 / sqrt(climbs.weight) < CLIMBS_FAIL


def highest_open(model: Model, unit: str, kind: str, kinds: tuple[str, ...]) -> int:
    """The hardest rung that may be asked: one above the last, or where the unit stands in its other kinds."""
    rungs = [standing.rung for other in kinds if (standing := model.standings.get((unit, other))) is not None]
    own = model.standings.get((unit, kind))
    return min(TOP_RUNG, max(own.rung + 1 if own is not None else 1, min(rungs, default=1)))


def rung_today(outlook: Outlook, unit: str, kind: str, kinds: tuple[str, ...]) -> int:
    """The rung to ask a unit on, in a kind of drill; kinds are those open for it."""
    if straight_up(outlook.model) and unit in outlook.model.met:
        return TOP_RUNG
    most = highest_open(outlook.model, unit, kind, kinds)
    for rung in range(most, 1, -1):
        if outlook.chance(unit, kind, rung, 0.0) >= (AIM_ON_TOP if rung == TOP_RUNG else AIM):
            break
    else:
        rung = 1
    if rung < most and outlook.chance(unit, kind, rung, 0.0) >= HELD:
        return rung + 1
    return rung


def choose_rung(
    model: Model,
    unit: str,
    kind: str,
    open_rungs: Iterable[int] = range(1, TOP_RUNG + 1),
    guess: Mapping[int, float] = RUNG_GUESS,
    at_utc: datetime | None = None,
) -> int:
    """The open rung whose modelled chance is nearest to EVEN, the harder of two; at most one above the last.

    A unit met for the first time starts on the lowest open rung; a new kind of drill for a unit that is known
    from others starts no higher than where the unit stands in the lowest of those.
    """
    rungs = sorted(set(open_rungs))
    if not rungs:
        raise ValueError("no rung is open")
    standing = model.standings.get((unit, kind))
    if standing is not None:
        most = standing.rung + 1
    else:
        others = [other.rung for (name, _), other in model.standings.items() if name == unit]
        most = min(others, default=rungs[0])
    allowed = [rung for rung in rungs if rung <= most] or rungs[:1]
    off = {rung: abs(chance(model, unit, kind, rung, guess[rung], at_utc).p - EVEN) for rung in allowed}
    return min(allowed, key=lambda rung: (off[rung], -rung))
