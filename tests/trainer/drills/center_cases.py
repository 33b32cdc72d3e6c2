"""Answers about key centers and the rules that decide their parts, for the kinds that ask for them."""

from tests.trainer.drills.drilling import material
from trainer.drills import kinds
from trainer.drills.material import TuneMaterial
from trainer.drills.question import Question

FERRY = """title: The Ferry Changes Banks
key: C
meter: 4/4
tempo: 126

[A]
| Cmaj7 | Dm7 G7 | Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | % |
[B]
| Fm7 | Bb7 | Ebmaj7 | Abmaj7 | Fm7 | Bb7 | Ebmaj7 | % |
[C]
| Bm7b5 | E7b9 | Am6 | Dm7 | Bm7b5 | E7b9 | Am6 | % |
[D]
| Dm7 | G7 | Cmaj7 | Am7 | Dm7 | G7 | C6 | % |
"""
"""Invented for these tests: C, up a minor third to Eb, A minor, and home."""

LONG = "title: The Long Way Round\nkey: C\nmeter: 4/4\ntempo: 60\n\n" + FERRY.split("\n\n", 1)[1]
"""The same at a pace at which a chorus lasts more than two minutes."""


def ferry() -> TuneMaterial:
    """The tune, read."""
    return material(FERRY, "ferry")


def route(rung: int, seed: int = 1, key: str | None = None) -> Question:
    """A question about the ferry's route."""
    from trainer.harmony.key import parse_key

    return kinds.build("follow-route", "route:ferry", rung, seed, ferry(), parse_key(key) if key else None)


MOVES: list[tuple[str, str, str]] = [
    ("move:+3:major-minor", "up a minor third to minor", "right"),
    ("move:+3:major-minor", "+3 m", "right"),
    ("move:+3:major-minor", "b3 minor", "right"),
    ("move:+3:major-minor", "m3 up, minor", "right"),
    ("move:+3:major-minor", "bIII m", "right"),
    ("move:+3:major-minor", "up 3 half steps to minor", "right"),
    ("move:+3:major-minor", "to b3 minor", "right"),
    ("move:+3:major-minor", "down a major sixth to minor", "right"),
    ("move:+3:major-minor", "up a minor third", "other-mode"),
    ("move:+3:major-minor", "down a minor third, minor", "wrong-direction"),
    ("move:+3:major-minor", "+4 m", "missed-center"),
    ("move:+3:major-minor", "#4", "relative-center"),
    ("move:0:major-minor", "parallel minor", "right"),
    ("move:0:major-minor", "to the parallel minor", "right"),
    ("move:0:major-minor", "1 m", "right"),
    ("move:0:major-minor", "same key, minor", "right"),
    ("move:0:major-minor", "b3", "relative-center"),
    ("move:+3:minor-major", "up a minor third to major", "right"),
    ("move:+3:minor-major", "up a minor third", "other-mode"),
    ("move:+3:minor-major", "b3 M", "right"),
    ("move:+6:major-major", "tritone", "right"),
    ("move:+6:major-major", "-6", "right"),
    ("move:+6:major-major", "b5", "right"),
    ("move:-4:major-major", "b6", "right"),
    ("move:-4:major-major", "up a minor sixth", "right"),
    ("move:-4:major-major", "up a major third", "wrong-direction"),
    ("move:-5:major-major", "up a fifth", "right"),
    ("move:+5:major-major", "IV", "right"),
]
"""A unit, what is typed on rung 4, and the rule of its one part."""

SECOND_OF_TWO: list[tuple[str, list[str]]] = [
    ("up a minor third, down a minor third", ["right", "right"]),
    ("+3 -3", ["right", "right"]),
    ("b3 then 6", ["right", "right"]),
    ("+3; ?", ["right", "left-out"]),
    ("up a minor third, parallel minor", ["right", "missed-center"]),
    ("+3, +0", ["right", "counted-from-first"]),
    ("-3 +3", ["wrong-direction", "wrong-direction"]),
]
"""Two moves, up a minor third and back again."""

ROUTES: list[tuple[str, list[str]]] = [
    ("1 b3 6m 1", ["right"] * 4),
    ("I bIII VIm I", ["right"] * 4),
    ("b3 6m 1", ["right"] * 4),
    ("1-b3-6m-1", ["right"] * 4),
    ("1, b3, 6 minor, 1", ["right"] * 4),
    ("C Eb Am C", ["right"] * 4),
    ("C, Eb major, A minor, C", ["right"] * 4),
    ("1 b3 1", ["right", "right", "move-not-noticed", "right"]),
    ("1 b3 6 1", ["right", "right", "other-mode", "right"]),
    ("1 b3 ? 1", ["right", "right", "left-out", "right"]),
    ("1 1m 6m 1", ["right", "relative-center", "right", "right"]),
    ("1 b3 4 6m 1", ["right", "right", "no-move", "right", "right"]),
    ("1 4 b3 6m 1", ["right", "no-move", "right", "right", "right"]),
    ("1 2 6m 1", ["right", "missed-center", "right", "right"]),
]
"""The ferry's route from memory, its key given."""

DICTATED = ("Imaj7", "vi7", "ii7", "V7", "Imaj7", "to IV: ii7", "V7", "Imaj7")

TAKEN_DOWN: list[tuple[str, dict[str, str]]] = [
    ("1 6 2 5 1 to 4: 2 5 1", {}),
    ("1 6 2 5 1 4: 2 5 1", {}),
    ("I vi ii V I | to IV: ii V I", {}),
    ("Imaj7 vi7 ii7 V7 Imaj7 to F: ii7 V7 Imaj7", {}),
    ("16251 to 4: 251", {}),
    ("1: 1 6 2 5 1 to 4 major: 2 5 1", {}),
    ("1 4 2 5 1 to 4: 2 5 1", {"chord 2": "missed"}),
    ("1 6 4 5 1 to 4: 2 5 1", {"chord 3": "same-function"}),
    ("1 6 2 5 1 5 1 4", {
        "chord 6": "counted-elsewhere", "chord 7": "counted-elsewhere", "chord 8": "counted-elsewhere",
        "center at chord 6": "move-not-noticed",
    }),
    ("1 6 2 5 1 5 to 4: 5 1", {"chord 6": "counted-elsewhere", "center at chord 6": "one-chord-off"}),
    ("1 6 2 5 1 to 5: 2 5 1", {"center at chord 6": "missed-center"}),
    ("1 6 2 5 1 to 4m: 2 5 1", {"center at chord 6": "other-mode"}),
    ("1 6 2 5 1 to 2m: 2 5 1", {"center at chord 6": "relative-center"}),
    ("1 6 to b3: 2 5 1 to 4: 2 5 1", {"center at chord 3": "no-move"}),
    ("? 6 2 5 1 to 4: 2 5 1", {"chord 1": "left-out"}),
]  # fmt: skip
"""Of DICTATED in C with F as its fourth: what is typed and the rules of the parts that aren't right."""

RULES_REACHED = (
    {row[2] for row in MOVES}
    | {rule for row in SECOND_OF_TWO for rule in row[1]}
    | {rule for row in ROUTES for rule in row[1]}
    | {rule for row in TAKEN_DOWN for rule in row[1].values()}
)
"""What the tests of these kinds reach."""
