"""Built look-alikes of interrupted cadences: charts in which no cadence breaks into another.

Each kind leaves out one thing that makes an interruption: the preparation, the foreign chord of rest, its
dominant, its distance, its shortness, or the preparation's coming back. Common practice, no source.
"""

import random
from collections.abc import Callable

from tests.golden.sets.built_phrases import BuiltCase, BuiltKey, Hand, Stretch, at_rest, made_case, plain, stretch

FAR = {"major": ((1, "major"), (3, "major"), (4, "major"), (6, "major"), (8, "major"), (11, "major"), (6, "minor"),
                 (1, "minor")),
       "minor": ((1, "major"), (4, "major"), (6, "major"), (11, "major"), (1, "minor"), (6, "minor"))}  # fmt: skip
"""Keys that would break in if the cadence were whole, short and came back, by the mode around them."""

Sections = dict[str, Stretch]


def of_mode(text: str, keys: dict[str, BuiltKey]) -> str:
    """The text with ii and I of minor keys written iiø and i."""
    mode = next(iter(keys.values())).mode
    words = []
    for word in text.split():
        if word.startswith("<"):
            mode = keys[word.strip("<>")].mode
        words.append({"ii": "iiø", "I": "i"}.get(word, word) if mode == "minor" else word)
    return " ".join(words)


def around(hand: Hand, key: BuiltKey, core: Stretch, after: BuiltKey | None = None, before: bool = True) -> Sections:
    """The core filled up to a multiple of four bars, between plain phrases."""
    rng = hand.rng
    if len(core) % 4:
        core = core + at_rest(hand, after or key, 4 - len(core) % 4)
    sections = {"A": plain(hand, key, rng.choice((4, 8, 8)))} if before else {}
    sections["B"] = core
    if after is not None or rng.random() < 0.5:
        sections["C"] = plain(hand, after or key, rng.choice((4, 8)))
    return sections


def keys_of(rng: random.Random, key: BuiltKey) -> dict[str, BuiltKey]:
    """K, a far key F, and another far key U, their tonics all different."""
    first = key.up(*rng.choice(FAR[key.mode]))
    second = key.up(*rng.choice(FAR[key.mode]))
    while second.tonic == first.tonic:
        second = key.up(*rng.choice(FAR[key.mode]))
    return {"K": key, "F": first, "U": second}


def chosen(rng: random.Random, hand: Hand, key: BuiltKey, texts: tuple[str, ...]) -> Sections:
    """One of the texts between plain phrases of K."""
    keys = keys_of(rng, key)
    return around(hand, key, stretch(hand, keys, of_mode(rng.choice(texts), keys)))


def never_back(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """An unfinished ii–V (or ii, or V) of a far key, a cadence at home, and the far key never again."""
    return chosen(rng, hand, key, (
        "<U> ii V | <K> ii V | I | I", "<U> ii | V | <K> ii V | I", "<U> ii | <K> ii V | I | I",
        "<K> I | I | <U> ii V | <K> ii V", "<U> ii V | <K> V | I | I", "<U> V | <K> ii V | I | I",
        "<U> ii V | <F> ii V | <K> ii V | I",
    ))  # fmt: skip


def left_and_stays_away(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """At home another key is prepared, home cadences, and the other key never comes: as if broken, without the end."""
    keys = keys_of(rng, key)
    text = rng.choice(("<U> ii V | <K> ii V | I | I", "<U> ii | V | <K> ii V | I", "<U> ii | V | <K> ii V | I | I"))
    sections = {"A": plain(hand, key, 8), "B": stretch(hand, keys, of_mode(text, keys))}
    if len(sections["B"]) % 4:
        sections["B"] += at_rest(hand, key, 4 - len(sections["B"]) % 4)
    return sections | {"C": plain(hand, key, rng.choice((4, 8)))}


def moves_on(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Home is left with its ii–V open; the new key cadences and stays to the end."""
    keys = keys_of(rng, key)
    text = rng.choice(("<K> ii V | <F> ii V | I | I", "<K> ii | V | <F> ii V | I", "<K> I | ii V | <F> ii V | I"))
    core = stretch(hand, keys, of_mode(text, keys))
    return around(hand, key, core, after=keys["F"]) | {"D": plain(hand, keys["F"], 8)}


def in_turn(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Each key's cadence comes to its own rest before the next begins."""
    return chosen(rng, hand, key, (
        "<K> ii V | I | <F> ii V | I | <K> ii V | I", "<K> ii V | I | <F> ii V | I | <K> V | I",
        "<K> ii | V | I | I | <F> ii | V | I | I | <K> ii | V | I | I", "<F> ii V | I | <U> ii V | I | <K> ii V | I",
        "<F> ii V | I | <K> V | I", "<K> V | I | <F> V | I | <K> V | I", "<K> V | I | <F> ii V | I | <K> V | I | I",
    ))  # fmt: skip


def in_turn_by_step(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """A pattern of whole cadences that moves by the same step, and home again."""
    by = rng.choice((10, 2, 3, 8, 9, 11))
    keys = {name: BuiltKey((key.tonic + by * number) % 12, "major") for number, name in enumerate("KLMN")}
    text = " | ".join(f"<{name}> ii V | I" for name in "KLMN"[: rng.choice((2, 3, 4))])
    home = "ii V | I" if key.mode == "major" else "iiø V | i"
    core = stretch(hand, keys, text) + stretch(hand, {"K": key}, home)
    return around(hand, key, core)


def back_and_forth(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """A phrase away, a whole cadence at home, the other key once more, home once more."""
    keys = keys_of(rng, key)
    text = "<K> ii V | I | <F> ii V | I | <K> " + rng.choice(("V | I", "ii V | I"))
    core = stretch(hand, keys, of_mode(text, keys))
    core = core + at_rest(hand, key, 4 - len(core) % 4)
    return {"A": plain(hand, keys["F"], rng.choice((4, 8))), "B": core, "C": plain(hand, key, 4)}


def chain(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """ii–Vs one after another, by half or whole step or around the fifths, of which only the last one rests."""
    by = rng.choice((1, 1, 2, 7, 11))  # each pair so many half steps above the next
    count = rng.choice((2, 3, 3, 4))
    keys = {name: key.up(by * (count - number), "major") for number, name in enumerate("PQRS"[:count])}
    text = " | ".join(f"<{name}> ii V" for name in keys)
    core = stretch(hand, keys, text) + stretch(hand, {"K": key}, "ii V | I" if key.mode == "major" else "iiø V | i")
    return around(hand, key, core)


def slip(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Between the preparation and its end stands a foreign ii–V, or a V, that never comes to rest."""
    return chosen(rng, hand, key, (
        "<K> ii V | <F> ii V | <K> ii V | I", "<K> ii | <F> ii V | <K> V | I", "<K> ii V | <F> ii V | <K> V | I",
        "<K> ii | V | <F> ii | V | <K> ii | V | I | I", "<K> ii | <F> V | <K> V | I",
    ))  # fmt: skip


def rest_without_dominant(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Between the preparation and its end stands a foreign major chord that no dominant leads to."""
    return chosen(rng, hand, key, (
        "<K> ii | bII | V | I", "<K> ii V | bVI | V | I",
        "<K> ii | V | bVI | V | I | I",
        "<K> ii V | bII | I | I", "<K> ii V | bIII | ii V | I",
    ))  # fmt: skip


def longer_than_four(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """The foreign key cadences more than once and stays for eight bars and more: a change of key."""
    keys = keys_of(rng, key)
    opened = stretch(hand, keys, of_mode(rng.choice(("<K> I | ii V", "<K> ii | V", "<K> I | I | ii | V")), keys))
    away = stretch(hand, keys, of_mode("<F> ii V | I", keys)) + plain(hand, keys["F"], rng.choice((8, 8, 16)))
    back = stretch(hand, keys, of_mode(rng.choice(("<K> ii V | I", "<K> ii | V | I | I", "<K> V | I")), keys))
    core = opened + away + back
    return {"A": plain(hand, key, 4), "B": core + at_rest(hand, key, 4 - len(core) % 4)}


def left_for_long(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """The key just left comes back to stay for two phrases; the prepared key comes only then."""
    keys = keys_of(rng, key)
    opened = stretch(hand, keys, of_mode("<K> ii V", keys))
    away = stretch(hand, keys, of_mode("<F> ii V | I", keys)) + plain(hand, keys["F"], 8)
    back = stretch(hand, keys, of_mode("<K> ii V | I", keys))
    core = opened + away + back
    return {"A": plain(hand, keys["F"], 4), "B": core + at_rest(hand, key, 4 - len(core) % 4)}


APPLIED = {
    "major": (
        "<K> ii | VI7 | ii V | I", "<K> ii V | iii VI7 | ii V | I", "<K> ii V | viiø III7 | vi | ii V | I | I",
        "<K> ii | III7 | vi II7 | ii V | I | I", "<K> ii V | v I7 | IV | V | I | I",
        "<K> ii | V | I7 | IV | ii | V | I | I",
        "<K> ii V | #ivø VII7 | iii VI7 | ii V | I | I", "<K> ii V | II7 | V | I", "<K> ii | II7 | V | I",
        "<K> ii V | vi II7 | ii V | I", "<K> V | II7 | V | I", "<K> ii V | III7 | vi | ii V | I | I",
        "<K> ii | iiiø VI7 | ii | V | I | I", "<K> V | v I7 | IV | V | I | I",
    ),
    "minor": (
        "<K> iiø V | vø I7 | iv | V | i | i", "<K> iiø | I7 | iv V | i", "<K> iiø V | II7 | V | i",
        "<K> iiø V | iv bVII7 | bIII | iiø V | i | i", "<K> V | I7 | iv | V | i | i",
        "<K> iiø V | v I7 | iv V | i",
    ),
}  # fmt: skip


def applied(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Between the preparation and its end an applied dominant, or its ii–V, to a degree of the same key."""
    return around(hand, key, stretch(hand, {"K": key}, rng.choice(APPLIED[key.mode])))


def by_texts(*texts: str) -> Callable[[random.Random, Hand, BuiltKey], Sections]:
    """A maker of tunes in a major key around one of the texts."""

    def made(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
        home = BuiltKey(key.tonic, "major")
        return around(hand, home, stretch(hand, {"K": home, "k": home.up(0, "minor")}, rng.choice(texts)))

    return made


def plain_tune(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Repeated first sections and a bridge in another key or two, back by the ii–V of home."""
    keys = keys_of(rng, key)
    near = key.up(5, key.mode)
    bridge = rng.choice((
        plain(hand, near, 8),
        plain(hand, keys["F"], 4) + plain(hand, keys["U"], 4),
        plain(hand, keys["F"], 4) + stretch(hand, keys, of_mode("<F> I | I | <K> ii | V", keys)),
        plain(hand, near, 4) + stretch(hand, keys, of_mode("<K> II7 | II7 | ii | V", keys)),
    ))  # fmt: skip
    return {"A": plain(hand, key, 8), "B": bridge}


def open_first_section(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """The first section ends open on ii–V, the bridge lives elsewhere for eight bars, the last section begins on I."""
    keys = keys_of(rng, key)
    first = plain(hand, key, 4) + stretch(hand, keys, of_mode("<K> I | I | ii | V", keys))
    bridge = stretch(hand, keys, of_mode("<F> ii | V | I | I", keys)) + plain(hand, keys["F"], 4)
    return {"A": first, "B": bridge, "C": plain(hand, key, 8)}


BLUES = {
    "major": (
        "I7 | IV7 | I7 | v I7 | IV7 | #iv° | I7 | iii VI7 | ii | V | I7 VI7 | ii V",
        "I7 | IV7 | I7 | I7 | IV7 | IV7 | I7 | I7 | V | IV7 | I7 | V",
        "I7 | IV7 | I7 | v I7 | IV7 | IV7 | I7 | VI7 | ii | V | I7 | ii V",
        "I7 | IV7 | I7 | v I7 | IV7 | iv bVII7 | I7 | biii bVI7 | ii | V | I7 VI7 | ii V",
    ),
    "minor": (
        "i | iv | i | i | iv | iv | i | i | bVI7 | V | i | iiø V",
        "i | i | i | vø I7 | iv | iv | i | i | iiø | V | i | iiø V",
    ),
}  # fmt: skip


def blues(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Twelve bars, once or twice."""
    chorus = stretch(hand, {"K": key}, rng.choice(BLUES[key.mode]))
    return {"A": chorus} if rng.random() < 0.5 else {"A": chorus, "B": chorus}


def modal(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """Minor sevenths that last, a step or a third apart, without dominants."""
    other = BuiltKey((key.tonic + rng.choice((1, 2, 3, 10))) % 12, "minor")
    home = BuiltKey(key.tonic, "minor")
    held = " | ".join(["i7"] * 8)
    one, two = stretch(hand, {"K": home}, held), stretch(hand, {"K": other}, held)
    return {"A": one, "B": two, "C": one}


def major_thirds(rng: random.Random, hand: Hand, key: BuiltKey) -> Sections:
    """A cycle of keys a major third apart, each rest reached by its own dominant."""
    keys = {name: BuiltKey((key.tonic - 4 * number) % 12, "major") for number, name in enumerate("KLM")}
    core = stretch(hand, keys, "<K> I | <L> V | I | <M> V | I | <K> V | I | I")
    return {"A": core, "B": plain(hand, keys["K"], 8)}


KINDS: dict[str, Callable[[random.Random, Hand, BuiltKey], Sections]] = {
    "never-back": never_back,
    "left-and-stays-away": left_and_stays_away,
    "moves-on": moves_on,
    "in-turn": in_turn,
    "in-turn-by-step": in_turn_by_step,
    "back-and-forth": back_and_forth,
    "chain": chain,
    "slip": slip,
    "rest-without-dominant": rest_without_dominant,
    "longer-than-four": longer_than_four,
    "left-for-long": left_for_long,
    "applied": applied,
    "turnarounds": by_texts(
        "I vi | ii V | iii VI7 | ii V | I | I", "I bIII7 | bVI7 bII7 | I | I",
        "iii VI7 | ii V | iii VI7 | ii V | I | I",
        "I #i° | ii #ii° | iii VI7 | ii V", "iii bIII7 | ii bII7 | I | I", "ii V | iii VI7 | ii V | I",
    ),
    "substitutes": by_texts(
        "ii | bII7 | I | I", "ii V | bvi bII7 | I | I", "ii | bvi bII7 | I | I", "ii | V bII7 | I | I",
        "ii V | bII7 | I | I", "bVI7 | V | I | I", "ii V | bvi bII7 | ii V | I", "bvi bII7 | ii V | I | I",
    ),
    "deceptive": by_texts(
        "ii V | vi | ii V | I", "ii | V | bVI | bVI | ii | V | I | I", "ii V | iii | ii V | I", "ii V | bVI | ii V | I",
        "ii V | vi | V | I", "ii V | #ivø | iv | iii VI7 | ii V | I", "ii V | III7 | vi II7 | ii V | I | I",
    ),
    "backdoor": by_texts(
        "ii V | iv bVII7 | I | I", "ii | iv bVII7 | I | I", "iv | bVII7 | I | I", "ii V | iv bVII7 | ii V | I",
        "ii V | iv bVII7 | iii VI7 | ii V | I | I", "IV | iv bVII7 | I VI7 | ii V",
    ),
    "parallel": by_texts(
        "ii V | <k> i | iiø V | <K> I", "<k> iiø V | i | <K> ii V | I", "ii V | <k> i | <K> ii V | I",
        "<k> iiø | V | <K> I | I", "<k> i | iv | iiø V | <K> I",
    ),
    "at-once": by_texts(
        "ii V | ii V | I | I", "ii | V | ii | V | I | I", "ii V | ii Vs | I | I", "Vs V | ii V | I | I",
        "ii V | ii bII7 | I | I", "ii | ii | ii V | I", "V | Vs | ii V | I", "II7 | ii V | II7 | ii V | I | I",
    ),
    "plain-tune": plain_tune,
    "open-first-section": open_first_section,
    "blues": blues,
    "modal": modal,
    "major-thirds": major_thirds,
}  # fmt: skip
FORMS = {"plain-tune": "A A B A"}


def look_alike_cases(count: int = 400) -> list[BuiltCase]:
    """Charts without an interruption, through all twelve keys and both modes."""
    cases = []
    names = list(KINDS)
    for number in range(count):
        rng = random.Random(f"look-alike {number}")
        hand = Hand(rng)
        key = BuiltKey(rng.randrange(12), "minor" if rng.random() < 0.35 else "major")
        kind = names[number % len(names)]
        sections = KINDS[kind](rng, hand, key)
        form = FORMS.get(kind, "")
        named = bool(form) or rng.random() < 0.6
        cases.append(made_case(f"{kind} {number}", kind, hand, sections, {"K": key}, form=form, named=named))
    return cases
