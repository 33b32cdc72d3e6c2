"""Folders of charts for the tests of many charts at once: invented tunes of 16 bars, and some at fault among them."""

import random
from pathlib import Path

NAMES = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
FRAGMENTS = (
    "{2}m7 | {7}7 | {0}maj7 | %",
    "{4}m7 {9}7b9 | {2}m7 {7}7 | {0}maj7 | {0}6",
    "{5}maj7 | {5}m6 {10}7 | {0}maj7 | {9}7",
    "{2}m7b5 | {7}7alt | {0}m6 | {0}m7 / / {5}7",
    "{0}maj7 {1}°7 | {2}m7 {3}°7 | {4}m7 {3}7 | {2}m7 {1}7#11",
)
"""Four bars each; a number is the half steps above the tonic."""
AT_FAULT = "title: Broken\n[A]\n| Cm7 | H7 |\n"


def tune(rng: random.Random, number: int) -> str:
    """The text of one tune: two sections of four bars, one of them in another key."""
    home = rng.randrange(12)
    there = (home + rng.choice((0, 3, 4, 5, 8))) % 12
    lines = [
        f"| {rng.choice(FRAGMENTS).format(*(NAMES[(tonic + up) % 12] for up in range(12)))} |"
        for tonic in (home, there)
    ]
    head = f"title: Lantern {number}\ntempo: {rng.randrange(80, 240)}\nform: A B A\n"
    return f"{head}\n[A]\n{lines[0]}\n[B]\n{lines[1]}\n"


def folder_of(rng: random.Random, folder: Path, count: int, faults: int = 0) -> Path:
    """A folder of tunes, and of charts at fault spread among them."""
    folder.mkdir(parents=True, exist_ok=True)
    bad = set(rng.sample(range(count), faults))
    for number in range(count):
        text = AT_FAULT if number in bad else tune(rng, number)
        (folder / f"{number:05}.chart").write_text(text, encoding="utf-8")
    return folder
