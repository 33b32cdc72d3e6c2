"""`keyfarer check`: what works here, and how to mend the rest. Never hangs."""

import os
import shutil
import sys
from dataclasses import dataclass

from trainer import places, settings
from trainer.errors import KeyfarerError

SMALLEST = (80, 24)


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at."""

    thing: str
    works: bool
    told: str
    mend: str | None = None
    serious: bool = False
    """Practice can't go on without it."""


def run_check() -> int:
    """Print what works; returns 1 where something is broken that practice needs."""
    from synth.noise import divert_noise

    divert_noise()
    findings = [*_sound(), _memory(), _settings(), *_terminal()]
    for finding in findings:
        print(f"{finding.thing}: {'works' if finding.works else 'does not work'}. {finding.told}")
        if finding.mend:
            print(f"  mend: {finding.mend}")
    return 1 if any(finding.serious and not finding.works for finding in findings) else 0


def _sound() -> list[Finding]:
    from synth.probe import probe

    return [Finding(found.thing, found.works, found.told, found.mend) for found in probe()]


def _memory() -> Finding:
    from trainer.memory.store import newest_version, open_store

    place = places.memory_file()
    try:
        with open_store(place) as store:
            count = sum(tally.trials for tally in store.tallies())
        return Finding("memory", True, f"{place}, {count} answers, form {newest_version()}.", serious=True)
    except KeyfarerError as error:
        return Finding("memory", False, str(error), serious=True)


def _settings() -> Finding:
    place = places.settings_file()
    try:
        settings.load(place)
    except KeyfarerError as error:
        return Finding("settings", False, str(error), serious=True)
    told = f"{place}." if place.exists() else f"The defaults; {place} is not there."
    return Finding("settings", True, told, serious=True)


def _terminal() -> list[Finding]:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        told = "Input or output is not a terminal."
        return [Finding("terminal", False, told, "keyfarer drill --plain works here all the same")]
    columns, lines = shutil.get_terminal_size()
    told = f"{os.environ.get('TERM', 'unknown kind')}, {columns} by {lines}, {sys.stdout.encoding}."
    big = columns >= SMALLEST[0] and lines >= SMALLEST[1]
    mend = None if big else f"make the window at least {SMALLEST[0]} by {SMALLEST[1]}, or use keyfarer drill --plain"
    return [Finding("terminal", big, told, mend)]
