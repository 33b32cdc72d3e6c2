"""Where in the session we are: a sign for each question, behind, here and ahead."""

from collections.abc import Sequence

from trainer.practice.session import Told

RIGHT, PARTLY, NOT_HEARD, APART, HERE, AHEAD = "●", "◐", "○", "–", "▸", "·"
SIGNS = (
    (RIGHT, "right"), (PARTLY, "partly heard"), (NOT_HEARD, "not heard"), (APART, "a slip: not counted"),
    (HERE, "here"), (AHEAD, "to come"),
)  # fmt: skip
"""Each sign and what it says."""

ROOM = 44
"""Cells that the signs may take beside a screen's name."""


def sign_of(told: Told) -> str:
    """The sign of one answer."""
    if told.slip:
        return APART
    if told.mark.exact:
        return RIGHT
    return PARTLY if told.mark.credit > 0 else NOT_HEARD


def journey(told: Sequence[Told], here: int, of: int) -> str:
    """The signs of a session; set close where there are many, left out where there are too many.

    here: the question that is asked, from 1; one that is answered has its own sign. What was answered in an
    earlier session is left out.
    """
    before = (told[0].number if told else max(here, 1)) - 1
    signs = [sign_of(one) for one in told]
    if here - before > len(signs):
        signs.append(HERE)
    signs += [AHEAD] * (of - before - len(signs))
    if 2 * len(signs) - 1 <= ROOM:
        return " ".join(signs)
    return "".join(signs) if len(signs) <= ROOM else ""
