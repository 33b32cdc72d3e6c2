"""`keyfarer drill --to`: questions as files, for a lesson or for a phone; nothing is scored.

The sheets come first and say what the folder holds; then each question's MIDI file, sound and JSON; the
playlist is last. Every file is complete or isn't there, and the same words with the same seed write the same
bytes, so whatever breaks off may simply be asked for again.
"""

import json
import os
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from synth.errors import SoundError
from synth.whole_file import written_whole
from trainer import places
from trainer.commands.reports import told_remark
from trainer.commands.waiting import Waiting
from trainer.commands.words import counted, joined
from trainer.drills.material import TuneMaterial
from trainer.drills.question import question_json
from trainer.errors import KeyfarerError
from trainer.practice.chosen import drawn_questions
from trainer.practice.exercise import MOST_QUESTIONS, ExerciseError, title_fault
from trainer.practice.exercise_file import exercise_of, exercise_text
from trainer.practice.from_tunes import FIRST_RUNG
from trainer.practice.materials import exercise_material, own_material, tune_material
from trainer.practice.options import DrillOptions
from trainer.practice.own_tunes import own_tunes
from trainer.practice.written import (
    ANSWERS_SHEET,
    PLAYLIST,
    QUESTIONS_SHEET,
    Lesson,
    answers_sheet,
    playlist,
    questions_sheet,
)

RATE_HZ = 48_000
STOPPED = 130


class FolderError(KeyfarerError):
    """A folder that questions can't be written to, or shouldn't be."""


def run_written(options: DrillOptions, folder: Path, seed: int, count: int, a4_hz: float) -> int:
    """Write so many questions; returns the exit code. Raises KeyfarerError."""
    if fault := title_fault(options.title, options.note):
        raise ExerciseError(f"{fault}.")
    lesson = Lesson(
        drawn_questions(options, seed, count, lambda: _tunes(options)),
        seed,
        _asked(options),
        ".flac" if options.flac else ".wav",
        options.answers or options.pause is not None,
        options.pause,
        a4_hz,
        options.title,
        options.note,
    )
    exercise = exercise_of(lesson.questions, lesson.title, lesson.note) if count <= MOST_QUESTIONS else None
    _prepared(folder, lesson, options.yes)
    done = 0
    again = f"The same words with --seed {seed} go on."
    try:
        _put(folder / QUESTIONS_SHEET, questions_sheet(lesson))
        _put(folder / ANSWERS_SHEET, answers_sheet(lesson))
        if exercise is not None:
            _put(folder / lesson.exercise_file, exercise_text(exercise))
        lengths_s = []
        with Waiting(count, shown=True) as waiting:
            for number in range(1, count + 1):
                lengths_s.append(_write(folder, lesson, number))
                done = number
                waiting.step()
        _put(folder / PLAYLIST, playlist(lesson, lengths_s))
    except KeyboardInterrupt:
        print(f"\nStopped: {done} of {count} questions are whole in {folder}. {again}", file=sys.stderr)
        return STOPPED
    except (OSError, SoundError) as error:
        why = f"{error.filename}: {error.strerror}" if isinstance(error, OSError) else str(error)
        raise FolderError(f"{why}\n{done} of {count} questions are whole in {folder}. {again}") from None
    sound = "question, pause and answer as sound" if lesson.answered else "sound"
    print(f"Wrote {counted(count, 'question')} to {folder}: {sound}, MIDI and answers (JSON). Nothing is scored.")
    print(f"{QUESTIONS_SHEET} and {ANSWERS_SHEET} are to be read or printed, {PLAYLIST} plays them in order.")
    if exercise is not None:
        name = lesson.exercise_file
        print(f"{name} is for students: `keyfarer exercise open {name}` asks just these.")
    else:
        print(f"There is no file for students: an exercise has {MOST_QUESTIONS} questions at the most.")
    print(f"--seed {seed} writes the same again.")
    return 0


def _asked(options: DrillOptions) -> str:
    """What was fixed, in words."""
    types = f"types {joined(options.types)}" if options.types else "all types"
    kinds = f"kinds {joined(options.kinds)}" if options.kinds else "all kinds"
    tunes = f", tunes {joined(options.tunes)}" if options.tunes else ""
    rungs = f"rung {options.rung}" if options.rung else f"rungs {FIRST_RUNG} and up" if options.tunes else "all rungs"
    keys = f", keys {joined(options.keys)}" if options.keys else ""
    tempo = "" if options.tempo is None else f", tempo {options.tempo:g}"
    return f"{types}, {kinds}, {rungs}{tunes}{keys}{tempo}"


def _tunes(options: DrillOptions) -> Sequence[TuneMaterial]:
    """The tunes that were named, else the exercise tunes; the player's own only by name: a seed writes the same."""
    if not (options.tunes or options.routes):
        return exercise_material()
    own = own_tunes(places.tunes_folder(), places.tune_facts_file())
    if options.tunes:
        return tune_material(own, options.tunes)
    return (*(tune for tune in own_material(own) if tune.id in options.routes), *exercise_material())


def _prepared(folder: Path, lesson: Lesson, sure: bool) -> None:
    """Make the folder, or see what lies in it: other questions are not written over unasked. Raises FolderError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        there = {path.name for path in folder.iterdir()}
    except OSError as error:
        raise FolderError(f"{folder}: this folder can't be made or read ({error.strerror}).") from None
    if not os.access(folder, os.W_OK):
        raise FolderError(f"{folder}: you may not write in this folder; choose another place.")
    ours = there & lesson.names()
    if ours and not sure and not _same(folder / ANSWERS_SHEET, lesson):
        named = sorted(ours)
        more = f" and {counted(len(named) - 1, 'more file')}" if len(named) > 1 else ""
        raise FolderError(
            f"{folder}: holds {named[0]}{more} of other questions or of somebody else's; "
            "name another folder, or say --yes to write over them."
        )
    if others := there - lesson.names():
        told_remark(f"{folder} holds {counted(len(others), 'other file')}, left alone")


def _same(sheet: Path, lesson: Lesson) -> bool:
    """Whether a folder's sheet is that of the same questions."""
    try:
        return sheet.read_text(encoding="utf-8").partition("\n\n")[0] == lesson.head()
    except (OSError, UnicodeDecodeError):
        return False


def _write(folder: Path, lesson: Lesson, number: int) -> float:
    """Write one question's files; returns how long it sounds, in seconds."""
    from synth.level import leveled
    from synth.midi_file import write_midi
    from synth.render import render
    from synth.wav_file import write_sound
    from trainer.drills.kinds import with_answer

    question = lesson.questions[number - 1]
    performance = with_answer(question, lesson.pause_s) if lesson.answered else question.performance()
    samples = leveled(render(performance.score, RATE_HZ, lesson.a4_hz), RATE_HZ)
    stem = lesson.stem(number)
    write_midi(folder / f"{stem}.mid", replace(performance.score, title=lesson.track(number)))
    write_sound(folder / (stem + lesson.suffix), samples, RATE_HZ, lesson.tags(number))
    _put(
        folder / f"{stem}.json",
        json.dumps(question_json(question, performance), ensure_ascii=False, indent=1) + "\n",
    )
    return len(samples) / RATE_HZ


def _put(path: Path, text: str) -> None:
    with written_whole(path) as beside:
        beside.write_bytes(text.encode())
