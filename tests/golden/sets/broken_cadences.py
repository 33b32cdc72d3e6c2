"""Built cases of interrupted cadences: a prepared cadence, one foreign cadence, the preparation taken up again.

What breaks in is one complete cadence of two to four bars in a far key, a key a half step away, the relative,
or the key that was just left. Which keys a player hears as breaking in, and which only as an applied dominant,
a slide or a turnaround inside the key, is common practice, no source; the tables below say it.
The look-alikes stand in look_alikes.py. Every case comes from a seed that is its number: same cases everywhere.
"""

import random
from collections.abc import Callable

from tests.golden.sets.built_phrases import (
    BuiltCase,
    BuiltKey,
    Hand,
    Stretch,
    at_rest,
    made_case,
    plain,
    stretch,
)
from tests.golden.sets.look_alikes import look_alike_cases

FOREIGN: dict[str, dict[tuple[int, str], tuple[str, ...]]] = {
    "major": {
        (1, "major"): ("full", "five", "sub"), (2, "major"): ("long",), (3, "major"): ("full", "sub"),
        (4, "major"): ("full", "sub"), (6, "major"): ("full", "five"), (8, "major"): ("full", "sub"),
        (9, "major"): ("full", "sub"), (11, "major"): ("full", "five"),
        (1, "minor"): ("full", "five"), (3, "minor"): ("full",), (6, "minor"): ("full", "five"),
        (8, "minor"): ("full",), (11, "minor"): ("full", "five"),
    },
    "minor": {
        (1, "major"): ("full", "five", "sub"), (2, "major"): ("full",), (4, "major"): ("full", "five"),
        (6, "major"): ("full", "five"), (9, "major"): ("full", "sub"), (11, "major"): ("full", "five"),
        (1, "minor"): ("full", "five"), (3, "minor"): ("full",), (4, "minor"): ("full",),
        (6, "minor"): ("full", "five"), (8, "minor"): ("full",), (9, "minor"): ("full",),
        (11, "minor"): ("full", "five"),
    },
}  # fmt: skip
"""By the awaited mode: which keys, in half steps above, break in beyond doubt, and with which cadences.

Left out: chords of the awaited key and of its parallel (their V7 is an applied dominant), the key a whole step
below (its ii is the awaited chord turned minor). `long` asks for a ii–V–I and two bars of rest.
"""

NEAR: dict[str, dict[tuple[int, str], tuple[str, ...]]] = {
    "major": {(9, "minor"): ("long",), (5, "major"): ("long",), (7, "major"): ("long",), (10, "major"): ("full",),
              (2, "minor"): ("long",), (4, "minor"): ("long",)},
    "minor": {(3, "major"): ("long",), (8, "major"): ("long",), (10, "major"): ("long",), (5, "minor"): ("long",),
              (7, "minor"): ("long",)},
}  # fmt: skip
"""The relative and other chords of the awaited key, with a whole ii–V–I and a rest of two bars: argued over."""


def beyond_doubt(standing: str, mode: str, relation: tuple[int, str], form: str, before: str) -> bool:
    """Whether every player would hear the foreign cadence break in, and the awaited key prepared before it.

    In the key that was just left a preparation can also be a backdoor (that key a sixth above the awaited one), a
    slide down by half step (a half step below), a substitute of its V (a tritone away), an applied dominant; a ii
    alone a passing chord (a half step above), or its chord of rest turned minor (a whole step above).
    """
    if form not in FOREIGN[mode].get(relation, ()):
        return False
    by = relation[0]
    if standing == "left":
        if by in (9, 11) or (by == 6 and form == "five"):
            return False
        if before == "five" and by not in (1, 8):
            return False
        if before == "two" and (by in (1, 2) or (mode == "minor" and relation in ((3, "minor"), (8, "minor")))):
            return False
    if standing == "third" and before == "five":
        return False
    return standing == "home" or before == "two-five" or form != "five"


CADENCES = {
    "full": ("ii V | I", "ii V | I", "ii V | I | I", "ii | V | I", "ii | V | I | I"),
    "long": ("ii V | I | I", "ii | V | I | I"),
    "five": ("V | I", "V | I | I", "V | V | I | I"),
    "sub": ("ii bII7 | I", "ii bII7 | I | I", "ii | bII7 | I | I"),
}
"""The foreign cadence, of two to four bars."""

PREPARED = {
    "two": ("ii", "ii", "ii | ii"),
    "two-five": ("ii V", "ii | V", "ii | V", "ii | V | V", "ii | Vs V", "ii | Vs"),
    "five": ("V", "V | V", "Vs | V", "Vs V"),
}
AGAIN = {"five": ("V", "V", "V | V", "Vs V", "Vs | V"), "two-five": ("ii V", "ii V", "ii | V", "ii | Vs V")}
SHAPES: dict[str, tuple[str, str]] = {
    "after-two": ("two", "five"),
    "after-two-and-again": ("two", "two-five"),
    "after-two-five": ("two-five", "five"),
    "after-two-five-and-again": ("two-five", "two-five"),
    "after-five": ("five", ""),
}
"""What is prepared and what comes again; after V alone either comes again."""


def in_mode(text: str, mode: str, dark_two: bool = False) -> str:
    """The numerals of a cadence in its mode: iiø and i in minor."""
    words = text.split()
    if mode == "minor":
        words = [{"ii": "iiø", "I": "i"}.get(word, word) for word in words]
    elif dark_two:
        words = ["iiø" if word == "ii" else word for word in words]
    return " ".join(words)


class Broken:
    """One broken cadence chosen by chance: its keys, its shape, its bars up to the chord of rest.

    `standing` says where the preparation is heard: in the awaited key (home), in the key that will break in (left),
    or in a third one (third). `bars` is how many the preparation and the foreign cadence take; None means any.
    `argued` asks for what players would argue over instead of what is beyond doubt.
    """

    def __init__(
        self, hand: Hand, awaited: BuiltKey, standing: str = "home", bars: int | None = None, argued: bool = False
    ) -> None:
        rng = hand.rng
        self.hand, self.awaited = hand, awaited
        relations = FOREIGN[awaited.mode] | (NEAR[awaited.mode] if argued else {})
        while True:
            self.relation = rng.choice(list(relations))
            self.form = rng.choice(relations[self.relation])
            self.shape = rng.choice(list(SHAPES))
            before, after = SHAPES[self.shape]
            if argued != beyond_doubt(standing, awaited.mode, self.relation, self.form, before):
                break
        form = self.form
        self.heard = awaited.up(*self.relation)
        self.after = after or ("five" if standing == "left" else rng.choice(("five", "two-five")))
        dark_two = rng.random() < 0.08
        while True:
            prepared, foreign = rng.choice(PREPARED[before]), rng.choice(CADENCES[form])
            if bars is None or bars == prepared.count("|") + foreign.count("|") + 2:
                break
        bar_line = "|"
        if bars is None and form == "five" and len(prepared.split("|")[-1].split()) == 1 and rng.random() < 0.15:
            bar_line = ""  # V of the foreign key on the third beat
        self.opened = (
            f"<K> {in_mode(prepared, awaited.mode, dark_two)} {bar_line} ( <F> {in_mode(foreign, self.heard.mode)} )"
        )
        self.resumed = f"<K> {in_mode(rng.choice(AGAIN[self.after]), awaited.mode)}"

    @property
    def trait(self) -> str:
        """What sets this one apart, for the bench: how far the foreign key lies, its cadence, the shape."""
        return f"{self.relation[0]}-{self.relation[1]}-{self.form}-{self.shape}"

    @property
    def keys(self) -> dict[str, BuiltKey]:
        """The awaited key as K, the one that breaks in as F."""
        return {"K": self.awaited, "F": self.heard}

    def whole(self, lead: str = "") -> Stretch:
        """Lead, preparation, foreign cadence, preparation again, and rest up to a multiple of four bars."""
        text = " | ".join(part for part in (lead and f"<K> {lead}", self.opened, self.resumed) if part)
        part = stretch(self.hand, self.keys, text)
        return part + at_rest(self.hand, self.awaited, 4 - len(part) % 4)


def another_key(rng: random.Random, broken: Broken) -> BuiltKey:
    """A key that is neither awaited nor heard; where ii alone is prepared, one in which that chord has no place."""
    awaited = broken.awaited
    near = [(by, mode) for mode in ("major", "minor") for by in (2, 3, 4, 5, 7, 8, 9, 10)]
    at_home = {"major": {(10, "major"), (5, "major"), (9, "minor"), (2, "minor"), (7, "minor")},
               "minor": {(3, "major"), (8, "major"), (5, "minor")}}[awaited.mode]  # fmt: skip
    if broken.shape.startswith("after-two") and "five" not in broken.shape:
        near = [one for one in near if one not in at_home]
    return awaited.up(*rng.choice([one for one in near if awaited.up(*one).tonic != broken.heard.tonic]))


LEADS = {
    "major": ("I", "I | vi", "I | I", "I vi", "I | IV", "I VI7"),
    "minor": ("i", "i | iv", "i | i", "i | bVI"),
}
"""How the awaited key is set before it is prepared, where no phrase has set it."""


def in_its_own_key(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """A plain tune in the awaited key around the broken cadence."""
    broken = Broken(hand, awaited)
    first = plain(hand, awaited, rng.choice((4, 8, 8, 16)))
    lead = rng.choice(("", *LEADS[awaited.mode])) if broken.shape != "after-five" else rng.choice(LEADS[awaited.mode])
    sections = {"A": first, "B": broken.whole(lead)}
    if len(first) < 16 and rng.random() < 0.6:
        sections["C"] = plain(hand, awaited, rng.choice((4, 8)))
    return broken, sections


def bare(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """The broken cadence after a bar or two of its key, and nothing else."""
    broken = Broken(hand, awaited)
    return broken, {"A": broken.whole(rng.choice(LEADS[awaited.mode]))}


def just_left(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """A phrase in the key that will break in; then the awaited key is prepared for the first time."""
    broken = Broken(hand, awaited, "left")
    sections = {"A": plain(hand, broken.heard, rng.choice((4, 8, 8, 16))), "B": broken.whole()}
    after = rng.random()
    if after < 0.35:
        sections["C"] = plain(hand, awaited, rng.choice((4, 8)))
    elif after < 0.7:
        sections["C"] = plain(hand, broken.heard, rng.choice((4, 8)))
    return broken, sections


def third_key(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """A phrase that ends in one key; then another is prepared, and a third breaks in."""
    broken = Broken(hand, awaited, "third")
    before = another_key(rng, broken)
    sections = {"A": plain(hand, before, rng.choice((4, 8, 8))), "B": broken.whole()}
    if rng.random() < 0.5:
        sections["C"] = plain(hand, rng.choice((before, awaited)), rng.choice((4, 8)))
    return broken, sections


def at_the_next_section(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """A bridge that prepares the way home and is broken; the next section takes it up at its top."""
    left = rng.random() < 0.6
    broken = Broken(hand, awaited, "left" if left else "home", bars=4)
    bridge = broken.heard if left else another_key(rng, broken)
    middle = plain(hand, bridge, 4) + stretch(hand, broken.keys, broken.opened)
    top = stretch(hand, broken.keys, broken.resumed)
    last = top + at_rest(hand, awaited, 4 - len(top) % 4) + plain(hand, awaited, 4)
    return broken, {"A": plain(hand, awaited), "B": middle, "C": last}


def top_of_the_form(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """A tune whose first section begins on ii V, and whose bridge, broken, leads into it."""
    broken = Broken(hand, awaited, "left", bars=4)
    while broken.after != "two-five":
        broken = Broken(hand, awaited, "left", bars=4)
    begin = in_mode("<K> ii | V | I | I", awaited.mode)
    first = stretch(hand, broken.keys, begin) + plain(hand, awaited, 4)
    return broken, {"A": first, "B": plain(hand, broken.heard, 4) + stretch(hand, broken.keys, broken.opened)}


def in_every_first_section(rng: random.Random, hand: Hand, awaited: BuiltKey) -> tuple[Broken, dict[str, Stretch]]:
    """The broken cadence inside A of a tune A A B A, heard three times."""
    broken = Broken(hand, awaited)
    first = broken.whole(rng.choice(LEADS[awaited.mode]))
    while len(first) != 8:
        broken = Broken(hand, awaited)
        first = broken.whole(rng.choice(LEADS[awaited.mode]))
    by, mode = rng.choice(((5, "major"), (8, "major"), (9, "minor"), (3, "major")))
    return broken, {"A": first, "B": plain(hand, awaited.up(by, mode))}


CONTEXTS: tuple[
    tuple[Callable[[random.Random, Hand, BuiltKey], tuple[Broken, dict[str, Stretch]]], tuple[str, ...]], ...
] = (
    (in_its_own_key, ("",)),
    (just_left, ("",)),
    (third_key, ("",)),
    (just_left, ("",)),
    (in_its_own_key, ("",)),
    (at_the_next_section, ("",)),
    (bare, ("",)),
    (just_left, ("",)),
    (top_of_the_form, ("A A B A", "A B A")),
    (in_every_first_section, ("A A B A", "A B A")),
)
"""Where the broken cadence stands, in turn, and in which forms; without a form the sections play as written."""


def broken_cases(count: int = 400) -> list[BuiltCase]:
    """Charts with at least one interruption each, through all twelve keys and both modes."""
    cases = []
    for number in range(count):
        rng = random.Random(f"broken {number}")
        hand = Hand(rng)
        awaited = BuiltKey(number % 12, "minor" if rng.random() < 0.35 else "major")
        build, forms = CONTEXTS[number // 12 % len(CONTEXTS)]
        broken, sections = build(rng, hand, awaited)
        form = rng.choice(forms)
        kind = build.__name__.replace("_", "-")
        cases.append(
            made_case(
                f"{kind} {broken.trait} {number}", kind, hand, sections, broken.keys, broken.shape, form,
                named=bool(form) or rng.random() < 0.6, home=awaited if rng.random() < 0.7 else None,
            )
        )  # fmt: skip
    return cases


def argued_cases(count: int = 120) -> list[BuiltCase]:
    """Charts built alike in which a good player may hear the interruption or may not: near keys, keys just left."""
    cases = []
    for number in range(count):
        rng = random.Random(f"argued {number}")
        hand = Hand(rng)
        awaited = BuiltKey(number % 12, "minor" if rng.random() < 0.35 else "major")
        standing = rng.choice(("home", "left", "left"))
        broken = Broken(hand, awaited, standing, argued=True)
        before = awaited if standing == "home" else broken.heard
        lead = rng.choice(LEADS[awaited.mode]) if standing == "home" else ""
        sections = {"A": plain(hand, before, rng.choice((4, 8))), "B": broken.whole(lead)}
        kind = f"argued-{standing} {broken.trait}"
        cases.append(made_case(f"{kind} {number}", kind, hand, sections, broken.keys, broken.shape))
    return cases


def cases() -> list[BuiltCase]:
    """All built cases: charts with interruptions, and about as many look-alikes without one."""
    return broken_cases() + look_alike_cases()
