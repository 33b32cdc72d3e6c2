"""The first minute in plain lines: the chord of rest, then a two–five–one, each answered by a digit."""

from collections.abc import Iterator
from random import Random

from trainer.commands.plain import Level, Say
from trainer.practice.first_steps import FirstStep, first_steps
from trainer.practice.listening_level import STEP_DB
from trainer.practice.sounding import Sounding

NOT_COUNTED = (
    "First two to try out; nothing is counted. again: hear it once more. louder, softer: turn the sound, it is kept. "
    "pass: on to the questions."
)


def run_first_lines(sounding: Sounding, lines: Iterator[str], say: Say, level: Level, rng: Random) -> bool:
    """Run both steps; the word pass ends them. Returns whether to go on: not after stop or the end of the lines."""
    say(NOT_COUNTED)
    for step in first_steps(rng):
        ended_by = _heard(step, sounding, lines, say, level)
        if ended_by != "heard":
            return ended_by == "pass"
    return True


def _heard(step: FirstStep, sounding: Sounding, lines: Iterator[str], say: Say, level: Level) -> str:
    sounding.play(step.performance)
    say("")
    say(step.prompt)
    for number, row in enumerate(step.rows, 1):
        say(f"{number}: {' '.join(row)}")
    for line in lines:
        word = line.strip().lower()
        if word == f"{step.right}":
            say(step.told)
            return "heard"
        if word in ("pass", "stop"):
            return word
        if word in ("louder", "softer"):
            say(f"Level {level(STEP_DB if word == 'louder' else -STEP_DB):g} decibels, of 0 at the most.")
        elif word.isdecimal() and 1 <= int(word) <= step.choices:
            say(step.other)
        elif word not in ("", "again"):
            say(f"Type a digit from 1 to {step.choices}, or again, louder, softer, pass.")
            continue
        sounding.play(step.performance)
    return "stop"
