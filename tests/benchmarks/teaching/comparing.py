"""All plans on the whole panel: our own against the best simple plan for each kind of player, chosen afterwards.

Every simple plan is first tried on a part of the players of each kind; those that came out best there by either
measure then have all players, as our own plan has. The best of them, by what all players came to, is the bar.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from statistics import mean

from tests.benchmarks.teaching.panel import CONFUSED, PANEL, SLOW_GROUND
from tests.benchmarks.teaching.simple_plans import SIMPLE
from tests.benchmarks.teaching.teaching import OURS, OURS_WITHOUT_CONTRAST, REACHED, Result, taught

TEST_SEEDS = 500_000
"""Where the players begin that no plan was tuned on; tuning took those from 1,000 on."""
FINALISTS = 3
"""So many simple plans by each measure have all players."""

_KINDS = {kind.id: kind for kind in PANEL}
Results = Mapping[tuple[str, str], Sequence[Result]]
"""By kind of player and plan."""


@dataclass(frozen=True)
class Shares:
    """One kind of player: our plan as a share of the best simple plan."""

    kind: str
    known: float
    recall: float
    days: tuple[float, ...]
    """Days to 5, 10 and 15 known types, ours over the best; below 1 is sooner."""
    best_known: str
    best_recall: str
    over_rotation: float
    """Known types over those of the best rotation."""
    contrast: float
    """Known types with contrast over those without."""


def compared(players: int, tried_on: int, processes: int = 2) -> list[Shares]:
    """Run all and compare."""
    first = _run([(kind, plan) for kind in _KINDS for plan in SIMPLE], range(tried_on), processes)
    finalists = [(kind, plan) for kind in _KINDS for plan in _finalists(first, kind)]
    ours = [(kind, plan) for kind in _KINDS for plan in (OURS, OURS_WITHOUT_CONTRAST)]
    results = _run(finalists + ours, range(players), processes)
    return [shares_of(results, kind) for kind in _KINDS]


def shares_of(results: Results, kind: str) -> Shares:
    """Compare what players of one kind came to."""
    by_plan = {plan: rows for (one, plan), rows in results.items() if one == kind}
    simple = {plan: rows for plan, rows in by_plan.items() if not plan.startswith(OURS)}
    known = {plan: mean(row.known for row in rows) for plan, rows in by_plan.items()}
    recall = {plan: mean(row.recall for row in rows) for plan, rows in by_plan.items()}
    best_known, best_recall = max(simple, key=known.__getitem__), max(simple, key=recall.__getitem__)
    rotation = max((known[plan] for plan in simple if plan.startswith("rotation")), default=float("nan"))
    days = []
    for place in range(len(REACHED)):
        took = {plan: mean(row.days_to[place] for row in rows) for plan, rows in by_plan.items()}
        days.append(took[OURS] / min(took[plan] for plan in simple))
    return Shares(
        kind,
        known[OURS] / known[best_known],
        recall[OURS] / recall[best_recall],
        tuple(days),
        best_known,
        best_recall,
        known[OURS] / rotation,
        known[OURS] / known[OURS_WITHOUT_CONTRAST],
    )


def slow_ground(shares: Iterable[Shares]) -> float:
    """Mean share of known types where failures teach little or memory fades by half-life."""
    return mean(one.known for one in shares if one.kind in SLOW_GROUND)


def confused(shares: Iterable[Shares]) -> float:
    """The least gain over rotation where confusions are the bottleneck."""
    return min(one.over_rotation for one in shares if one.kind in CONFUSED)


def cost_of_contrast(shares: Iterable[Shares]) -> float:
    """Known types that contrast costs on average where confusions are not the bottleneck, as a share."""
    return 1.0 - mean(one.contrast for one in shares if one.kind not in CONFUSED)


def _finalists(results: Results, kind: str) -> list[str]:
    known = {plan: mean(row.known for row in rows) for (one, plan), rows in results.items() if one == kind}
    recall = {plan: mean(row.recall for row in rows) for (one, plan), rows in results.items() if one == kind}
    rotations = sorted((plan for plan in known if plan.startswith("rotation")), key=known.__getitem__)
    best = sorted(known, key=known.__getitem__)[-FINALISTS:] + sorted(recall, key=recall.__getitem__)[-FINALISTS:]
    return list(dict.fromkeys([*best, rotations[-1]]))


def _run(pairs: Sequence[tuple[str, str]], seeds: range, processes: int) -> dict[tuple[str, str], list[Result]]:
    jobs = [(kind, plan, TEST_SEEDS + seed) for kind, plan in pairs for seed in seeds]
    out: dict[tuple[str, str], list[Result]] = {}
    with Pool(processes) as pool:
        for (kind, plan, _), result in zip(jobs, pool.imap(_taught, jobs, chunksize=8), strict=True):
            out.setdefault((kind, plan), []).append(result)
    return out


def _taught(job: tuple[str, str, int]) -> Result:
    kind, plan, seed = job
    return taught(_KINDS[kind], plan, seed)
