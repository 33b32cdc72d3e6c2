"""`keyfarer drill`: a session in plain lines or in the terminal app, or questions written to a folder."""

import sys
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from random import Random, SystemRandom
from typing import TYPE_CHECKING, cast

from trainer import places, settings
from trainer.commands.reports import told_remark
from trainer.commands.words import counted
from trainer.drills.rungs import DrillError
from trainer.practice.options import DrillOptions
from trainer.terminal import can_draw

if TYPE_CHECKING:
    from trainer.drills.material import TuneMaterial
    from trainer.harmony.note_names import Naming
    from trainer.practice.session import Session
    from trainer.practice.sounding import Sounding

QUESTIONS = 10
"""Asked where neither a number nor the day's plan says how many."""


def run_drill(options: DrillOptions) -> int:
    """Do what the command line asks; returns the exit code. Raises KeyfarerError."""
    chosen = settings.load(places.settings_file())
    if options.to is not None:
        from trainer.commands.written_questions import run_written

        return run_written(options, Path(options.to), _seed(options), options.count or QUESTIONS, chosen.a4_hz)
    if unused := options.only_written:
        raise DrillError(f"{unused} is for questions that are written to a folder; add --to DIR")
    if options.plain or chosen.plain or not can_draw():
        return _plain(options, chosen)
    from trainer.screens.running import run_app

    return run_app(options)


def _plain(options: DrillOptions, chosen: settings.Settings) -> int:
    """A session in lines of text."""
    from trainer.drills.kinds import TUNE_SHARE
    from trainer.memory.store import open_store
    from trainer.practice.clock import SystemClock
    from trainer.practice.from_tunes import from_tunes
    from trainer.practice.items import Items, fixed
    from trainer.practice.materials import tune_material
    from trainer.practice.own_tunes import NONE_KEPT, own_tunes
    from trainer.practice.today import memory_settings, todays_items

    rng = Random(_seed(options))
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    for fault in own.faults.values():
        told_remark(fault)

    def tunes() -> "Sequence[TuneMaterial]":
        return tune_material(own if options.with_own_tunes else NONE_KEPT, options.tunes)

    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        items: Items
        if options.chooses:
            count = options.count or QUESTIONS
            chosen_so = (options.types, options.kinds, options.rung, count, store.model(), rng)
            items = from_tunes(tunes(), *chosen_so) if options.tunes else fixed(*chosen_so)
            opening, seconds = f"{counted(count, 'question')} that you chose.", None
        else:
            minutes = options.minutes or chosen.minutes
            items, plan = todays_items(store, chosen, SystemClock(), rng, minutes, own)
            if plan.items:
                minutes_told = counted(max(1, round(plan.seconds / 60)), "minute")
                opening = f"Today: {counted(len(plan.items), 'question')}, about {minutes_told}."
            else:
                met = counted(items.count, "question")
                opening = f"Nothing more is due today; {met} of what you have met."
            seconds = 60.0 * minutes
        if options.minutes:
            seconds = 60.0 * options.minutes

        def session_over(speaker: "Sounding") -> "Session":
            from trainer.practice.session import Session

            return Session(
                store, items, speaker, SystemClock(), rng, tunes, seconds, seeded=options.seed is not None,
                tune_share=1.0 if options.tunes else TUNE_SHARE,
            )  # fmt: skip

        fresh = not (options.chooses or store.model().met)
        return run_in_lines(session_over, chosen, opening, rng if fresh else None)


def run_in_lines(
    session_over: "Callable[[Sounding], Session]",
    chosen: settings.Settings,
    opening: str,
    first: Random | None = None,
) -> int:
    """Run a session in lines of text, from standard input to standard output; returns the exit code.

    session_over: makes the session that plays through a loudspeaker. first: the chance by which two steps are made
    that whoever never practised tries out before, in a terminal; None leaves them out.
    """
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer.commands.plain import QUIET, run_plain
    from trainer.practice.clock import today
    from trainer.practice.listening_level import begins_at, within
    from trainer.practice.sounding import Loudspeaker

    divert_noise()
    speaker = Loudspeaker(
        lambda: open_output(chosen.device or None, places.silent_sound_folder()),
        chosen.a4_hz,
        begins_at(chosen),
    )
    session = session_over(speaker)

    def level(by_db: float) -> float:
        speaker.volume_db = within(speaker.volume_db + by_db)
        settings.save(places.settings_file(), volume_db=speaker.volume_db, level_set=True)
        return speaker.volume_db

    day, lines = today(session.clock, chosen.day_ends_hour), _lines()
    try:
        if first is not None and not chosen.level_set and sys.stdin.isatty():
            from trainer.commands.first_lines import run_first_lines

            _say(QUIET)
            if not run_first_lines(speaker, lines, _say, level, first):
                speaker.close()
                return 0
        elif not chosen.level_set:
            opening = f"{opening} {QUIET}"
        naming = cast("Naming", chosen.note_names)
        run_plain(session, lines, _say, day, opening, paced=sys.stdin.isatty(), level=level, naming=naming)
    except KeyboardInterrupt:
        return 130
    return 0


def _lines() -> Iterator[str]:
    while line := sys.stdin.readline():
        yield line.rstrip("\n")


def _say(line: str) -> None:
    print(line, flush=True)


def _seed(options: DrillOptions) -> int:
    return SystemRandom().randrange(2**31) if options.seed is None else options.seed
