"""`keyfarer drill`: a session in plain lines or in the terminal app, or questions written to a folder."""

import sys
from collections.abc import Iterator
from pathlib import Path
from random import Random, SystemRandom

from trainer import places, settings
from trainer.errors import KeyfarerError
from trainer.practice.options import DrillOptions

QUESTIONS = 10
"""Asked where neither a number nor the day's plan says how many."""
RATE_HZ = 48_000


def run_drill(options: DrillOptions) -> int:
    """Do what the command line asks; returns the exit code. Raises KeyfarerError."""
    chosen = settings.load(places.settings_file())
    if options.to is not None:
        return _write(options, Path(options.to), chosen)
    if options.plain or chosen.plain or not (sys.stdin.isatty() and sys.stdout.isatty()):
        return _plain(options, chosen)
    from trainer.screens.app import run_app

    return run_app(options)


def _write(options: DrillOptions, folder: Path, chosen: settings.Settings) -> int:
    """Write questions as sound, MIDI and JSON; nothing is scored."""
    import json

    from synth.level import leveled
    from synth.midi_file import write_midi
    from synth.render import render
    from synth.wav_file import write_sound
    from trainer.drills.kinds import draw
    from trainer.drills.question import question_json
    from trainer.drills.rungs import RUNGS, KeyBag
    from trainer.memory.chance import start
    from trainer.memory.plan import Asked
    from trainer.practice.items import fixed
    from trainer.practice.materials import exercise_material

    rng = Random(_seed(options))
    count = options.count or QUESTIONS
    items = fixed(options.types, options.kinds, options.rung, count, start(), rng)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise KeyfarerError(f"{folder}: this folder can't be made ({error.strerror}).") from None
    bags: dict[str, KeyBag] = {}
    asked: list[Asked] = []
    for number in range(1, count + 1):
        item = items.next(asked, None)
        assert item is not None
        rung = options.rung or rng.choice(tuple(RUNGS))
        tunes = exercise_material() if RUNGS[rung].phrase else ()
        question, bags[item.unit] = draw(item.kind, item.unit, rung, rng, bags.get(item.unit), tunes)
        asked.append(Asked(item.unit, item.kind, True))
        performance = question.performance()
        stem = folder / f"{number:03d}"
        samples = leveled(render(performance.score, RATE_HZ, chosen.a4_hz), RATE_HZ)
        tags = {"title": f"keyfarer question {number}", "tempo": f"{float(question.tempo):g}"}
        try:
            write_sound(stem.with_suffix(".wav"), samples, RATE_HZ, tags)
            write_midi(stem.with_suffix(".mid"), performance.score)
            text = json.dumps(question_json(question, performance), ensure_ascii=False, indent=1)
            stem.with_suffix(".json").write_text(text + "\n", encoding="utf-8")
        except OSError as error:
            raise KeyfarerError(f"{stem}: can't be written ({error.strerror}).") from None
        if sys.stderr.isatty():
            print(f"\r{number} of {count}", end="" if number < count else "\n", file=sys.stderr, flush=True)
    many = "1 question" if count == 1 else f"{count} questions"
    print(f"Wrote {many} to {folder}: sound, MIDI and answers (JSON). Nothing is scored.")
    return 0


def _plain(options: DrillOptions, chosen: settings.Settings) -> int:
    """A session in lines of text."""
    from synth.noise import divert_noise
    from synth.output import open_output
    from trainer.commands.plain import QUIET, run_plain
    from trainer.memory.store import open_store
    from trainer.practice.clock import SystemClock, today
    from trainer.practice.items import Items, fixed
    from trainer.practice.listening_level import begins_at, within
    from trainer.practice.materials import exercise_material
    from trainer.practice.session import Session
    from trainer.practice.sounding import Loudspeaker
    from trainer.practice.today import memory_settings, todays_items

    divert_noise()
    clock = SystemClock()
    rng = Random(_seed(options))
    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        items: Items
        if options.chooses:
            count = options.count or QUESTIONS
            items = fixed(options.types, options.kinds, options.rung, count, store.model(), rng)
            opening, seconds = f"{count} questions that you chose.", None
        else:
            minutes = options.minutes or chosen.minutes
            items, plan = todays_items(store, chosen, clock, rng, minutes)
            if plan.items:
                opening = f"Today: {len(plan.items)} questions, about {max(1, round(plan.seconds / 60))} minutes."
            else:
                opening = f"Nothing more is due today; {items.count} questions of what you have met."
            seconds = 60.0 * minutes
        if options.minutes:
            seconds = 60.0 * options.minutes
        speaker = Loudspeaker(
            lambda: open_output(chosen.device or None, places.silent_sound_folder()),
            chosen.a4_hz,
            begins_at(chosen),
        )
        session = Session(
            store, items, speaker, clock, rng, exercise_material, seconds, seeded=options.seed is not None
        )

        def level(by_db: float) -> float:
            speaker.volume_db = within(speaker.volume_db + by_db)
            settings.save(places.settings_file(), volume_db=speaker.volume_db, level_set=True)
            return speaker.volume_db

        if not chosen.level_set:
            opening = f"{opening} {QUIET}"
        day = today(clock, chosen.day_ends_hour)
        try:
            run_plain(session, _lines(), _say, day, opening, paced=sys.stdin.isatty(), level=level)
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
