"""`keyfarer exercise open` and `results`: what a teacher chose, asked; the answers for the teacher as CSV."""

import os
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random
from shlex import quote
from uuid import uuid4

import click

from synth.whole_file import written_whole
from trainer import places, settings
from trainer.commands.data_out import put_data
from trainer.commands.options import ExerciseOptions
from trainer.commands.reports import told_error, told_remark
from trainer.commands.words import counted, joined, width, wrapped
from trainer.memory.store import Store, open_store
from trainer.memory.trial import Trial
from trainer.practice.exercise import Exercise, ExerciseError
from trainer.practice.exercise_file import LARGEST_FILE, read_exercise
from trainer.practice.exercise_run import ExerciseRun, came_to, newest_run
from trainer.practice.results import ResultsError, name_fault, read_results, results_csv
from trainer.practice.today import memory_settings
from trainer.terminal import can_draw

STOPPED = 130
RUN_LETTERS = 12


def run_exercise_open(options: ExerciseOptions) -> int:
    """Ask what is left of an exercise; returns the exit code. Raises KeyfarerError, SoundError."""
    exercise = load_exercise(options.file)
    chosen = settings.load(places.settings_file())
    with open_store(places.memory_file(), memory_settings(chosen)) as store:
        run, done = newest_run(exercise, store)
        if run is None or options.again:
            if options.again and run is not None and len(done) < exercise.count:
                told_remark(f"the time before is left at question {len(done) + 1}; this one begins anew")
            run, done = uuid4().hex[:RUN_LETTERS], {}
        mine = _run(exercise, run, options)
        if options.results is not None:
            mine.keep = _keeper(options.results)
            mine.keep(results_csv(mine.rows(store)))
        if len(done) == exercise.count:
            click.echo(f"All {counted(exercise.count, 'question')} of this exercise are answered; --again begins anew.")
            _tell_end(mine, store, options)
            return 0
        if otherwise := exercise.sounds_otherwise():
            told_remark(_otherwise(otherwise))
        opening = _opening(exercise, done)
        plain = options.plain or chosen.plain or not can_draw()
        if plain:
            from trainer.commands.drill import run_in_lines
            from trainer.practice.clock import SystemClock
            from trainer.practice.materials import exercise_material
            from trainer.practice.session import Session

            items, rng = mine.items(store), Random(exercise.id)
            code = run_in_lines(
                lambda speaker: Session(
                    store, items, speaker, SystemClock(), rng, exercise_material, logged=lambda: mine.logged(store)
                ),
                chosen,
                opening,
            )
            return _told(mine, store, options, code)
    return _in_app(mine, opening, options)


def _in_app(mine: ExerciseRun, opening: str, options: ExerciseOptions) -> int:
    """Ask on the screens."""
    from trainer.practice.options import DrillOptions
    from trainer.screens.running import run_app

    click.echo("\n".join(wrapped(opening, width())))
    click.prompt("Enter begins", default="", show_default=False, prompt_suffix=". ")
    code = run_app(DrillOptions(), mine.items, mine.logged)
    with open_store(places.memory_file(), memory_settings(settings.load(places.settings_file()))) as store:
        return _told(mine, store, options, code)


def _told(mine: ExerciseRun, store: Store, options: ExerciseOptions, code: int) -> int:
    mine.logged(store)
    _tell_end(mine, store, options)
    for fault in mine.faults:
        told_error(ResultsError(f"{fault}\nYour answers are kept; `keyfarer exercise results` writes them again."))
    return 2 if mine.faults and not code else code


def run_exercise_results(options: ExerciseOptions) -> int:
    """Write the results of the newest time through an exercise; returns the exit code. Raises KeyfarerError."""
    exercise = load_exercise(options.file)
    path = places.memory_file()
    if not path.exists():
        raise ExerciseError(f"{options.file}: nothing of this exercise has been answered here yet.")
    with open_store(path, memory_settings(settings.load(places.settings_file()))) as store:
        run = newest_run(exercise, store)[0]
        if run is None:
            raise ExerciseError(f"{options.file}: nothing of this exercise has been answered here yet.")
        mine = _run(exercise, run, options)
        rows = mine.rows(store)
        if options.results is None:
            put_data(results_csv(rows).replace("\r\n", "\n"))
            return 0
        _keeper(options.results)(results_csv(rows))
        _tell_end(mine, store, options)
    return 0


def load_exercise(file: str) -> Exercise:
    """Read an exercise from a file. Raises ExerciseError."""
    try:
        with Path(file).open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1)
    except OSError as error:
        raise ExerciseError(f"{file}: can't be read: {error.strerror or error}") from None
    return read_exercise(data, file)


def _run(exercise: Exercise, run: str, options: ExerciseOptions) -> ExerciseRun:
    """The run with the student's name, where one is needed; asked for in a terminal."""
    before = None if options.results is None else _name_before(options.results, exercise, run, options.yes)
    name = options.name or before or ""
    if not name and (options.results is not None or options.name_needed):
        if not sys.stdin.isatty():
            raise ResultsError('results need your name: add --name, such as --name "Ada Quill"')
        name = click.prompt("Your name, for your teacher").strip()
    if name and (fault := name_fault(name)):
        raise ResultsError(f"found {name[:40]!r} as the name; {fault}")
    return ExerciseRun(exercise, run, name)


def _name_before(path: Path, exercise: Exercise, run: str, sure: bool) -> str | None:
    """The name in a results file that is there; what else it may hold is not written over. Raises ResultsError."""
    if path.is_dir():
        raise ResultsError(f"{path}: is a folder; name a file in it, such as {path / 'results.csv'}")
    if sure or not path.exists() or not path.stat().st_size:
        return None
    try:
        rows = read_results(path.read_bytes(), str(path))
        if not rows:
            return None
    except (OSError, ResultsError):
        rows = ()
    if {(row.exercise, row.run) for row in rows} != {(exercise.id, run)}:
        raise ResultsError(f"{path}: holds something else; name another file, or say --yes to write over it.")
    return rows[0].student


def _keeper(path: Path) -> Callable[[str], None]:
    """What writes results so that the file is whole whatever happens. Raises SoundError where it can't."""

    def keep(text: str) -> None:
        with written_whole(path) as beside, beside.open("wb") as out:
            out.write(text.encode("utf-8", "backslashreplace"))
            out.flush()
            os.fsync(out.fileno())

    return keep


def _opening(exercise: Exercise, done: dict[int, Trial]) -> str:
    """Title, how many, where it goes on, and the teacher's note."""
    title = f"{exercise.title}: " if exercise.title else ""
    where = f", going on with number {len(done) + 1}" if done else ""
    note = f" {' '.join(exercise.note.split())}" if exercise.note.strip() else ""
    return f"{title}{counted(exercise.count, 'question')} that your teacher chose{where}.{note}"


def _otherwise(numbers: tuple[int, ...]) -> str:
    which = joined([str(number) for number in numbers])
    many = "question" if len(numbers) == 1 else "questions"
    return (
        f"{many} {which} will be voiced otherwise here than where the exercise was written, by another version; "
        "what is asked and what is right is the same"
    )


def _tell_end(mine: ExerciseRun, store: Store, options: ExerciseOptions) -> None:
    """How far it is, and where the results are."""
    done = mine.done(store)
    right, credit = came_to(done, store.slips())
    exercise = mine.exercise
    if done:
        click.echo(
            f"Exercise: {len(done)} of {exercise.count} answered, {right} right, {round(100 * credit)} of 100 heard."
        )
    if len(done) < exercise.count:
        click.echo(f"`keyfarer exercise open {quote(options.file)}` goes on with question {len(done) + 1}.")
    if options.results is None:
        if done:
            click.echo(
                f"`keyfarer exercise results {quote(options.file)} --to results.csv` writes them for your teacher."
            )
    elif not mine.faults:
        click.echo(f"Results for your teacher: {options.results}")
