"""An exercise: the questions that a teacher chose, whole, with a title and a word to the student.

It holds the questions themselves and not only what makes them, so it stays the same when drills change. Beside
each stands a print of what sounded where it was written: notes by their times to a tenth of a millisecond.
"""

import hashlib
from collections.abc import Sequence

from trainer.drills.kinds import KINDS, mark_answer, read_answer
from trainer.drills.question import Question
from trainer.drills.rungs import RUNGS
from trainer.errors import KeyfarerError
from trainer.records import dataclass

MOST_QUESTIONS = 500
"""Of one exercise: some four hours of listening."""
LONGEST_TITLE, LONGEST_NOTE, LONGEST_TEXT = 120, 2_000, 4_000
MOST_CHORDS = 512
SLOWEST_BPM, FASTEST_BPM = 20, 400
PRINT_LETTERS = 16

SESSION = "exercise"
"""How the sessions of exercises begin in the log."""


class ExerciseError(KeyfarerError):
    """An exercise that can't be asked; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Exercise:
    """What a student is asked."""

    id: str
    """A print of all that is in it."""
    title: str
    note: str
    """The teacher's word to the student; empty is none."""
    questions: tuple[Question, ...]
    sounds: tuple[str, ...]
    """What each question sounded like where it was written, as `sound_print` tells it."""

    @property
    def count(self) -> int:
        """How many questions there are."""
        return len(self.questions)

    def sounds_otherwise(self) -> tuple[int, ...]:
        """The questions, from 1, that sound otherwise here than where the exercise was written."""
        pairs = zip(self.questions, self.sounds, strict=True)
        return tuple(n for n, (question, sound) in enumerate(pairs, 1) if sound_print(question) != sound)

    def session_of(self, run: str) -> str:
        """The log's name for the session of one run through the exercise."""
        return f"{SESSION} {self.id} {run}"


def sound_print(question: Question) -> str:
    """A print of the notes of a question: the same for the same sound, and for nothing else."""
    notes = question.performance().score.notes
    told = "\n".join(
        f"{note.onset_s:.4f} {note.duration_s:.4f} {note.midi} {note.velocity} {note.part} {note.role}"
        for note in notes
    )
    return hashlib.sha256(told.encode()).hexdigest()[:PRINT_LETTERS]


def title_fault(title: str, note: str) -> str | None:
    """What is wrong with a title or a note; None where they may be shown on any terminal."""
    if len(title) > LONGEST_TITLE:
        return f"the title has {len(title)} letters; {LONGEST_TITLE} are the most"
    if len(note) > LONGEST_NOTE:
        return f"the note has {len(note)} letters; {LONGEST_NOTE} are the most"
    if not _showable(title) or not _showable(note.replace("\n", " ")):
        return "title and note may hold letters and signs that can be shown; the title is one line"
    return None


def check_askable(number: int, question: Question) -> None:
    """Raise ExerciseError where a question from a file can't be asked here, and say which and why."""
    if fault := _fault(question):
        raise ExerciseError(f"question {number} can't be asked: {fault}")
    try:
        mark = mark_answer(question, read_answer(question, question.correct))
        sounding = bool(question.performance().score.notes)
    except Exception as error:  # whatever a made-up question may break: it is the file's fault, not the program's
        raise ExerciseError(f"question {number} can't be asked: {type(error).__name__} in its values") from error
    if not mark.exact or not sounding:
        raise ExerciseError(f"question {number} can't be asked: its own answer is not right, or nothing sounds")


def _fault(question: Question) -> str | None:
    kind = KINDS.get(question.kind)
    texts = (
        question.prompt,
        question.explanation,
        *question.fields,
        *_flat(question.choices),
        *_flat(question.accepted),
    )
    if kind is None:
        return f"there is no kind of drill {question.kind!r} here; perhaps a newer keyfarer has it"
    if not kind.trains(question.unit):
        return f"{kind.name!r} doesn't train {question.unit!r} here; perhaps a newer keyfarer has it"
    if question.rung not in RUNGS:
        return f"its rung is {question.rung}, not 1 to {max(RUNGS)}"
    if not SLOWEST_BPM <= question.tempo <= FASTEST_BPM:
        return f"its tempo is {question.tempo}"
    if not 0 < len(question.chords) <= MOST_CHORDS or len(question.beats) != len(question.chords):
        return f"it has {len(question.chords)} chords of {len(question.beats)} lengths"
    if not all(0 < beats <= 64 for beats in question.beats):
        return "a chord of it has no length, or one without end"
    if not all(0 <= blank < len(question.chords) for blank in question.blanks):
        return "it asks for a chord that it doesn't have"
    if not question.accepted or not all(question.accepted):
        return "it has no right answer"
    if not 0.0 <= question.guess_chance < 1.0:
        return f"its chance of guessing is {question.guess_chance}"
    if not 0 <= question.seed < 2**63:
        return f"its seed is {question.seed}"
    if not all(len(text) <= LONGEST_TEXT and _showable(text.replace("\n", " ")) for text in texts):
        return "a text of it is too long or holds what can't be shown"
    return None


def _flat(rows: Sequence[Sequence[str]] | None) -> list[str]:
    return [text for row in rows or () for text in row]


def _showable(text: str) -> bool:
    """Whether nothing in a text could move a terminal's cursor or change what it shows."""
    return text.isprintable()
