"""What was taken for what: how often, since when, whether more than by chance, and what tells the two apart."""

from trainer.practice.progress_words import how_often
from trainer.practice.unit_told import listen_to
from trainer.practice.words import name_of
from trainer.screens.views.view import WIDE, Shown, View
from trainer.screens.widgets.sheet import Head, Table

NARROW = 66
"""Cells below which names take the place of what is told beneath all the same."""
OUT = "more"
"""Stands where chance would hardly have it so often."""
LEGEND = f"Chance: {OUT} where chance alone would hardly bring it so often."


def sum_of(shown: Shown) -> str:
    """How many pairs there are."""
    pairs = shown.seen.confusions
    if not pairs:
        return "So far nothing was taken for something else."
    out = sum(one.stands_out for one in pairs)
    told = "Once one type was" if len(pairs) == 1 and pairs[0].pair.times == 1 else f"{len(pairs)} pairs were"
    return f"{told} taken for one another, {out or 'none'} more often than by chance."


def units(shown: Shown) -> tuple[str, ...]:
    """The type that sounded."""
    return tuple(one.pair.unit for one in shown.seen.confusions)


def table(shown: Shown, width: int) -> Table:
    """A row a pair."""
    since, wide = width >= NARROW, width >= WIDE
    heads = [Head("what sounded", gives=True), Head("taken for", gives=True), Head("times", right=True)]
    heads += [Head("chance", style="$warning"), *[Head("since")] * since]
    heads += [Head("last"), Head("lately", right=True), Head("share", right=True), Head("by chance", right=True)] * wide
    rows = []
    for one in shown.seen.confusions:
        pair = one.pair
        row = [name_of(pair.unit), name_of(pair.taken_for), f"{pair.times}"]
        row += [OUT if one.stands_out else "", *[pair.first_month] * since]
        row += [pair.last_month, f"{pair.lately}", f"{one.share:.0%}", f"{one.by_chance:.0%}"] * wide
        rows.append(tuple(row))
    return Table(tuple(heads), tuple(rows))


def about(shown: Shown, at: int) -> str:
    """How often, and what to listen to."""
    one = shown.seen.confusions[at]
    unit, other = one.pair.unit, one.pair.taken_for
    told = f"{name_of(unit)}: taken for {name_of(other)} {how_often(one)} ({one.by_chance:.0%} by chance)."
    apart = listen_to(unit, other)
    return f"{told} {apart}".rstrip()


VIEW = View("confusions", sum_of, LEGEND, table, about, units)
