"""All about one type: where it stands and why, by key, voicing, tempo and drill, confusions, its weeks."""

from collections.abc import Sequence
from typing import ClassVar

from textual import work
from textual.binding import BindingType
from textual.message import Message
from textual.widget import Widget

from trainer.errors import KeyfarerError
from trainer.memory.progress_tables import Confused
from trainer.practice.progress_words import how_often
from trainer.practice.unit_told import (
    HEARD_IS,
    LATELY,
    NOT_MET,
    PAIRS_SHOWN,
    UnitTold,
    listen_to,
    unit_told,
    unit_week,
    what_it_is,
)
from trainer.practice.words import name_of
from trainer.screens.actions import TYPE, bindings_on
from trainer.screens.base import Page, text
from trainer.screens.widgets.ledger import Column, Ledger
from trainer.screens.widgets.parts import FEW_IS, Parts

TWO_BESIDE = 156
"""Cells from which two tables stand beside each other."""


class TypePage(Page):
    """One type."""

    NAME = TYPE
    BINDINGS: ClassVar[list[BindingType]] = bindings_on(TYPE)
    HORIZONTAL_BREAKPOINTS = [(0, "-one"), (TWO_BESIDE, "-two")]

    DEFAULT_CSS = """
    TypePage #what { color: $secondary; margin: 0 0 1 0; }
    TypePage #head, TypePage #column, TypePage #keys { max-width: 156; }
    TypePage.-two Parts { grid-size: 2; }
    """

    class Read(Message):
        """What there is to tell; None of a type that was never asked."""

        def __init__(self, told: UnitTold | None, error: str = "") -> None:
            super().__init__()
            self.told = told
            self.error = error

    def __init__(self, unit: str) -> None:
        super().__init__()
        self.unit = unit

    def body(self) -> list[Widget]:
        """What it is, where it stands, its parts, confusions, weeks."""
        return [
            text("what"),
            Ledger((Column("$quiet"), Column(wraps=True)), id="standing"),
            Parts(id="parts"),
            text("heard-is", classes="gap quiet"),
            text("confused", classes="gap strong"),
            Ledger((Column(wraps=True, most=160),), id="pairs"),
            text("lately", classes="gap strong"),
            Ledger((Column("$quiet"), Column(wraps=True)), id="weeks"),
        ]

    def begin(self) -> None:
        """Read what there is."""
        name = name_of(self.unit)
        self.headline(sentence(name), "" if name == self.unit else self.unit)
        self.say("what", "\n".join(told.removeprefix(f"{self.unit}: ") for told in what_it_is(self.unit)))
        self.query_one(Parts).display = False
        self.read()

    @work(thread=True, exclusive=True, group="type")
    def read(self) -> None:
        """Read beside the event loop."""
        doors = self.keyfarer.doors
        try:
            doors.store.refresh()
            self.post_message(self.Read(unit_told(doors.store, self.unit, doors.day(), self.naming)))
        except KeyfarerError as error:
            self.post_message(self.Read(None, str(error)))

    def on_type_page_read(self, message: Read) -> None:
        """Tell it."""
        told = message.told
        if told is None:
            self.say("heard-is", message.error or NOT_MET)
            return
        self.query_one("#standing", Ledger).put(told.standing)
        parts = self.query_one(Parts)
        parts.display = True
        parts.put(told.facets)
        self.say("heard-is", f"{HEARD_IS} {FEW_IS}")
        pairs = pairs_told(told.pairs, self.unit)
        self.say("confused", "Confusions" if pairs else "")
        self.query_one("#pairs", Ledger).put([(told,) for told in pairs])
        self.say("lately", LATELY)
        self.query_one("#weeks", Ledger).put([unit_week(week) for week in told.weeks])


def pairs_told(pairs: Sequence[Confused], unit: str) -> list[str]:
    """Each pair: which was taken for which, how often, and once for each other type how the two differ."""
    told: list[str] = []
    told_of: set[str] = set()
    for one in pairs[:PAIRS_SHOWN]:
        taken = one.pair.unit == unit
        other = one.pair.taken_for if taken else one.pair.unit
        words = f"Taken for {name_of(other)}" if taken else f"{sentence(name_of(other))} was taken for it"
        words = f"{words} {how_often(one)}; {one.by_chance:.0%} by chance."
        apart = "" if other in told_of else listen_to(unit, other)
        told.append(f"{words} {apart}".rstrip())
        told_of.add(other)
    if len(pairs) > PAIRS_SHOWN:
        told.append(f"And {len(pairs) - PAIRS_SHOWN} more, less often.")
    return told


def sentence(words: str) -> str:
    """Words that begin a sentence."""
    return words[:1].upper() + words[1:]
