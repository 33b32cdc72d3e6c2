"""Questions on paper and on a music player: names, tags, sheets and a playlist, all of them text.

What shows while a question sounds (file name, title, album) gives nothing of its answer away: a number, the
kind of question, and the key where it is given anyway. The words of the answer stand on a sheet of their own
and, where the sound has the answer too, in the comment.
"""

import re
import textwrap
import unicodedata
from collections.abc import Iterator, Sequence

from trainer.drills.kinds import find_kind, how_answers_sound
from trainer.drills.question import Question
from trainer.records import dataclass

COLUMNS = 72
"""Of the sheets, so that they print on any paper."""

QUESTIONS_SHEET, ANSWERS_SHEET, PLAYLIST = "questions.txt", "answers.txt", "questions.m3u8"
EXERCISE_SUFFIX = ".exercise"
LONGEST_FILE_NAME = 60

DIGITS = 3


@dataclass(frozen=True, slots=True)
class Lesson:
    """A folder of questions, as it was asked for."""

    questions: tuple[Question, ...]
    seed: int
    asked: str
    """What was fixed, in words: types, kinds, rung, keys, tempo."""
    suffix: str
    """Of the sound files."""
    answered: bool
    """The answer sounds too, after a pause."""
    pause_s: float | None
    """None is as long as each question needs."""
    a4_hz: float
    title: str = ""
    """What it is called; empty is by its seed."""
    note: str = ""
    """The teacher's word to whom it is for."""

    @property
    def count(self) -> int:
        """How many questions there are."""
        return len(self.questions)

    def stem(self, number: int) -> str:
        """The name of a question's files, without the suffix: in the same order by name as by number."""
        return f"{number:0{max(DIGITS, len(str(self.count)))}d}"

    @property
    def exercise_file(self) -> str:
        """The name of the file that a student opens: by the title, in letters that any system takes."""
        letters = unicodedata.normalize("NFKD", self.title.casefold()).encode("ascii", "ignore").decode("ascii")
        name = re.sub(r"[^a-z0-9]+", "-", letters).strip("-")[:LONGEST_FILE_NAME].strip("-")
        return f"{name or 'questions'}{EXERCISE_SUFFIX}"

    def track(self, number: int) -> str:
        """What a player shows while it sounds."""
        question = self.questions[number - 1]
        key = f", in {question.key.name}" if question.confirm else ""
        return f"{self.stem(number)} {find_kind(question.kind).name}{key}"

    def tags(self, number: int) -> dict[str, str]:
        """The tags of a question's sound file, as `synth.wav_file` names them."""
        question = self.questions[number - 1]
        signature = f"{question.key.tonic}{'m' if question.key.mode == 'minor' else ''}"
        return {
            "title": self.track(number),
            "artist": "keyfarer",
            "album": self.title or f"Questions, seed {self.seed}",
            "tracknumber": f"{number}/{self.count}",
            "comment": f"Answer: {' '.join(_answer(question))}" if self.answered else "",
            "key": signature if question.confirm else "",
            "tempo": f"{float(question.tempo):g}",
            "software": "keyfarer",
        }

    def names(self) -> frozenset[str]:
        """The names of all files."""
        suffixes = (self.suffix, ".mid", ".json")
        of_questions = {self.stem(number + 1) + suffix for number in range(self.count) for suffix in suffixes}
        return frozenset({QUESTIONS_SHEET, ANSWERS_SHEET, PLAYLIST, self.exercise_file} | of_questions)

    def head(self) -> str:
        """The first paragraph of the answers' sheet: what says that a folder holds these questions and no others."""
        return _filled(f"{self._named()}, seed {self.seed}; {self.asked}. {self._sound()}.")

    def handed_out(self) -> str:
        """The first paragraph of the questions' sheet, which doesn't tell what was chosen: that would be an answer."""
        return _filled(f"{self._named()}. {self._sound()}.")

    def _named(self) -> str:
        many = "1 question" if self.count == 1 else f"{self.count} questions"
        title = f"{self.title}. " if self.title else ""
        return f"{title}keyfarer: {many}"

    def _sound(self) -> str:
        sound = f"Sound in {self.suffix} files at A4 = {self.a4_hz:g} Hz: the question"
        if self.answered:
            long = "a pause" if self.pause_s is None else f"a pause of {self.pause_s:g} s"
            sound += f", {long} to answer in, and the answer for the ear"
        return sound

    def noted(self) -> list[str]:
        """The teacher's note as a paragraph of the sheets; none where there is none."""
        return [_filled(self.note)] if self.note.strip() else []


def questions_sheet(lesson: Lesson) -> str:
    """What is asked, question by question, with the rows to choose from."""
    paragraphs = [lesson.handed_out(), *lesson.noted()]
    for number, question in enumerate(lesson.questions, 1):
        choices = [f"{place}: {' '.join(row)}" for place, row in enumerate(question.choices or (), 1)]
        prompt = _filled(f"{lesson.stem(number)}. {find_kind(question.kind).name}. {question.prompt}")
        paragraphs.append("\n".join([prompt, *choices]))
    return "\n\n".join(paragraphs) + "\n"


def answers_sheet(lesson: Lesson) -> str:
    """What is right, question by question, and why."""
    paragraphs = [lesson.head(), *lesson.noted()]
    if lesson.answered:
        paragraphs.append(_filled(f"How the answers sound. {how_answers_sound()}"))
    for number, question in enumerate(lesson.questions, 1):
        paragraphs.append(_filled(f"{lesson.stem(number)}. {' '.join(_answer(question))}"))
    return "\n\n".join(paragraphs) + "\n"


def playlist(lesson: Lesson, lengths_s: Sequence[float]) -> str:
    """The sound files in order, as an extended M3U list in UTF-8 (common practice, no source)."""
    lines = ["#EXTM3U"]
    for number, length_s in enumerate(lengths_s, 1):
        lines += [f"#EXTINF:{length_s:.0f},{lesson.track(number)}", lesson.stem(number) + lesson.suffix]
    return "\n".join(lines) + "\n"


def _answer(question: Question) -> Iterator[str]:
    """The answer in sentences: as the house writes it, what is right too, why."""
    first, *others = dict.fromkeys(" ".join(row) for row in question.accepted)
    yield f"{first}."
    if others:
        yield f"Right too: {'; '.join(others)}."
    yield question.explanation


def _filled(text: str) -> str:
    return textwrap.fill(text, COLUMNS, break_long_words=False, break_on_hyphens=False)
